"""Openings told from the deck's edges beside them, turned, and in the plane of a sloping deck."""

from __future__ import annotations

import math

import numpy as np
import pytest

from model.geometry import Frame
from parts.faults import BadInput
from tests.model.boats import DECK, build, deck_members, hull, named

FACE = [[2800, -200], [1500, -200], {"angle": 225, "to_y": -600}]
"""An edge to starboard along y = -200 that turns out at 45 degrees aft of x = 1500."""


def opening_of(boat, name="deck.main/hatch"):
    deck = boat.layout.decks[name.partition("/")[0]]
    return next(o for o in deck.openings if o.name == name)


@pytest.mark.parametrize(
    ("aft", "edge"),
    [(1800, -200.0), (1300, -200.0)],  # beside the straight part; beside the turn the innermost place counts
)
def test_a_distance_is_from_the_edge_beside_the_opening(aft, edge):
    hatch = {"aft": aft, "length": 300, "from_starboard": 80, "width": 200}
    found = opening_of(build(decks={"main": {**DECK, "starboard": FACE, "openings": {"hatch": hatch}}}))
    np.testing.assert_allclose(found.outline.bounds, (aft, edge + 80, aft + 300, edge + 280), atol=1e-6)


def test_beside_the_angled_run_alone_it_counts_from_there():
    """At x = 1200 to 1300 the face stands at y = -500 to -400: the innermost is -400."""
    hatch = {"aft": 1200, "forward": 1300, "from_starboard": 60, "width": 150}
    found = opening_of(build(decks={"main": {**DECK, "starboard": FACE, "openings": {"hatch": hatch}}}))
    assert found.outline.bounds[1] == pytest.approx(-400 + 60, abs=1e-3)


def test_along_a_hull_that_narrows_it_counts_from_the_narrowest_place():
    """Half-breadth 600 at x = 0 and 450 at x = 3000: 12.5 mm less at 2550 than at 2300; sheet gap 6 mm."""
    stations = [
        {"at": at, "keel": [0, 0], "chine": [half, 0], "gunwale": [half, 500]}
        for at, half in ((0, 600), (1500, 525), (3000, 450))
    ]
    hatch = {"aft": 2300, "forward": 2550, "from_port": 100, "width": 150}
    deck = {**DECK, "openings": {"hatch": hatch}}
    found = opening_of(build(hull=hull(stations=stations), decks={"main": deck}))
    edge = 600 - 0.05 * 2550 - 6 * math.hypot(1, 0.05)
    assert found.outline.bounds[3] == pytest.approx(edge - 100, abs=1e-3)


def test_a_catalogue_lid_turns_with_its_opening():
    hatch = {"centre": [1500, 0], "lid": "lid-600x400", "rotate": 90}
    boat = build(decks={"main": {**DECK, "openings": {"hatch": hatch}}})
    u0, v0, u1, v1 = opening_of(boat).outline.bounds
    assert (u1 - u0, v1 - v0) == pytest.approx((400, 600))
    lid = next(f for f in boat.fixtures if f.name == "deck.main/hatch/lid")
    points = np.vstack([p.mesh().vertices for p in lid.prisms])
    # 20 mm of flange all round
    np.testing.assert_allclose(np.ptp(points, axis=0)[:2], (440, 640), atol=1e-6)
    np.testing.assert_allclose((points.min(axis=0) + points.max(axis=0))[:2] / 2, (1500, 0), atol=1e-6)


def test_a_lid_made_to_order_is_told_by_its_own_sides():
    hatch = {"centre": [1500, 0], "length": 500, "width": 300, "rotate": 30, "lid": {"flange": 20}}
    boat = build(decks={"main": {**DECK, "openings": {"hatch": hatch}}})
    order = next(f for f in boat.fixtures if f.name == "deck.main/hatch/lid").order
    sizes = [order[k] for k in ("length", "width", "cutout_length", "cutout_width")]
    assert sizes == pytest.approx([540, 340, 500, 300])


def test_on_a_slope_lengths_are_measured_on_the_deck():
    """A catalogue lid fits a deck of 15 degrees: its cut-out keeps its size in the deck's plane."""
    hatch = {"centre": [1000, 0], "lid": "lid-600x400"}
    deck = {**DECK, "height": 100, "slope": 15, "forward": 1500, "openings": {"hatch": hatch}}
    boat = build(decks={"main": deck})
    found = opening_of(boat)
    u0, v0, u1, v1 = found.outline.bounds
    assert (u1 - u0, v1 - v0) == pytest.approx((600, 400))
    frame = boat.layout.decks["deck.main"].frame
    centre = frame.to_boat(np.array([(u0 + u1) / 2, (v0 + v1) / 2]))
    assert centre[0] == pytest.approx(1000)
    assert centre[2] == pytest.approx(100 + 800 * math.tan(math.radians(15)))


def test_a_turned_opening_on_a_slope_stays_square():
    hatch = {"centre": [1000, 0], "length": 300, "width": 200, "rotate": 30}
    deck = {**DECK, "height": 100, "slope": 15, "forward": 1500, "openings": {"hatch": hatch}}
    points = opening_of(build(decks={"main": deck})).outline.points
    sides = np.roll(points, -1, axis=0) - points
    np.testing.assert_allclose(sorted(np.hypot(*sides.T)), [200, 200, 300, 300], atol=1e-6)
    assert abs(sides[0] @ sides[1]) < 1e-6


def test_a_fixture_finds_the_seat_box_on_its_own_side():
    sole = {"height": 100, "aft": 200, "forward": 2800}
    box = {
        "on": "sole",
        "centre": [1000, -250],
        "length": 350,
        "width": 350,
        "height": 300,
        "both_sides": True,
    }
    cushion = {"part": "seat-cushion-15x14", "on": "box", "at": [1000, -250], "both_sides": True}
    boat = build(decks={"sole": sole}, seat_boxes={"box": box}, fixtures={"pad": cushion})
    at = {f.name: f.frame.origin for f in boat.fixtures if f.name.startswith("fixture.")}
    assert set(at) == {"fixture.pad.port", "fixture.pad.starboard"}
    assert at["fixture.pad.port"][1] == pytest.approx(250)
    assert at["fixture.pad.port"][2] == pytest.approx(at["fixture.pad.starboard"][2])
    assert at["fixture.pad.port"][2] >= 400


def test_a_ramp_ends_at_the_upright_face_it_runs_up_to():
    """The lowest arris of its frame, 52 mm below the top on a slope of 20 degrees, does not pass x = 2000."""
    ramp = {"height": 160, "slope": 20, "aft": 1500, "forward": 2000, "port": 300, "starboard": -300}
    boat = build(decks={"sole": {"height": 100, "aft": 200, "forward": 2800}, "ramp": ramp})
    members = deck_members(boat, "deck.ramp")
    reach = max(float(m.box[1, 0]) for m in members)
    assert reach == pytest.approx(2000, abs=1e-6)
    sheet = named(boat, "deck.ramp/sheet.1")
    assert sheet.box[1, 0] == pytest.approx(2000, abs=1e-6)
    assert sheet.box[0, 0] == pytest.approx(1500, abs=1e-6)


def test_a_straight_edge_has_one_riser_and_risers_meet_at_a_corner():
    deck = {**DECK, "starboard": -200, "port": 300, "forward": 1500}
    deck["risers"] = {"forward": {"down_to": 100}, "port": {"down_to": 100}}
    boat = build(decks={"main": deck})
    faces = {p.name: p.box for p in boat.panels if "/riser." in p.name}
    assert sorted(faces) == ["deck.main/riser.forward.1", "deck.main/riser.port.1"]
    # 2 mm sheets: each is cut back by its thickness where they meet, so that they touch along an arris
    assert faces["deck.main/riser.forward.1"][1, 1] == pytest.approx(298)
    assert faces["deck.main/riser.port.1"][1, 0] == pytest.approx(1498)


def test_a_turned_frame_keeps_its_place_and_handedness():
    frame = Frame.level(100.0, 5.0, 6.0).turned(math.radians(90))
    np.testing.assert_allclose(frame.to_boat(np.array([1.0, 0.0, 0.0])), (5, 7, 100), atol=1e-12)
    np.testing.assert_allclose(np.cross(frame.x, frame.y), frame.z, atol=1e-12)


@pytest.mark.parametrize("turn", [900, "x", "12.6 rad", -361])
def test_a_turn_that_is_none_is_a_fault_at_its_line(turn):
    hatch = {"centre": [1500, 0], "length": 400, "width": 300, "rotate": turn, "lid": {"flange": 20}}
    with pytest.raises(BadInput) as refused:
        build(decks={"main": {**DECK, "openings": {"hatch": hatch}}})
    assert {fault.place.key for fault in refused.value.faults} == {"decks.main.openings.hatch.rotate"}
