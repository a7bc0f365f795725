"""Allowable stresses and resistances against the design manual's examples and mill tables."""

from types import SimpleNamespace

import numpy as np
import pytest

from model.hole import Hole
from model.strength.allowable import allowed, buckling, resistance, soft_share, wall_factor
from model.strength.settings import StrengthSettings
from model.strength.uses import Limits, left_by, uses
from parts.catalogue import starter
from parts.sections.rect import rect_tube

KSI, INCH = 6.894757, 25.4
SETTINGS = StrengthSettings()
CATALOGUE = starter()
TUBE = CATALOGUE.sections["rect-1x2x0.125"]


@pytest.mark.parametrize(
    ("alloy", "plain", "beside"),
    [
        # 6061-T6: 19.5 ksi plain, rupture governs (Kissell and Ferry, Aluminum Structures, eq. 5.2, worked);
        # beside a weld 9.1 ksi = min(24/1.95, 15/1.65), by the same rule.
        ("6061-T6", 19.5, 9.1),
        ("6063-T52", 9.7, 4.85),
        ("5086-H32", 17.0, 8.5),
        ("5052-H32", 13.9, 5.8),
    ],
)
def test_lesser_of_rupture_and_yield(alloy, plain, beside):
    found = allowed(CATALOGUE.alloys[alloy], SETTINGS)
    assert found.plain / KSI == pytest.approx(plain, rel=0.02)  # the alloys' strengths are whole MPa
    assert found.beside / KSI == pytest.approx(beside, rel=0.02)


def test_partly_softened_metal_lies_between():
    found = allowed(CATALOGUE.alloys["6061-T6"], SETTINGS)
    assert found.partly(0.0) == found.plain
    assert found.partly(1.0) == found.beside
    assert found.partly(0.25) == pytest.approx(0.75 * found.plain + 0.25 * found.beside)


def test_the_share_that_is_softened_below_welded_sheet():
    # 1 x 2 x 1/8 in: the top wall and an inch of both sides: 1 x 1/8 + 2 x 7/8 x 1/8 of 0.6875 sq in.
    bar = SimpleNamespace(
        section=TUBE, axis=np.array([1.0, 0, 0]), frame=SimpleNamespace(z=np.array([0, 0, 1.0]))
    )
    assert soft_share(bar, SETTINGS) == pytest.approx((0.125 + 2 * 0.875 * 0.125) / 0.6875)
    assert soft_share(bar, StrengthSettings(sheet_welded=False)) == 0.0


def test_moduli_of_a_published_row():
    # Mill table ewco.net/page8.htm, 1 x 2 x 0.109 in: strong S 0.2979, weak S 0.1914 in3.
    tube = rect_tube("1x2", 1 * INCH, 2 * INCH, 0.109 * INCH, CATALOGUE.alloys["6061-T6"])
    found = resistance(tube)
    assert found.bend_y / INCH**3 == pytest.approx(0.2979, rel=2e-3)
    assert found.bend_z / INCH**3 == pytest.approx(0.1914, rel=2e-3)
    # Torsion modulus Ct of EN 10219 rows is for round corners; thin-walled Bredt: 2 Am t.
    assert found.twist == pytest.approx(2 * (0.891 * 1.891 * 0.109) * INCH**3, rel=1e-3)


def test_a_post_buckles_as_euler_has_it():
    # P = pi^2 E I / L^2 over n = 1.95 for the weak axis.
    stress = buckling(TUBE, 2000.0, TUBE.alloy.e)
    assert stress * TUBE.area == pytest.approx(np.pi**2 * TUBE.alloy.e * TUBE.iz / 2000.0**2 / 1.95)


def test_thin_walls_bear_less():
    assert wall_factor(TUBE) == 1.0
    thin = CATALOGUE.sections["rect-1x2x0.0625"]  # flat over wall is 30
    assert wall_factor(thin) == pytest.approx((27.3 - 0.291 * 30) / 21.2)


def one(own, forces):
    limits = Limits(
        np.array([[own.plain, own.plain]]), np.array([[20.0, 20.0]]), np.zeros((1, 2), dtype=bool),
        np.array([[5000.0, 3000.0, 400.0, 150.0, 300.0, 8000.0]]),
    )  # fmt: skip
    return uses(np.array(forces, dtype=float).reshape(1, 1, 6, 1).repeat(2, axis=1), limits)[0, 0, 0]


def test_use_of_a_section_worked_by_hand():
    own = SimpleNamespace(plain=100.0)
    assert one(own, [4000, 0, 0, 0, 0, 0]) == pytest.approx(4000 / 400 / 100)
    assert one(own, [-4000, 0, 0, 0, 0, 0]) == pytest.approx(4000 / 400 / 20)  # a post that would buckle
    assert one(own, [0, 0, 0, 0, 250e3, 0]) == pytest.approx(250e3 / 5000 / 100)
    bent, sheared = 150e3 / 3000 / 100, (3000 / 300 + 80e3 / 8000) / (100 / np.sqrt(3))
    assert one(own, [0, 0, 3000, 80e3, 0, 150e3]) == pytest.approx(np.hypot(bent, sheared))


def test_a_limber_hole_takes_its_share():
    # 1/2 in hole through both 2 in walls, its middle 1/2 in below the axis: I loses t d^3/6 + 2 t d off^2.
    d, t = 0.5 * INCH, 0.125 * INCH
    left = left_by(Hole(300.0, -0.5 * INCH, "width", d), TUBE)
    assert left[0] == pytest.approx(1 - (t * d**3 / 6 + 2 * t * d * (0.5 * INCH) ** 2) / TUBE.iy)
    assert left[2] == pytest.approx(1 - 2 * t * d / TUBE.area)
    assert left[4] == pytest.approx(0.75)
