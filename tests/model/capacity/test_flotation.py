"""Flotation sums by hand from the handbook's formulas, and room for foam in boxes whose volume is plain."""

import numpy as np
import pytest

from model.capacity.flotation import (
    ALUMINIUM,
    basic_flotation_weight,
    foam_lift,
    level_flotation,
    submerged_weight,
)
from model.capacity.foam_room import BILGE, KEEL, foam_rooms
from tests.model.boats import DEPTH, HALF, LENGTH, SHEET, build


def test_level_flotation_of_an_aluminium_boat():
    # 520 lb below the line, 90 above; foam 2 lb/ft3; 40 hp swamped 255, battery 25; P 720, capacity 780 lb
    structure = 520.0 * ALUMINIUM + 90.0
    found = level_flotation(structure, 255.0 + 25.0, 720.0, 780.0, foam_lift(2.0))
    assert structure == pytest.approx(417.6)
    assert found.structure == pytest.approx(6.914, abs=5e-4)
    assert found.machinery == pytest.approx(4.636, abs=5e-4)
    assert found.persons == pytest.approx(5.153, abs=5e-4)
    assert found.total == pytest.approx(16.703, abs=5e-4)


def test_level_flotation_with_a_wooden_part():
    # 340 lb of aluminium, 30 lb of plywood (-0.81), 40 lb above; 9.9 hp 94 + 11; P and capacity 500 lb
    structure = 340.0 * ALUMINIUM - 30.0 * 0.81 + 40.0
    found = level_flotation(structure, 105.0, 500.0, 500.0, foam_lift(2.0))
    assert structure == pytest.approx(229.9)
    assert (found.structure, found.machinery, found.persons) == pytest.approx((3.806, 1.738, 4.139), abs=5e-4)
    assert found.total == pytest.approx(9.684, abs=1e-3)


def test_capacity_below_nothing_counts_as_nothing():
    assert level_flotation(0.0, 0.0, 300.0, -50.0, 60.0).persons == pytest.approx(2.5)


def test_basic_flotation_by_the_law():
    assert basic_flotation_weight(600.0, 850.0) == pytest.approx(142.5)


@pytest.mark.parametrize(("density", "lift"), [(0.0, 62.4), (1.5, 60.9), (2.0, 60.4), (4.0, 58.4)])
def test_foam_lift(density, lift):
    assert foam_lift(density) == pytest.approx(lift)


@pytest.mark.parametrize(("gravity", "share"), [(2.73, 0.63), (7.85, 0.873), (0.55, -0.82), (1.5, 0.33)])
def test_metals_lose_the_weight_of_their_water(gravity, share):
    assert submerged_weight(1.0, gravity) == pytest.approx(share, abs=0.005)


DECK = {"height": 300, "aft": 200, "forward": 1800, "port": 500, "starboard": -500}


def room_of(**sections):
    (room,) = foam_rooms(build(**sections))
    return room


def test_room_under_a_deck_in_a_box():
    room = room_of(decks={"d": DECK})
    volume = 1600.0 * (1000.0 - 2.0 * KEEL) * (300.0 - SHEET - BILGE)
    # cells of 40 mm miss or count half a row along each edge
    assert room.volume == pytest.approx(volume, rel=0.04)
    assert room.centre == pytest.approx([1000.0, 0.0, (300.0 - SHEET + BILGE) / 2.0], abs=15.0)


def test_an_opening_is_stowage_and_a_locker_its_own():
    opening = {"centre": [1000, 250], "length": 400, "width": 300, "lid": {"flange": 0}}
    plain, opened = room_of(decks={"d": DECK}), room_of(decks={"d": {**DECK, "openings": {"h": opening}}})
    height = 300.0 - SHEET - BILGE
    assert plain.volume - opened.volume == pytest.approx(400.0 * 300.0 * height, rel=0.12)
    assert opened.centre[1] < 0.0
    tray = {"under": "d", "aft": 400, "forward": 1400, "starboard": -450, "port": -150, "floor": 100}
    walled = room_of(decks={"d": DECK}, lockers={"k": tray})
    assert plain.volume - walled.volume == pytest.approx(1000.0 * 300.0 * 200.0, rel=0.12)


def test_foam_along_the_side_and_aft_is_told_apart():
    deck = {"height": 450, "aft": 50, "forward": 2900}
    room = room_of(decks={"d": deck})
    low = DEPTH / 2.0
    across = 2.0 * (HALF - KEEL) * (450.0 - SHEET - low)
    # cells count by their middles: up to half a cell of 40 mm in a height of 198
    assert room.aft == pytest.approx(across * (0.25 * LENGTH - 50.0), rel=0.15)
    # within 6 in of both sides, of which the deck keeps its gap, forward of the after quarter
    assert room.sides == pytest.approx(2.0 * 146.0 * (450.0 - SHEET - low) * (2900.0 - 750.0), rel=0.15)
    assert np.isfinite(room.centre).all()
