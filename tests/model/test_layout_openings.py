"""Openings told in every way, mirrored and repeated; lids of the catalogue and made to order."""

from __future__ import annotations

import math

import numpy as np
import pytest

from model.layout.opening_drawing import without_straight
from parts.catalogue import starter
from tests.model.boats import DECK, GAP, HALF, SHEET, build


def openings(deck=None, **entries):
    boat = build(decks={"main": {**DECK, **(deck or {}), "openings": entries}})
    return [o for d in boat.layout.decks.values() for o in d.openings]


WANTED = (600.0, 100.0, 900.0, 340.0)
"""aft, starboard, forward, port of the opening that every way below tells."""


@pytest.mark.parametrize(
    "told",
    [
        {"aft": 600, "forward": 900, "starboard": 100, "port": 340},
        {"centre": [750, 220], "length": 300, "width": 240},
        {"aft": 600, "length": 300, "starboard": 100, "width": 240},
        {"forward": 900, "length": 300, "port": 340, "width": 240},
        {"from_aft": 400, "from_forward": 1900, "from_port": HALF - GAP - 340, "width": 240},
        {"from_aft": 400, "length": 300, "from_starboard": HALF - GAP + 100, "from_port": HALF - GAP - 340},
        {"aft": "0.6 m", "forward": "900", "starboard": "50 + 50", "port": "max(340, 30)"},
        {"outline": [[600, 100], [900, 100], [900, 340], [600, 340]]},
        {"outline": [[600, 340], [900, 340], [900, 100], [600, 100]]},
        {
            "outline": [
                [600, 100],
                {"angle": 0, "length": 300},
                {"angle": 90, "to_y": 340},
                {"angle": 180, "to_x": 600},
            ]
        },
        {"outline": [[600, 100], [700, 100], [900, 100], [900, 340], [600, 340]]},
    ],
)
def test_every_way_of_telling_gives_the_same_opening(told):
    (found,) = openings(hatch=told)
    np.testing.assert_allclose(found.outline.bounds, WANTED, atol=1e-9)
    np.testing.assert_allclose(found.clear.bounds, WANTED, atol=1e-9)
    assert found.outline.area == pytest.approx(300 * 240)
    assert found.is_square_to_boat
    assert found.name == "deck.main/hatch"
    assert len(found.outline.points) == 4


def test_distances_go_from_the_edge_beside_the_opening():
    """The port edge runs from y = 400 aft to y = 300 forward; over 600..900 it reaches furthest in at 900."""
    port = [[200, 400], [2800, 300]]
    (found,) = openings({"port": port}, hatch={"aft": 600, "forward": 900, "from_port": 50, "width": 100})
    edge = 400 - 100 * (900 - 200) / 2600
    np.testing.assert_allclose(found.outline.bounds[1::2], (edge - 150, edge - 50), atol=0.01)


def test_rounded_corners_leave_the_framing_square():
    (found,) = openings(hatch={"centre": [750, 220], "length": 300, "width": 240, "radius": 40})
    assert found.outline.area == pytest.approx(300 * 240 - (4 - math.pi) * 40**2)
    np.testing.assert_allclose(found.clear.bounds, WANTED)
    assert found.corners.area == pytest.approx(300 * 240)


def test_a_round_opening_is_framed_clear_of_its_curve():
    """A square rounded by half its side is a circle; its framing stands outside it, not across it."""
    (found,) = openings(port={"centre": [750, 220], "length": 240, "width": 240, "radius": 120})
    assert found.outline.area == pytest.approx(math.pi * 120**2, rel=1e-9)
    assert found.clear.area == pytest.approx(240 * 240)
    assert found.clear.buffer(1e-6).covers(found.polygon)


def test_setback_moves_the_framing_away():
    (found,) = openings(hatch={"centre": [750, 220], "length": 300, "width": 240, "setback": 12})
    np.testing.assert_allclose(found.clear.bounds, (588, 88, 912, 352), atol=1e-9)
    np.testing.assert_allclose(found.outline.bounds, WANTED, atol=1e-9)


def test_a_turned_opening():
    (found,) = openings(hatch={"centre": [750, 220], "length": 300, "width": 200, "rotate": 30})
    c, s = math.cos(math.radians(30)), math.sin(math.radians(30))
    half = (150 * c + 100 * s, 150 * s + 100 * c)
    np.testing.assert_allclose(
        found.outline.bounds, (750 - half[0], 220 - half[1], 750 + half[0], 220 + half[1]), atol=1e-9
    )
    assert not found.is_square_to_boat


def test_both_sides_gives_the_mirror_image_with_the_described_one_first():
    found = openings(
        hatch={
            "centre": [750, -220],
            "length": 300,
            "width": 240,
            "hinge": "port",
            "both_sides": True,
            "lid": {"flange": 10},
        }
    )
    assert [o.name for o in found] == ["deck.main/hatch.starboard", "deck.main/hatch.port"]
    np.testing.assert_allclose(found[1].outline.bounds, WANTED, atol=1e-9)
    np.testing.assert_allclose(found[0].outline.bounds, (600, -340, 900, -100), atol=1e-9)
    assert [o.lid.hinge for o in found] == ["port", "starboard"]
    assert all(o.outline.area > 0 for o in found)


def test_repeats_go_forward_and_are_numbered():
    found = openings(
        bag={
            "aft": 400,
            "length": 200,
            "centre": None,
            "starboard": 100,
            "port": 300,
            "every": {"step": 300, "count": 3},
        }
    )
    assert [o.name.rpartition("/")[2] for o in found] == ["bag.1", "bag.2", "bag.3"]
    np.testing.assert_allclose([o.outline.bounds[0] for o in found], (400, 700, 1000), atol=1e-9)


def test_repeats_on_both_sides():
    found = openings(
        bag={
            "aft": 400,
            "length": 200,
            "starboard": 100,
            "port": 300,
            "both_sides": True,
            "every": {"step": 300, "count": 2},
        }
    )
    names = [o.name.rpartition("/")[2] for o in found]
    assert names == ["bag.1.port", "bag.1.starboard", "bag.2.port", "bag.2.starboard"]
    assert len({tuple(np.round(o.outline.bounds, 6)) for o in found}) == 4


def test_openings_of_a_deck_on_both_sides_are_mirrored_with_it():
    found = openings(
        {"starboard": 100, "both_sides": True},
        hatch={"aft": 600, "length": 300, "from_starboard": 50, "width": 200},
    )
    by_deck = {o.deck: o.outline.bounds for o in found}
    np.testing.assert_allclose(by_deck["deck.main.port"], (600, 150, 900, 350), atol=1e-9)
    np.testing.assert_allclose(by_deck["deck.main.starboard"], (600, -350, 900, -150), atol=1e-9)


def test_on_a_sloping_deck_stations_are_plan_stations_and_sizes_are_true():
    slope = math.radians(6)
    (found,) = openings(
        {"height": 150, "slope": 6}, hatch={"aft": 600, "length": 300, "starboard": 100, "port": 340}
    )
    u0, _, u1, _ = found.outline.bounds
    assert u0 * math.cos(slope) == pytest.approx(600)
    assert u1 - u0 == pytest.approx(300)


# --- lids


def test_a_catalogue_lid_sizes_its_opening():
    lid = starter().lid("lid-20x14")
    (found,) = openings(hatch={"centre": [750, 220], "lid": "lid-20x14", "hinge": "aft", "opens": 80})
    u0, v0, u1, v1 = found.outline.bounds
    assert (u1 - u0, v1 - v0) == pytest.approx((lid.length, lid.width))
    assert ((u0 + u1) / 2, (v0 + v1) / 2) == pytest.approx((750, 220))
    assert found.lid.mass == lid.mass
    assert found.lid.opens == pytest.approx(math.radians(80))
    lo_u, lo_v, hi_u, hi_v = found.lid.outline.bounds
    assert (lo_u + hi_u) / 2 == pytest.approx(750)
    assert hi_v - lo_v >= v1 - v0


def test_a_flush_lid_made_to_order_clears_its_cut_out():
    boat = build(
        decks={
            "main": {
                **DECK,
                "openings": {
                    "hatch": {
                        "centre": [750, 220],
                        "length": 300,
                        "width": 240,
                        "radius": 40,
                        "lid": {"clearance": 2},
                    }
                },
            }
        }
    )
    (lid,) = boat.fixtures
    assert lid.order["length"] == pytest.approx(296)
    assert lid.order["width"] == pytest.approx(236)
    assert lid.order["cutout_length"] == pytest.approx(300)
    # a plate of 2 mm with corners of 38 mm
    area = 296 * 236 - (4 - math.pi) * 38**2
    assert lid.volume == pytest.approx(area * SHEET, rel=1e-4)
    low, high = (f(p.box[i, 2] for p in lid.prisms) for i, f in ((0, min), (1, max)))
    assert (low, high) == pytest.approx((300 - SHEET, 300))


def test_a_lid_with_flange_and_skirt():
    boat = build(
        decks={
            "main": {
                **DECK,
                "openings": {
                    "hatch": {
                        "centre": [750, 220],
                        "length": 300,
                        "width": 240,
                        "lid": {"flange": 15, "depth": 30, "clearance": 3},
                    }
                },
            }
        }
    )
    (lid,) = boat.fixtures
    plate = (300 + 30) * (240 + 30) * SHEET
    outer, inner = (300 - 6, 240 - 6), (300 - 6 - 2 * SHEET, 240 - 6 - 2 * SHEET)
    skirt = (outer[0] * outer[1] - inner[0] * inner[1]) * 30
    assert lid.volume == pytest.approx(plate + skirt, rel=1e-6)
    density = boat.layout.decks["deck.main"].sheet.alloy.density
    assert lid.mass == pytest.approx((plate + skirt) * density * 1e-9, rel=1e-6)


def test_a_lid_weighed_keeps_its_mass():
    (found,) = openings(hatch={"centre": [750, 220], "length": 300, "width": 240, "lid": {"mass": 1.25}})
    assert found.lid.mass == 1.25


def test_corners_that_run_straight_on_are_left_out():
    square = np.array([(0.0, 0), (50, 0), (100, 0), (100, 100), (0, 100), (0, 30)])
    np.testing.assert_allclose(without_straight(square), [(0, 0), (100, 0), (100, 100), (0, 100)])
