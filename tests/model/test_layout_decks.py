"""Decks in the box and the flared hull: areas, gaps and heights against values worked out by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from model.layout.deck_plan import deck_frame_plane
from tests.model.boats import (
    BOTTOM,
    BOX,
    DECK,
    DEPTH,
    FIT,
    FLARE,
    FLARED,
    GAP,
    HALF,
    LENGTH,
    SHEET,
    TUBE_HEIGHT,
    build,
    hull,
    named,
)

WIDE = HALF - GAP


def deck(name="main", hull_of=BOX, **entry):
    return build(hull=hull_of, decks={name: {**DECK, **entry}}).layout.decks


def test_a_deck_stands_off_upright_sides_by_the_gap():
    found = deck()["deck.main"]
    np.testing.assert_allclose(found.area.bounds, (200, -WIDE, 2800, WIDE), atol=1e-9)
    assert found.area.area == pytest.approx(2600 * 2 * WIDE, rel=1e-12)
    np.testing.assert_allclose(found.frame_area.bounds, (200, FIT - HALF, 2800, HALF - FIT), atol=1e-9)
    assert found.height_at(0) == found.height_at(2000) == 300.0


def test_a_deck_to_the_transom_and_the_bow_stands_off_both():
    found = deck(aft="hull", forward="hull")["deck.main"]
    np.testing.assert_allclose(found.area.bounds, (GAP, -WIDE, LENGTH - GAP, WIDE), atol=1e-9)


def test_its_own_gap_goes_before_the_default():
    found = deck(hull_gap=20)["deck.main"]
    np.testing.assert_allclose(found.area.bounds[1], 20 - HALF, atol=1e-9)


def test_on_flared_sides_the_gap_is_a_true_distance():
    """The skin leans 0.4 in 1: a level gap is the true one times sqrt(1 + 0.4^2), at the lower face."""
    found = deck(hull_of=FLARED)["deck.main"]
    lean = math.hypot(1, FLARE)
    half = BOTTOM + FLARE * (300 - SHEET) - GAP * lean
    np.testing.assert_allclose(found.area.bounds[1::2], (-half, half), atol=1e-6)
    low = BOTTOM + FLARE * (300 - SHEET - TUBE_HEIGHT) - FIT * lean
    np.testing.assert_allclose(found.frame_area.bounds[1::2], (-low, low), atol=1e-6)


def test_the_skin_is_that_far_from_the_edge_of_the_sheet():
    boat = build(hull=FLARED, decks={"main": DECK})
    sheet = boat.layout.decks["deck.main"].area
    corners = [(x, y, 300 - SHEET) for x, y in sheet.exterior.coords if 300 < x < 2700]
    gaps = boat.hull.gap(np.array(corners))
    np.testing.assert_allclose(gaps, GAP, atol=1e-3)


def test_edges_of_all_kinds_at_once():
    """A face of 45 degrees from (1500, -300) out to the side."""
    starboard = [[2800, -300], [1500, -300], {"angle": 225, "to_y": -700}]
    found = deck(aft=1000, starboard=starboard, port=400)["deck.main"]
    # y from -300 to 400 over 1000..2800, and what the face opens aft of its turn
    x_side = 1500 - (WIDE - 300)
    wanted = 1800 * 700 + (WIDE - 300) ** 2 / 2 + (max(x_side, 1000) - 1000) * (WIDE - 300)
    assert found.area.area == pytest.approx(wanted, rel=1e-9)


def test_an_outline_in_place_of_edges():
    points = [[500, -200], [900, -200], [1000, 0], [900, 200], [500, 200]]
    found = build(decks={"main": {"height": 300, "outline": points}}).layout.decks["deck.main"]
    assert found.area.area == pytest.approx(400 * 400 + 400 * 100 / 2)


def test_a_sloping_deck_has_its_height_where_it_is_told():
    """Rising 5 degrees forward: 200 high at its aft edge unless `at` says where."""
    slope = math.radians(5)
    found = deck(height=200, slope=5)["deck.main"]
    assert found.height_at(200) == pytest.approx(200)
    assert found.height_at(1200) == pytest.approx(200 + 1000 * math.tan(slope))
    told = deck(height=250, slope=5, at=1500)["deck.main"]
    assert told.height_at(1500) == pytest.approx(250)
    assert told.height_at(500) == pytest.approx(250 - 1000 * math.tan(slope))


def test_a_sloping_deck_covers_its_plan_and_no_more():
    """Square edges lean with the deck: at its aft edge the lower arris, at its forward edge the upper one."""
    slope = math.radians(5)
    found = deck(height=200, slope=5)["deck.main"]
    length = (2600 - SHEET * math.sin(slope)) / math.cos(slope)
    u0, v0, u1, v1 = found.area.bounds
    assert u1 - u0 == pytest.approx(length, abs=0.2)
    assert v1 - v0 == pytest.approx(2 * WIDE, abs=1e-6)
    plan = found.plan_area().bounds
    assert plan[0] >= 200 - 1e-6
    assert plan[2] <= 2800 + 1e-6


def test_the_frame_of_a_level_deck_is_the_plan():
    frame = deck_frame_plane(300.0, 0.0, 200.0)
    np.testing.assert_allclose(frame.to_boat(np.array([700.0, -40.0])), (700, -40, 300))
    steep = deck_frame_plane(300.0, math.radians(30), 200.0)
    np.testing.assert_allclose(steep.z, (-0.5, 0, math.sqrt(0.75)), atol=1e-12)
    assert steep.plane.height(np.array([200.0, 55.0, 300.0])) == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("described", ["port", "starboard"])
def test_a_deck_on_both_sides_is_its_own_mirror_image(described):
    other = "starboard" if described == "port" else "port"
    inner = 350 if described == "port" else -350
    found = deck("side", both_sides=True, **{other: inner})
    assert list(found) == [f"deck.side.{described}", f"deck.side.{other}"]
    port, starboard = found["deck.side.port"], found["deck.side.starboard"]
    np.testing.assert_allclose(port.area.bounds, (200, 350, 2800, WIDE), atol=1e-9)
    np.testing.assert_allclose(starboard.area.bounds, (200, -WIDE, 2800, -350), atol=1e-9)
    assert (port.hand, port.base) == ("port", "side")


def test_a_hull_of_two_shapes_gives_each_side_its_own():
    lines = {"keel": [0, 0], "chine": [600, 0], "gunwale": [600, DEPTH]}
    narrow = {"keel": [0, 0], "chine": [500, 0], "gunwale": [500, DEPTH]}
    stations = [{"at": at, "port": lines, "starboard": narrow} for at in (0, 1500, 3000)]
    found = deck(hull_of=hull(stations=stations))["deck.main"]
    np.testing.assert_allclose(found.area.bounds, (200, GAP - 500, 2800, 600 - GAP), atol=1e-6)


# --- upright faces


def test_a_riser_hangs_from_under_the_sheet_to_the_lower_deck():
    boat = build(
        decks={
            "main": {**DECK, "forward": 1500, "risers": {"forward": {"down_to": "sole"}}},
            "sole": {"height": 100, "aft": 1500, "forward": 2500},
        }
    )
    riser = named(boat, "deck.main/riser.forward.1")
    # the sole only meets it: down to the underside of its frame
    low, high = 100 - SHEET - TUBE_HEIGHT, 300 - SHEET
    assert riser.area == pytest.approx((high - low) * 2 * WIDE, rel=1e-6)
    np.testing.assert_allclose(riser.box[:, 2], (low, high), atol=1e-6)
    np.testing.assert_allclose(riser.box[:, 0], (1500 - SHEET, 1500), atol=1e-6)


def test_a_riser_over_a_deck_that_runs_on_below_ends_on_its_sheet():
    boat = build(
        decks={
            "main": {**DECK, "forward": 1500, "risers": {"forward": {"down_to": "sole"}}},
            "sole": {"height": 100, "aft": 1000, "forward": 2500},
        }
    )
    assert named(boat, "deck.main/riser.forward.1").box[0, 2] == pytest.approx(100)


@pytest.mark.parametrize(("down_to", "low"), [(150, 150.0), ("hull", GAP), ("100 + 20", 120.0)])
def test_a_riser_to_a_height_or_the_hull(down_to, low):
    boat = build(decks={"main": {**DECK, "risers": {"aft": {"down_to": down_to}}}})
    assert named(boat, "deck.main/riser.aft.1").box[0, 2] == pytest.approx(low, abs=1e-3)


def test_risers_meet_at_corners_and_the_frame_stands_inside_them():
    """All round a deck 400 x 300: its faces meet within its edges; the frame is 2 mm in."""
    box = [[500, -150], [900, -150], [900, 150], [500, 150]]
    boat = build(decks={"main": {"height": 300, "outline": box, "risers": {"all": {"down_to": 100}}}})
    faces = [p for p in boat.panels if "/riser." in p.name]
    assert len(faces) == 4
    np.testing.assert_allclose(
        boat.layout.decks["deck.main"].frame_area.bounds, (502, -148, 898, 148), atol=1e-9
    )
    # cut back until their inner arrises touch: no two share any place, and none stands outside the edges
    for face in faces:
        low, high = face.box
        assert (low[:2] >= (500 - 1e-6, -150 - 1e-6)).all()
        assert (high[:2] <= (900 + 1e-6, 150 + 1e-6)).all()
    lengths = sorted(round(float(np.ptp(f.outline.points[:, 0])), 6) for f in faces)
    assert lengths == [300 - 2 * SHEET] * 2 + [400 - 2 * SHEET] * 2


def test_a_riser_on_an_angled_face_follows_every_run():
    boat = build(
        decks={
            "main": {
                **DECK,
                "forward": [[1500, -300], [1500, 0], {"angle": 135, "to_y": 300}],
                "risers": {"forward": {"down_to": 100}},
            }
        }
    )
    runs = sorted(p.name for p in boat.panels if "/riser." in p.name)
    assert runs == [f"deck.main/riser.forward.{i}" for i in range(1, len(runs) + 1)]
    face = min((named(boat, name) for name in runs), key=lambda p: abs(abs(p.frame.z[0]) - math.sqrt(0.5)))
    assert abs(face.frame.z[0]) == pytest.approx(math.sqrt(0.5))


def test_risers_keep_the_gap_of_their_own_deck():
    boat = build(decks={"main": {**DECK, "hull_gap": 20, "risers": {"aft": {"down_to": "hull"}}}})
    riser = named(boat, "deck.main/riser.aft.1")
    np.testing.assert_allclose(riser.box[:, 1], (20 - HALF, HALF - 20), atol=1e-6)
    assert riser.box[0, 2] == pytest.approx(20, abs=1e-6)
