"""Sheet as plates against the handbook's tables, and hanging sheet against the books' membrane formulas."""

import numpy as np
import pytest

from model.strength.plate import Plate, sag_under, sagged

# Roark's Formulas for Stress and Strain, 7th ed., table 11.4, case 1a: all edges simply supported, uniform
# load; a/b, beta (stress in the middle = beta q b^2/t^2), alpha (sag = alpha q b^4/(E t^3)); Poisson 0.3.
ROARK_1A = [
    (1.0, 0.2874, 0.0444), (1.2, 0.3762, 0.0616), (1.4, 0.4530, 0.0770), (1.6, 0.5172, 0.0906),
    (1.8, 0.5688, 0.1017), (2.0, 0.6102, 0.1110), (3.0, 0.7134, 0.1335), (4.0, 0.7410, 0.1400),
]  # fmt: skip

# The same, case 1b: a load W on a small circle in the middle; a/b, alpha (sag = alpha W b^2/(E t^3)).
ROARK_1B = [(1.0, 0.1267), (1.2, 0.1478), (1.4, 0.1621), (1.6, 0.1715), (1.8, 0.1770), (2.0, 0.1805)]

E = 70000.0


@pytest.fixture(autouse=True)
def _handbook_poisson(monkeypatch):
    monkeypatch.setattr("model.strength.plate.POISSON", 0.3)


@pytest.mark.parametrize(("ratio", "beta", "alpha"), ROARK_1A)
def test_uniform_load(ratio, beta, alpha):
    b, t, q = 400.0, 5.0, 1e-3
    plate = Plate(ratio * b, b, t, E)
    sag, stress = plate.bent(q, (ratio * b, b), (ratio * b / 2, b / 2))
    assert stress == pytest.approx(beta * q * b**2 / t**2, rel=5e-3)  # the table is rounded so
    assert sag == pytest.approx(alpha * q * b**4 / (E * t**3), rel=5e-3)


@pytest.mark.parametrize(("ratio", "alpha"), ROARK_1B)
def test_load_on_a_point(ratio, alpha):
    b, t, w, side = 400.0, 5.0, 100.0, 8.0
    plate = Plate(ratio * b, b, t, E)
    sag, _ = plate.bent(w / side**2, (side, side), (ratio * b / 2, b / 2))
    assert sag == pytest.approx(alpha * w * b**2 / (E * t**3), rel=6e-3)


def test_a_worked_panel():
    # solver worksheet scribd.com/document/409896089: 19.69 x 13.78 x 0.1969 in, 7.1123 psi, E 2.80e7 psi:
    # 16 107 psi (111 MPa) and 2.41 mm, from linear interpolation in the table.
    inch, psi = 25.4, 0.00689476
    plate = Plate(19.69 * inch, 13.78 * inch, 0.1969 * inch, 2.80e7 * psi)
    sag, stress = plate.bent(7.1123 * psi, (19.69 * inch, 13.78 * inch), (19.69 * inch / 2, 13.78 * inch / 2))
    assert sag == pytest.approx(2.41, rel=0.01)
    assert stress == pytest.approx(111.0, rel=0.01)


def test_a_soft_square_sheet_hangs_as_a_membrane():
    # Sheet without stiffness: W = 0.318 a (q a / E t)^(1/3) (Timoshenko and Woinowsky-Krieger, art. 101);
    # one term of the series is within 3 % of it, and bending adds a little.
    a, t, q = 1000.0, 0.2, 2e-3
    found = sagged(Plate(a, a, t, E), q * a * a, (a, a))
    assert found.sag == pytest.approx(0.318 * a * (q * a / (E * t)) ** (1 / 3), rel=0.03)
    assert found.pull == pytest.approx(0.396 * (q * q * E * a * a / (t * t)) ** (1 / 3), rel=0.06)
    assert found.bent_only > 100 * found.sag


def test_a_long_strip_held_at_its_edges_sags_no_less_than_in_cylindrical_bending():
    # Long plate, hinged edges that cannot draw in (Timoshenko and Woinowsky-Krieger, art. 2): the tension S,
    # as u^2 = S b^2 / 4 D, is the one whose stretch is what the sagged line is longer than its chord.
    b, t, q, nu = 350.0, 2.286, 0.0143, 0.3
    d = E * t**3 / (12 * (1 - nu**2))
    x = (np.arange(2000) + 0.5) / 2000 * b

    def shape(u):
        s = 4 * u * u * d / b**2
        k = np.sqrt(s / d)
        w = q / s * (x * (b - x) / 2 - d / s * (1 - np.cosh(k * (b / 2 - x)) / np.cosh(k * b / 2)))
        return s, w

    low, high = 0.1, 40.0
    for _ in range(80):
        u = (low + high) / 2
        s, w = shape(u)
        longer = float((np.gradient(w, x) ** 2).mean()) / 2
        low, high = (u, high) if longer > s * (1 - nu**2) / (E * t) else (low, u)
    found = sagged(Plate(40 * b, b, t, E), q * 40 * b * b, (40 * b, b))
    # The one term of the plate's equations lets a long strip sag somewhat further than it does: safe.
    assert 1.0 <= found.sag / w.max() <= 1.15
    assert 1.0 <= found.pull_edge / (s / t) <= 1.3
    in_strip = s / t + 6 * d * float(-np.gradient(np.gradient(w, x), x)[1000]) / t**2
    assert found.stress >= in_strip


def test_stiff_sheet_bends_as_if_it_did_not_hang():
    plate = Plate(300.0, 300.0, 20.0, E)
    found = sagged(plate, 1000.0, (300.0, 300.0))
    assert found.sag == pytest.approx(found.bent_only, rel=1e-3)
    assert found.pull < 1e-2 * found.bending


def test_what_does_not_fit_on_the_plate_bears_beside_it():
    wide = sagged(Plate(600.0, 200.0, 5.0, E), 1000.0, (300.0, 300.0))
    own = sagged(Plate(600.0, 200.0, 5.0, E), 1000.0 * 200 / 300, (300.0, 200.0))
    assert wide.sag == pytest.approx(own.sag)


def test_a_foot_near_the_edge_sinks_less():
    plate = Plate(400.0, 400.0, 2.3, E)
    middle, near = (sag_under(plate, 1000.0, 50.0, (200.0, y)) for y in (200.0, 40.0))
    assert 0 < near < 0.6 * middle


def test_edges_that_give_way_let_the_sheet_sag_further_and_pull_less():
    plate = Plate(1300.0, 350.0, 2.3, E)
    found = [sagged(plate, 1334.0, (305.0, 305.0), held) for held in (0.05, 0.5, 1.0)]
    assert found[0].sag > found[1].sag > found[2].sag
    assert found[0].pull < found[1].pull < found[2].pull
    assert found[0].sag < found[0].bent_only
