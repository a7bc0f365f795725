"""Equilibrium against closed forms: box, wedge and Wigley hulls, lists, trims, loll, free surfaces.

Box and wall-sided formulas: Ship Stability for Masters and Mates, pp. 111, 130, 229. Vee prism: elementary.
Wigley hull: equation from memory (form: D. Hally, Technical Communication 89/308, 1989), integrals from it.
"""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq
from shapely.geometry import box as rectangle

from model.geometry import Plane
from model.hull_outside import outer_shell
from model.hydrostatics.balance import (
    FRESH,
    SALT,
    NoRestError,
    WouldSinkError,
    hold,
    normal_at,
    settle,
)
from model.hydrostatics.body import Body
from model.hydrostatics.load import Liquid, Load
from tests.model.hull_samples import bowed, box, demo, vee, wigley


def body_of(hull):
    return Body.of(outer_shell(hull))


LONG, WIDE, HIGH = 4800.0, 1800.0, 900.0
MASS, UP = 900.0, 550.0


@pytest.fixture(scope="module")
def barge():
    return body_of(box(LONG, WIDE, HIGH))


def load(x: float, y: float, z: float, mass: float = MASS, liquids=()) -> Load:
    return Load.of(mass, np.array([x, y, z]), liquids)


def test_box_at_rest(barge):
    # 4.8 x 1.8 m, 900 kg, KG 0.55: T 0.104167, BM 2.592, GM 2.094083 m
    rest = settle(barge, load(LONG / 2, 0.0, UP))
    assert rest.plane.offset == pytest.approx(104.167, rel=1e-4)
    assert rest.gm == pytest.approx(2094.083, rel=1e-5)
    assert rest.heights[0, 0] == pytest.approx(LONG**2 / (12 * 104.1667) + 104.1667 / 2 - UP, rel=1e-4)
    assert (rest.heel, rest.trim) == pytest.approx((0.0, 0.0), abs=1e-9)


def test_box_listed_by_a_weight_moved_across(barge):
    # wall-sided: 160 kg moved 0.5 m lists her 2.4279 degrees; the small-angle rule would say 2.4306
    rest = settle(barge, load(LONG / 2, 160.0 * 500.0 / MASS, UP))
    assert math.degrees(rest.heel) == pytest.approx(2.4279, abs=1e-4)
    other = settle(barge, load(LONG / 2, -160.0 * 500.0 / MASS, UP))
    assert other.heel == pytest.approx(-rest.heel)


def test_box_trimmed_by_a_weight_moved_aft(barge):
    # 100 kg moved 1.5 m aft: 44.608 mm over the length by GM_L; bow up
    rest = settle(barge, load(LONG / 2 - 100.0 * 1500.0 / MASS, 0.0, UP))
    assert LONG * math.tan(rest.trim) == pytest.approx(44.608, rel=1e-3)
    assert rest.depth(np.array([0.0, 0.0, 0.0])) > rest.depth(np.array([LONG, 0.0, 0.0]))


def test_box_by_the_book_at_25_degrees():
    # box 65 x 12 x 8 m at 4 m draught, KG 4: 3198 t of salt water, GZ 0.0872 m at 5, 0.560461 m at 25 degrees
    barge = body_of(box(65000.0, 12000.0, 8000.0))
    weight = load(32500.0, 0.0, 4000.0, 3198e3)
    assert settle(barge, weight, SALT).gm == pytest.approx(1000.0, rel=1e-4)
    # sin 5 (1 + 3/2 tan^2 5) = 0.08816; the book leaves the second term out and prints 0.0872
    five = math.radians(5.0)
    assert hold(barge, weight, five, SALT).levers[1] == pytest.approx(
        1000.0 * math.sin(five) * (1.0 + 1.5 * math.tan(five) ** 2), rel=1e-4
    )
    assert hold(barge, weight, math.radians(25.0), SALT).levers[1] == pytest.approx(560.461, rel=1e-4)
    assert hold(barge, weight, math.radians(-25.0), SALT).levers[1] == pytest.approx(-560.461, rel=1e-4)


def test_a_tender_box_lolls():
    # negative GM of a wall-sided hull: tan a = sqrt(-2 GM / BM)
    barge = body_of(box(LONG, WIDE, 1900.0))
    mass, draught = 9000.0, 9000.0 / (4.8 * 1.8)
    bm = WIDE**2 / (12.0 * draught)
    rest = settle(barge, load(LONG / 2, 0.0, draught / 2 + bm + 20.0, mass))
    assert abs(math.degrees(rest.heel)) == pytest.approx(math.degrees(math.atan(math.sqrt(40.0 / bm))))
    assert rest.gm > 0.0


def test_a_wedge_floats_at_the_draught_of_its_own_volume():
    # L 5 m, deadrise 15 deg, T 0.25 m: V 1.166266 m3, KB 0.166667, BM 2.321367 m
    wedge = body_of(vee(5000.0, math.radians(15.0), 400.0))
    rest = settle(wedge, load(2500.0, 0.0, 300.0, 1166.266))
    assert rest.plane.offset == pytest.approx(250.0, rel=1e-5)
    assert rest.gm == pytest.approx(166.667 + 2321.367 - 300.0, rel=1e-4)


def test_a_heeled_wedge_keeps_its_shape_below_water():
    # A vee at any heel displaces a triangle of the same apex: area (a b / 2) sin(pi - 2 d), with sides a, b
    # along the two bottoms from the keel; its centre is the mean of its corners.
    d, heel, mass = math.radians(15.0), math.radians(8.0), 600.0
    wedge = body_of(vee(5000.0, d, 500.0))
    held = hold(wedge, load(2500.0, 0.0, 300.0, mass), heel)
    area = mass / FRESH / 5.0 * 1e6
    # keel depth t below water: sides t / sin(d + heel), t / sin(d - heel)
    t = math.sqrt(2.0 * area * math.sin(d + heel) * math.sin(d - heel) / math.sin(2.0 * d))
    assert held.depth(np.zeros(3)) == pytest.approx(t, rel=1e-4)
    low, high = t / math.sin(d + heel), t / math.sin(d - heel)
    # in the boat: the starboard corner is near, the port one far when port is down
    corners = np.array(
        [[0, 0], [high * math.cos(d), high * math.sin(d)], [-low * math.cos(d), low * math.sin(d)]]
    )
    centre = corners.mean(axis=0)
    arm = (centre[0] * math.cos(heel) + centre[1] * math.sin(heel)) - 300.0 * math.sin(heel)
    assert held.levers[1] == pytest.approx(arm, rel=1e-3)


@pytest.mark.parametrize("part", [0.5, 0.8])
def test_wigley_hull(part):
    # y = B/2 (1 - (2x/L)^2)(1 - s^2), s from 1 at the keel to 0 at T; floated at a part p of T:
    # V = 2/3 L B T (p^2 - p^3/3), KB = T (2/3 p^3 - p^4/4) / (p^2 - p^3/3), and with w = 1 - (1 - p)^2
    # Aw = 2/3 L B w, IT = 4/105 L B^3 w^3, IL = 1/30 B L^3 w
    length, beam, depth = 5000.0, 2000.0, 400.0
    hull = bowed(wigley(length, beam, depth), np.linspace(0, length, 21), np.linspace(0, depth, 17))
    shell = outer_shell(hull)
    filled = part**2 - part**3 / 3.0
    volume, w = 2.0 / 3.0 * length * beam * depth * filled, 1.0 - (1.0 - part) ** 2
    rise = depth * (2.0 / 3.0 * part**3 - part**4 / 4.0) / filled
    rest = settle(Body.of(shell), load(2500.0, 0.0, 200.0, volume * 1e-6), shell=shell)
    assert rest.plane.offset == pytest.approx(part * depth, rel=1e-3)
    assert rest.below.centre[2] == pytest.approx(rise, rel=1e-3)
    athwart, lengthwise = 4.0 / 105.0 * length * beam**3 * w**3, beam * length**3 / 30.0 * w
    assert rest.heights[1, 1] + 200.0 == pytest.approx(rise + athwart / volume, rel=1e-3)
    assert rest.heights[0, 0] + 200.0 == pytest.approx(rise + lengthwise / volume, rel=1e-3)


@settings(max_examples=25, deadline=None)
@given(st.floats(200, 900), st.floats(1300, 2300), st.floats(-120, 120), st.floats(200, 700))
def test_at_rest_buoyancy_is_plumb_over_the_centre_of_mass(mass, x, y, z):
    body = body_of(demo("vee18"))
    weight = load(x, y, z, mass)
    rest = settle(body, weight)
    assert rest.below.volume * 1e-9 * FRESH == pytest.approx(mass, rel=1e-5)
    apart = np.cross(rest.below.centre - weight.centre_at(rest.plane.normal), rest.plane.normal)
    assert np.abs(apart).max() < 0.01
    assert np.linalg.eigvalsh(rest.heights).min() > 0.0


def test_fixed_stations_agree_with_exact_volumes():
    for name in ("lake16", "flat14", "vee18"):
        shell = outer_shell(demo(name))
        body = Body.of(shell)
        weight = load(1700.0, 40.0, 450.0, 600.0)
        quick, exact = settle(body, weight), settle(body, weight, shell=shell)
        # a hundredth of a degree and a tenth of a millimetre: finer than water lies still
        assert math.degrees(quick.heel) == pytest.approx(math.degrees(exact.heel), abs=0.02)
        assert math.degrees(quick.trim) == pytest.approx(math.degrees(exact.trim), abs=0.01)
        assert quick.gm == pytest.approx(exact.gm, rel=5e-3)


def test_free_surface_takes_its_moment_off():
    # tank 1.0 x 0.8 m of fresh water: loss rho l b^3 / 12 / mass = 47.407 mm where the boat is 900 kg in all
    tank = Liquid.filling("tank", rectangle(1900, -400, 2900, 400), 100.0, 300.0, 0.5, FRESH)
    assert tank.mass == pytest.approx(80.0)
    barge = body_of(box(LONG, WIDE, HIGH))
    own = Load.of(MASS - tank.mass, np.array([LONG / 2, 0.0, UP]), [tank])
    solid = Load.of(MASS, own.centre_at(np.array([0.0, 0.0, 1.0])))
    assert settle(barge, solid).gm - settle(barge, own).gm == pytest.approx(47.407, rel=1e-4)
    full = Liquid.filling("tank", rectangle(1900, -400, 2900, 400), 100.0, 300.0, 1.0, FRESH)
    assert not full.spread.any()


def test_liquid_runs_down_as_its_wedge_does():
    # rectangle of width b, depth h, tilted by a: centre moves b^2 tan a / (12 h) across, half that tan a up
    tank = Liquid.filling("tank", rectangle(0, -300, 500, 300), 0.0, 400.0, 0.5, FRESH)
    a = math.radians(12.0)
    moved = tank.centre_at(normal_at(a, 0.0)) - tank.centre
    across = 600.0**2 * math.tan(a) / (12.0 * 200.0)
    assert moved == pytest.approx([0.0, across, across * math.tan(a) / 2.0], abs=1e-9)


def test_what_weighs_more_than_the_hull_displaces_sinks_her(barge):
    with pytest.raises(WouldSinkError):
        settle(barge, load(LONG / 2, 0.0, UP, 7777.0))


@settings(max_examples=20, deadline=None)
@given(st.floats(30, 3000), st.floats(-500, 6000), st.floats(-900, 900), st.floats(-500, 3000))
def test_whatever_is_asked_ends_at_rest_or_says_that_it_does_not(mass, x, y, z):
    body = body_of(demo("flat14"))
    try:
        rest = settle(body, load(x, y, z, mass))
    except NoRestError:
        return
    assert np.abs(rest.levers).max() < 1.0
    assert rest.below.volume * 1e-9 * FRESH == pytest.approx(mass, rel=2e-3)


def test_a_boat_settles_from_any_start(barge):
    weight = load(2300.0, 60.0, 500.0)
    wanted = settle(barge, weight)
    for heel, trim, z in ((0.6, 0.0, 100.0), (-0.8, 0.3, 700.0), (0.2, -0.4, 5.0)):
        start = Plane.through((2400.0, 0.0, z), normal_at(heel, trim))
        assert settle(barge, weight, start=start).heel == pytest.approx(wanted.heel, abs=1e-6)


def test_an_outside_moved_by_the_sheet_floats_higher():
    # a box of sheet t: outside L + 2t, B + 2t, bottom t lower
    hull = box(3000.0, 1200.0, 500.0)
    thick = type(hull)(hull.lines, hull.skins, hull.transom, _bow(3000.0), 3.0)
    outer = outer_shell(thick)
    assert Body.of(outer).volume == pytest.approx(3006.0 * 1206.0 * 503.0, rel=1e-9)
    rest = settle(Body.of(outer), load(1500.0, 0.0, 200.0, 300.0))
    assert rest.plane.offset == pytest.approx(300e6 / (3006.0 * 1206.0) - 3.0, rel=1e-6)


def _bow(x: float) -> Plane:
    return Plane(np.array([1.0, 0.0, 0.0]), x)


def test_one_equilibrium_by_plain_search():
    # scipy finds the level draught of a trimmed-free hull from volumes alone
    body = body_of(demo("flat14"))
    weight = 420.0
    level = brentq(lambda z: body.below(Plane(np.array([0.0, 0.0, 1.0]), z)).volume * 1e-6 - weight, 20, 500)
    x = body.below(Plane(np.array([0.0, 0.0, 1.0]), level)).centre[0]
    rest = settle(body, load(float(x), 0.0, 300.0, weight))
    assert rest.plane.offset == pytest.approx(level, abs=1e-3)
    assert rest.trim == pytest.approx(0.0, abs=1e-6)
