"""Lockers, wells, trays and boxes: their areas, floors and walls against values worked out by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from model.strip import Strip
from tests.model.boats import BOTTOM, BOX, DECK, FLARE, FLARED, GAP, SHEET, TUBE_HEIGHT, build, named

UNDER = 300 - SHEET - TUBE_HEIGHT
"""Underside of the deck's frame."""

HATCH = {"aft": 600, "forward": 900, "starboard": 100, "port": 340}


def boat(hull=BOX, openings=None, deck=None, **lockers):
    deck = {**DECK, "openings": openings or {"hatch": HATCH}, **(deck or {})}
    return build(hull=hull, decks={"main": deck}, lockers=lockers)


def sheets(found, prefix):
    return {
        p.name.removeprefix(prefix + "/"): p
        for p in (*found.panels, *found.strips)
        if p.name.startswith(prefix)
    }


def test_a_well_hangs_in_its_opening():
    """Four walls from under the sheet to below the floor, metal outside: the inside is the opening."""
    found = boat(well={"kind": "well", "under": "main.hatch", "floor": 60})
    plan = found.layout.lockers["locker.well"]
    assert plan.hangs_in_opening
    assert plan.top == pytest.approx(300 - SHEET)
    np.testing.assert_allclose(plan.area.bounds, (600, 100, 900, 340))
    parts = sheets(found, "locker.well")
    assert set(parts) == {"wall.aft", "wall.forward", "wall.port", "wall.starboard", "floor"}
    assert parts["floor"].area == pytest.approx(300 * 240)
    high = 300 - SHEET - 60 + SHEET
    assert parts["wall.aft"].area == pytest.approx(240 * high)
    assert parts["wall.port"].area == pytest.approx(300 * high)
    np.testing.assert_allclose(parts["wall.aft"].box[:, 0], (600 - SHEET, 600), atol=1e-9)
    np.testing.assert_allclose(parts["wall.port"].box[:, 1], (340, 340 + SHEET), atol=1e-9)
    assert parts["wall.port"].box[0, 2] == pytest.approx(60 - SHEET)


def test_the_frame_makes_room_for_its_walls():
    found = boat(well={"under": "main.hatch", "floor": 60})
    clear = found.layout.decks["deck.main"].openings[0].clear
    np.testing.assert_allclose(clear.bounds, (600 - SHEET, 100 - SHEET, 900 + SHEET, 340 + SHEET))
    carling = named(found, "deck.main/hatch/carling.port")
    assert carling.box[0, 1] == pytest.approx(340 + SHEET)


def test_a_well_under_rounded_corners_is_square_and_closed():
    found = boat(
        openings={"hatch": {**HATCH, "radius": 50}}, well={"kind": "well", "under": "main.hatch", "floor": 60}
    )
    parts = sheets(found, "locker.well")
    assert parts["floor"].area == pytest.approx(300 * 240)
    lengths = {n: float(np.ptp(p.outline.points[:, 0])) for n, p in parts.items() if n != "floor"}
    assert lengths["wall.aft"] == pytest.approx(240)
    assert lengths["wall.port"] == pytest.approx(300)


def test_a_locker_under_a_deck_reaches_up_to_its_frame():
    found = boat(
        bin={"under": "main", "aft": 500, "forward": 1000, "starboard": -200, "port": 300, "floor": 80}
    )
    plan = found.layout.lockers["locker.bin"]
    assert plan.top == pytest.approx(UNDER)
    np.testing.assert_allclose(plan.area.bounds, (500, -200, 1000, 300))
    parts = sheets(found, "locker.bin")
    assert parts["wall.aft"].area == pytest.approx(500 * (UNDER - 80 + SHEET))
    assert parts["floor"].area == pytest.approx(500 * 500)


def test_a_box_along_a_flared_side_tapers_with_it():
    """Half-breadths grow by 0.4 z; the wall's back follows them at the gap, from floor to frame."""
    found = boat(
        hull=FLARED,
        box={
            "kind": "box",
            "under": "main",
            "aft": 500,
            "forward": 1500,
            "port": "hull",
            "starboard": 200,
            "floor": 100,
        },
    )
    lean = math.hypot(1, FLARE)
    low, high = (BOTTOM + FLARE * z - (GAP + SHEET) * lean for z in (100, UNDER))
    parts = sheets(found, "locker.box")
    assert parts["floor"].area == pytest.approx(1000 * (low - 200), rel=1e-5)
    np.testing.assert_allclose(
        found.layout.lockers["locker.box"].area.bounds, (500, 200, 1500, high), atol=1e-4
    )
    wall = parts["wall.port"]
    assert isinstance(wall, Strip)
    np.testing.assert_allclose(np.abs(wall.edge_a[:, 1]), high, atol=1e-4)
    np.testing.assert_allclose(np.abs(wall.edge_b[:, 1]), low, atol=1e-4)
    assert wall.area == pytest.approx(1000 * (UNDER - 100) * lean, rel=1e-4)
    # its metal lies outside that face and keeps the gap to the skin
    off = found.hull.gap(wall.mesh().vertices)
    np.testing.assert_allclose((off.min(), off.max()), (GAP, GAP + SHEET), atol=0.01)
    # a wall across is a trapezium cut along the side
    aft = parts["wall.aft"]
    assert aft.area == pytest.approx(_trapezium(100 - SHEET, UNDER), rel=2e-3)


def _trapezium(low: float, high: float) -> float:
    """Area between y = 200 and the inner face of a wall along the skin, over two heights."""
    lean = math.hypot(1, FLARE)
    y0, y1 = (BOTTOM + FLARE * z - (GAP + SHEET) * lean - 200 for z in (low, high))
    return (y0 + y1) / 2 * (high - low)


def test_a_floor_on_the_hull_leaves_walls_to_it():
    found = boat(
        bin={"under": "main", "aft": 500, "forward": 1000, "starboard": -200, "port": 300, "floor": "hull"}
    )
    parts = sheets(found, "locker.bin")
    assert "floor" not in parts
    assert parts["wall.aft"].box[0, 2] == pytest.approx(GAP, abs=1e-6)


def test_open_sides_have_no_wall():
    found = boat(bin={"under": "main.hatch", "floor": 60, "open_sides": ["forward"]})
    assert "wall.forward" not in sheets(found, "locker.bin")


def test_insulation_sets_a_liner_inside():
    found = boat(
        ice={
            "kind": "box",
            "under": "main",
            "aft": 500,
            "forward": 1000,
            "starboard": -200,
            "port": 300,
            "floor": 80,
            "insulation": 40,
        }
    )
    liner = sheets(found, "locker.ice/liner")
    assert liner["floor"].area == pytest.approx(420 * 420)
    assert liner["floor"].box[1, 2] == pytest.approx(120)
    np.testing.assert_allclose(liner["wall.aft"].box[:, 0], (540 - SHEET, 540), atol=1e-9)
    assert liner["wall.aft"].area == pytest.approx(420 * (UNDER - 120 + SHEET))


def test_the_liner_of_an_angled_wall_keeps_the_insulation_square_to_it():
    starboard = [[1000, -200], [700, -200], {"angle": 225, "to_y": -400}]
    found = boat(
        ice={
            "under": "main",
            "aft": 400,
            "forward": 1000,
            "starboard": starboard,
            "port": 300,
            "floor": 80,
            "insulation": 40,
        }
    )
    liner = sheets(found, "locker.ice/liner")
    faces = [p for n, p in liner.items() if n.startswith("wall.starboard")]
    slanted = next(p for p in faces if abs(abs(p.frame.z[0]) - math.sqrt(0.5)) < 1e-9)
    corner = np.array([700.0, -200.0, 0.0])
    assert abs(float(slanted.frame.plane.height(corner))) == pytest.approx(40)


def test_the_liner_along_the_hull_stands_off_the_skin_by_its_insulation():
    found = boat(
        hull=FLARED,
        ice={
            "under": "main",
            "aft": 500,
            "forward": 1500,
            "port": "hull",
            "starboard": 200,
            "floor": 100,
            "insulation": 40,
        },
    )
    wall = sheets(found, "locker.ice/liner")["wall.port"]
    for edge in (wall.edge_a, wall.edge_b):
        np.testing.assert_allclose(found.hull.gap(edge), GAP + SHEET + 40, atol=0.05)


@pytest.mark.parametrize("described", ["port", "starboard"])
def test_a_locker_on_both_sides_under_an_opening_on_both_sides(described):
    sign = 1 if described == "port" else -1
    inner, outer = ("starboard", "port") if sign > 0 else ("port", "starboard")
    hatch = {"aft": 600, "forward": 900, inner: sign * 100, outer: sign * 340, "both_sides": True}
    found = boat(
        openings={"hatch": hatch},
        bin={"under": "main.hatch", "both_sides": True, outer: sign * 400, inner: sign * 50, "floor": 60},
    )
    port, starboard = (found.layout.lockers[f"locker.bin.{side}"] for side in ("port", "starboard"))
    np.testing.assert_allclose(port.area.bounds, (600, 50, 900, 400), atol=1e-9)
    np.testing.assert_allclose(starboard.area.bounds, (600, -400, 900, -50), atol=1e-9)
    assert port.opening == "deck.main/hatch.port"
    assert starboard.opening == "deck.main/hatch.starboard"


def test_a_locker_on_both_sides_of_one_deck_is_described_by_its_own_sides():
    found = boat(
        bin={
            "under": "main",
            "both_sides": True,
            "aft": 500,
            "forward": 900,
            "port": -100,
            "starboard": -300,
            "floor": 60,
        }
    )
    assert list(found.layout.lockers) == ["locker.bin.starboard", "locker.bin.port"]
    np.testing.assert_allclose(
        found.layout.lockers["locker.bin.port"].area.bounds, (500, 100, 900, 300), atol=1e-9
    )


def test_a_locker_within_an_outline():
    outline = [[500, -200], [900, -200], [900, 100], [700, 300], [500, 300]]
    found = boat(bin={"under": "main", "outline": outline, "floor": 60})
    parts = sheets(found, "locker.bin")
    assert parts["floor"].area == pytest.approx(400 * 500 - 200 * 200 / 2)
    assert len([n for n in parts if n.startswith("wall.")]) == 5


def test_under_a_sloping_deck_the_top_is_the_lower_end():
    slope = math.radians(4)
    found = boat(
        deck={"height": 200, "slope": 4},
        bin={"under": "main", "aft": 500, "forward": 1000, "starboard": -200, "port": 300, "floor": 60},
    )
    at = 200 + (500 - 200) * math.tan(slope)
    assert found.layout.lockers["locker.bin"].top == pytest.approx(
        at - (SHEET + TUBE_HEIGHT) / math.cos(slope)
    )
