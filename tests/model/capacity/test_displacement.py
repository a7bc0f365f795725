"""Displacement to the float plane and the rule's sizes, of prisms whose volume is plain."""

import numpy as np
import pytest
from scipy.optimize import brentq

from model.capacity.displacement import float_planes, rule_sizes, section_areas
from model.capacity.loading import five_stations
from model.capacity.side_weight import _until_wet
from model.geometry import Plane
from model.hull_outside import outer_shell
from model.hydrostatics.afloat import Floating
from model.hydrostatics.body import Body
from model.hydrostatics.rim import Rim
from model.mass.lump import Lump
from tests.model.hull_samples import box, demo, measured

INCH, CUBIC_FOOT = 25.4, 304.8**3


def prism():
    """Beam 60 in, sides 16 in above the chine, a V 6 in deep, 180 in long."""
    corners = [(0.0, 0.0), (30.0 * INCH, 6.0 * INCH), (30.0 * INCH, 22.0 * INCH)]
    x = np.linspace(0.0, 180.0 * INCH, 7)
    return measured(("keel", "chine", "gunwale"), {float(a): corners for a in x})


def test_a_prism_full_to_its_gunwale():
    # 60 x 16 + 60 x 6 / 2 = 1140 in2 over 180 in: 118.75 ft3, 7410 lb at 62.4 lb/ft3
    hull = prism()
    even, level = float_planes(outer_shell(hull), Rim.of(hull))
    for plane in (even, level):
        assert plane.volume / CUBIC_FOOT == pytest.approx(118.75, rel=1e-6)
        assert plane.volume / CUBIC_FOOT * 62.4 == pytest.approx(7410.0, rel=1e-6)
    areas, length = section_areas(outer_shell(hull), level.plane)
    assert areas / INCH**2 == pytest.approx([1140.0] * 5)
    assert five_stations(length, tuple(areas)) / CUBIC_FOOT == pytest.approx(118.75, rel=1e-6)


def test_a_low_transom_floods_first():
    hull = prism()
    rim = Rim.of(hull, {"transom": np.array([0.0, 0.0, 14.0 * INCH])})
    _, level = float_planes(outer_shell(hull), rim)
    assert level.through == "transom"
    assert level.volume / CUBIC_FOOT == pytest.approx(180.0 * (60.0 * 8.0 + 180.0) / 1728.0, rel=1e-6)


def test_sections_of_a_curved_hull_come_near_its_volume():
    hull = demo("vee18")
    shell = outer_shell(hull)
    level = float_planes(shell, Rim.of(hull))[1]
    areas, length = section_areas(shell, level.plane)
    # five sections of a boat: the handbook takes 5 % off for what they miss
    assert five_stations(length, tuple(areas)) == pytest.approx(level.volume, rel=0.05)


def test_sizes_of_a_prism():
    found = rule_sizes(prism())
    assert found.length / 304.8 == pytest.approx(15.0)
    assert found.transom / 304.8 == pytest.approx(5.0)
    assert found.has_full_transom


def test_weight_along_the_side_of_a_box_until_it_is_wet():
    """A box with upright sides has closed forms to its gunwale: draft, list and the moment of both.

    T = (m + w) / (rho L B); at the edge tan a = (D - T) / (B / 2); B lies at y = BM tan a and
    z = T / 2 + BM tan^2 a / 2; at rest it is plumb under the common centre of mass.
    """
    length, beam, depth, mass, rise = 4000.0, 1400.0, 300.0, 500.0, 200.0
    y, z = 300.0, 300.0

    def apart(weight: float) -> float:
        draft = (mass + weight) * 1e6 / (length * beam)
        tan = (depth - draft) / (beam / 2.0)
        bm = beam**2 / (12.0 * draft)
        g = weight * y / (mass + weight), (mass * rise + weight * z) / (mass + weight)
        return (bm * tan - g[0]) + (draft / 2.0 + bm * tan**2 / 2.0 - g[1]) * tan

    hull = box(length, beam, depth)
    floating = Floating(None, Body.of(outer_shell(hull)), Rim.of(hull), {})  # type: ignore[arg-type]
    own = [Lump("boat", "boat", mass, np.array([length / 2, 0.0, rise]))]
    start = Plane(np.array([0.0, 0.0, 1.0]), 60.0)
    found = _until_wet(floating, own, np.array([length / 2, y, z]), start)
    exact = brentq(apart, 100.0, 2000.0)
    draft = (mass + exact) * 1e6 / (length * beam)
    assert depth - draft < draft  # her bilge stays under, so that the sides are all that counts
    assert found == pytest.approx(exact, abs=0.5)
