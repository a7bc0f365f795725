"""Volumes and waterplanes against closed forms and worked examples.

Wigley hull: equation from memory (form: D. Hally, "Representation of Wigley hulls by HLLSRF", Technical
Communication 89/308, 1989); its integrals follow from it. Vee prism and box: elementary. Worked examples name
their book beside them.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from model.geometry import Plane
from tests.model.hull_samples import bowed, box, demo, measured, vee, waterlines, wigley

UP = (0.0, 0.0, 1.0)


def level(z: float) -> Plane:
    return Plane.through((0.0, 0.0, z), UP)


@pytest.mark.parametrize(("length", "beam", "draught"), [(10000.0, 1000.0, 625.0), (5000.0, 2000.0, 400.0)])
def test_wigley_hull_from_21_stations(length: float, beam: float, draught: float) -> None:
    hull = bowed(wigley(length, beam, draught), np.linspace(0, length, 21), np.linspace(0, draught, 13))
    below, plane = hull.volume_below(level(draught)), hull.waterplane(level(draught))
    assert below.volume == pytest.approx(4.0 / 9.0 * length * beam * draught, rel=1e-3)
    assert below.centre == pytest.approx([length / 2.0, 0.0, 5.0 / 8.0 * draught], rel=1e-3, abs=1e-6)
    assert plane.area == pytest.approx(2.0 / 3.0 * length * beam, rel=1e-3)
    assert plane.athwart == pytest.approx(4.0 / 105.0 * length * beam**3, rel=1e-3)
    assert plane.lengthwise == pytest.approx(beam * length**3 / 30.0, rel=1e-3)
    assert plane.athwart / below.volume == pytest.approx(3.0 / 35.0 * beam**2 / draught, rel=1e-3)
    assert plane.lengthwise / below.volume == pytest.approx(3.0 / 40.0 * length**2 / draught, rel=1e-3)


def test_wigley_hull_at_every_draught() -> None:
    length, beam, depth = 5000.0, 2000.0, 400.0
    hull = bowed(wigley(length, beam, depth), np.linspace(0, length, 21), np.linspace(0, depth, 17))
    for part in (0.31, 0.57, 0.83):
        # The integral of (1 - s^2) from the keel, s = 1, up to s = 1 - part.
        s = 1.0 - part
        whole = 2.0 / 3.0 - s + s**3 / 3.0
        found = hull.volume_below(level(part * depth)).volume
        assert found == pytest.approx(2.0 / 3.0 * length * beam * depth * whole, rel=1e-3)
        area = 2.0 / 3.0 * length * beam * (1.0 - s**2)
        assert hull.waterplane(level(part * depth)).area == pytest.approx(area, rel=1e-3)


@pytest.mark.parametrize(("n", "m"), [(10, 6), (7, 3), (20, 12)])
def test_straight_loft_has_the_volume_of_bilinear_patches(n: int, m: int) -> None:
    # V (1 - 1/n^2)(1 - 1/(4 m^2)) for n station and m waterline intervals of the Wigley form (computed).
    length, beam, draught = 10000.0, 1000.0, 625.0
    hull = waterlines(
        wigley(length, beam, draught),
        np.linspace(0, length, n + 1),
        np.linspace(0, draught, m + 1),
        straight=True,
    )
    expected = 4.0 / 9.0 * length * beam * draught * (1.0 - 1.0 / n**2) * (1.0 - 1.0 / (4.0 * m**2))
    assert hull.volume_below(level(draught)).volume == pytest.approx(expected, rel=1e-9)


def test_vee_prism() -> None:
    # L 5, d 15 deg, T 0.25: V = L b T = 1.166266, Aw 9.330127, KB 0.166667, BM 2.321367 (closed forms).
    hull = vee(5000.0, math.radians(15.0), 250.0)
    below, plane = hull.volume_below(level(250.0)), hull.waterplane(level(250.0))
    assert below.volume / 1e9 == pytest.approx(1.166266, rel=1e-6)
    assert plane.area / 1e6 == pytest.approx(9.330127, rel=1e-6)
    assert below.centre / 1e3 == pytest.approx([2.5, 0.0, 0.166667], rel=1e-5, abs=1e-9)
    assert plane.athwart / below.volume / 1e3 == pytest.approx(2.321367, rel=1e-6)
    half = hull.volume_below(level(125.0))
    assert half.volume == pytest.approx(below.volume / 4.0)


def test_box_by_the_book() -> None:
    # Ship Stability for Masters and Mates p. 130: box 65 x 12 x 8 m at 4 m draught: KB 2, BM 3, so KM 5.
    hull = box(65000.0, 12000.0, 8000.0)
    below, plane = hull.volume_below(level(4000.0)), hull.waterplane(level(4000.0))
    assert below.volume / 1e9 * 1.025 == pytest.approx(3198.0)
    assert below.centre[2] / 1e3 == pytest.approx(2.0)
    assert plane.athwart / below.volume / 1e3 == pytest.approx(3.0)
    # Nicholls's Seamanship p. 527: box 36 ft beam, 18 ft draught: KB 9, BM 6 ft.
    foot = 304.8
    hull = box(200.0 * foot, 36.0 * foot, 30.0 * foot)
    below, plane = hull.volume_below(level(18.0 * foot)), hull.waterplane(level(18.0 * foot))
    assert below.centre[2] / foot == pytest.approx(9.0)
    assert plane.athwart / below.volume / foot == pytest.approx(6.0)


def test_heeled_box_has_the_wall_sided_lever() -> None:
    # Wall-sided formula, exact for a box: GZ = sin a (GM + BM/2 tan^2 a); same book p. 130, 25 deg, KG 4:
    # 0.560461 m (computed). The heeled waterline goes through the same point on the centreline.
    hull = box(65000.0, 12000.0, 8000.0)
    a = math.radians(25.0)
    water = Plane.through((0.0, 0.0, 4000.0), (0.0, math.sin(a), math.cos(a)))
    below = hull.volume_below(water)
    assert below.volume == pytest.approx(65000.0 * 12000.0 * 4000.0)
    lever = (below.centre - [0.0, 0.0, 4000.0]) @ [0.0, math.cos(a), -math.sin(a)]
    assert abs(lever) / 1e3 == pytest.approx(0.560461, abs=1e-6)
    plane = hull.waterplane(water)
    assert plane.area == pytest.approx(65000.0 * 12000.0 / math.cos(a))
    assert plane.athwart == pytest.approx(65000.0 * (12000.0 / math.cos(a)) ** 3 / 12.0)


def test_pitched_box() -> None:
    hull = box(4000.0, 1600.0, 800.0)
    a = math.radians(6.0)
    water = Plane.through((2000.0, 0.0, 400.0), (-math.sin(a), 0.0, math.cos(a)))
    below, plane = hull.volume_below(water), hull.waterplane(water)
    rise = 2000.0 * math.tan(a)
    assert below.volume == pytest.approx(4000.0 * 1600.0 * 400.0)
    # Trapezium between depths 400 - rise and 400 + rise: its centre from the elementary formula.
    assert below.centre[0] == pytest.approx(2000.0 + 4000.0 / 6.0 * rise / 400.0)
    assert plane.area == pytest.approx(4000.0 * 1600.0 / math.cos(a))
    assert plane.lengthwise == pytest.approx(1600.0 * (4000.0 / math.cos(a)) ** 3 / 12.0)
    assert plane.centre == pytest.approx([2000.0, 0.0, 400.0])


def test_prism_cut_by_a_raked_transom() -> None:
    # A vee with its transom raked: the wedge cut off has a closed form as well.
    d, rake, length, depth = math.radians(20.0), math.radians(15.0), 3000.0, 400.0
    b = depth / math.tan(d)
    rows = {x: [(0.0, 0.0), (b, depth)] for x in (0.0, 1000.0, 2000.0, length)}
    hull = measured(("keel", "gunwale"), rows, transom_rake=rake)
    # Behind x = 0 lies z tan(rake) at each height, over a breadth of 2 z / tan(d).
    wedge = 2.0 * math.tan(rake) / math.tan(d) * depth**3 / 3.0
    below = hull.volume_below(level(depth))
    assert below.volume == pytest.approx(b * depth * length + wedge, rel=1e-9)
    moment = b * depth * length**2 / 2.0 - math.tan(rake) ** 2 / math.tan(d) * depth**4 / 4.0
    assert below.centre[0] == pytest.approx(moment / below.volume)
    area = hull.waterplane(level(depth)).area
    assert area == pytest.approx(2.0 * b * (length + depth * math.tan(rake)))


def test_volume_is_the_integral_of_waterplanes() -> None:
    for name in ("lake16", "flat14", "vee18"):
        hull = demo(name)
        z, weight = np.polynomial.legendre.leggauss(12)
        low, high = 350.0, 420.0
        areas = [hull.waterplane(level(low + (high - low) * (a + 1.0) / 2.0)).area for a in z]
        slab = hull.volume_below(level(high)).volume - hull.volume_below(level(low)).volume
        assert slab == pytest.approx(weight @ areas * (high - low) / 2.0, rel=1e-5)


def test_the_unsymmetrical_hull_lies_to_one_side() -> None:
    hull = demo("vee18")
    below = hull.volume_below(level(2000.0))
    assert abs(below.centre[1]) > 0.5
    assert abs(demo("lake16").volume_below(level(2000.0)).centre[1]) < 1e-9


def test_nothing_below_and_planes_that_stand_across() -> None:
    hull = demo("flat14")
    nothing, dry = hull.volume_below(level(10.0)), hull.waterplane(level(10.0))
    assert (nothing.volume, dry.area) == (0.0, 0.0)
    assert np.isnan(nothing.centre).all()
    with pytest.raises(ValueError, match="square across"):
        hull.volume_below(Plane.through((1000.0, 0.0, 0.0), (1.0, 0.0, 0.0)))
