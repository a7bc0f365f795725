"""Bulkheads, seat boxes, consoles and fixtures: sizes and places against values worked out by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.model.boats import (
    BOTTOM,
    DECK,
    FLARE,
    FLARED,
    GAP,
    HALF,
    SHEET,
    TUBE_HEIGHT,
    build,
    named,
)

SOLE = {"sole": {"height": 100, "aft": 200, "forward": 2800}}
TUBE = 25.4
"""Side of the square tube that boxes and consoles are framed of unless the file says."""


# --- bulkheads


def bulkhead(hull=None, **entry):
    found = build(hull=hull or build().document.data["hull"], decks={"main": DECK}, bulkheads={"b": entry})
    return named(found, "bulkhead.b/sheet")


def test_a_bulkhead_across_the_box_is_a_rectangle():
    sheet = bulkhead(at=1500, top=280)
    assert sheet.area == pytest.approx((280 - GAP) * 2 * (HALF - GAP), rel=1e-9)
    np.testing.assert_allclose(sheet.box[:, 2], (GAP, 280), atol=1e-6)


def test_under_a_deck_it_reaches_to_the_frame():
    assert bulkhead(at=1500, under="main").box[1, 2] == pytest.approx(300 - SHEET - TUBE_HEIGHT)


def test_in_a_flared_hull_it_is_a_trapezium():
    """Its sides stand off the skin by the gap, measured square to it; its foot off the bottom by the gap."""
    sheet = bulkhead(hull=FLARED, at=1500, top=280)
    lean = math.hypot(1, FLARE)
    half = [BOTTOM + FLARE * z - GAP * lean for z in (GAP, 280)]
    assert sheet.area == pytest.approx((half[0] + half[1]) * (280 - GAP), rel=1e-6)


def test_a_bulkhead_of_one_side_goes_from_there_to_the_hull():
    """`port` alone or `starboard` alone bounds it; on the other hand it runs to the skin."""
    left = bulkhead(at=1500, top=280, starboard=100)
    np.testing.assert_allclose(left.box[:, 1], (100, HALF - GAP), atol=1e-6)
    right = bulkhead(at=1500, top=280, port=-100, bottom=50)
    np.testing.assert_allclose(right.box[:, 1], (GAP - HALF, -100), atol=1e-6)
    assert right.area == pytest.approx(230 * (HALF - GAP - 100), rel=1e-9)


def test_a_bulkhead_at_an_angle():
    sheet = bulkhead(along=[[1000, -200], [1300, 200]], bottom=50, top=250)
    assert sheet.area == pytest.approx(500 * 200)
    assert abs(sheet.frame.z[0]) == pytest.approx(0.8)


# --- seat boxes


def test_a_seat_box_stands_on_its_deck():
    box = {"on": "sole", "centre": [1000, 100], "length": 400, "width": 300, "height": 250, "border": 40}
    boat = build(decks=SOLE, seat_boxes={"seat": box})
    plan = boat.layout.decks["seat.seat"]
    np.testing.assert_allclose(plan.area.bounds, (800, -50, 1200, 250))
    assert plan.height_at(1000) == pytest.approx(350)
    assert plan.stands_on == "deck.sole"
    np.testing.assert_allclose(plan.frame_area.bounds, (802, -48, 1198, 248))
    (lid,) = plan.openings
    np.testing.assert_allclose(lid.outline.bounds, (840, -10, 1160, 210), atol=1e-9)
    # four faces from under its top down to the sole
    faces = [p for p in boat.panels if p.name.startswith("seat.seat/riser.")]
    assert len(faces) == 4
    for face in faces:
        np.testing.assert_allclose(face.box[:, 2], (100, 350 - SHEET), atol=1e-9)
    top = named(boat, "seat.seat/sheet.1")
    assert top.area == pytest.approx(400 * 300 - 320 * 220)
    # and a post at each corner
    posts = [m for m in boat.members if m.name.startswith("seat.seat/") and "/post." in m.name]
    assert len(posts) == 4
    for post in posts:
        assert post.length == pytest.approx(250 - SHEET - TUBE)


def test_seat_boxes_on_both_sides_and_repeated():
    box = {
        "on": "sole",
        "centre": [600, -300],
        "length": 300,
        "width": 300,
        "height": 250,
        "both_sides": True,
        "every": {"step": 800, "count": 2},
    }
    boat = build(decks=SOLE, seat_boxes={"seat": box})
    names = [n for n in boat.layout.decks if n.startswith("seat.")]
    assert names == ["seat.seat.1.starboard", "seat.seat.1.port", "seat.seat.2.starboard", "seat.seat.2.port"]
    middles = [boat.layout.decks[n].area.centroid for n in names]
    np.testing.assert_allclose(
        [(m.x, m.y) for m in middles], [(600, -300), (600, 300), (1400, -300), (1400, 300)]
    )


def test_a_box_on_a_fraction_of_a_millimetre_is_told_in_full():
    box = {"on": "sole", "centre": [1000, 1e-9], "length": 400, "width": 300, "height": 250}
    assert "seat.seat" in build(decks=SOLE, seat_boxes={"seat": box}).layout.decks


# --- consoles

HELM = {
    "on": "sole",
    "centre": [1500, -250],
    "length": 400,
    "width": 300,
    "height": 500,
    "face_from": 300,
    "face_angle": 30,
}


def console(**changes):
    return build(decks=SOLE, consoles={"helm": {**HELM, **changes}})


def test_the_profile_of_a_console():
    (plan,) = console().layout.consoles
    top = -200 + 200 * math.tan(math.radians(30))
    np.testing.assert_allclose(plan.profile, [(-200, 0), (200, 0), (200, 500), (top, 500), (-200, 300)])
    np.testing.assert_allclose(plan.frame.origin, (1500, -250, 100))
    np.testing.assert_allclose(plan.frame.x, (1, 0, 0))
    (other,) = console(faces="forward").layout.consoles
    np.testing.assert_allclose(other.frame.x, (-1, 0, 0), atol=1e-12)
    np.testing.assert_allclose(other.frame.z, (0, 0, 1), atol=1e-12)


@pytest.mark.parametrize("faces", ["aft", "forward"])
def test_the_sheets_of_a_console(faces):
    boat = console(faces=faces)
    run, rise = 200 * math.tan(math.radians(30)), 200
    area = 400 * 500 - run * rise / 2
    for side in ("port", "starboard"):
        assert named(boat, f"console.helm/side.{side}").area == pytest.approx(area)
    between = 300 - 2 * SHEET
    slope = math.hypot(run, rise)
    cut = SHEET * math.tan(math.radians(15))  # where two faces meet at 30 degrees off straight
    square = SHEET  # at a right angle
    wanted = {
        "back": 500 - square,
        "top": 400 - run - square - SHEET * math.tan(math.radians(30)),
        "face": slope - cut - SHEET * math.tan(math.radians(30)),
        "front": 300 - cut,
    }
    for name, length in wanted.items():
        sheet = named(boat, f"console.helm/{name}")
        assert sheet.area == pytest.approx(between * length, rel=1e-9), name
    # the face looks up and towards the side that it faces
    face = named(boat, "console.helm/face")
    away = 1 if faces == "aft" else -1
    np.testing.assert_allclose(face.frame.z, (-away * math.cos(math.radians(30)), 0, 0.5), atol=1e-12)


@pytest.mark.parametrize("faces", ["aft", "forward"])
def test_all_sheets_lie_within_the_consoles_outside(faces):
    boat = console(faces=faces)
    for panel in boat.panels:
        if panel.name.startswith("console."):
            low, high = panel.box
            assert (low >= np.array([1300, -400, 100]) - 1e-6).all(), panel.name
            assert (high <= np.array([1700, -100, 600]) + 1e-6).all(), panel.name


# --- fixtures


def fixture(fixtures, **sections):
    boat = build(decks=sections.pop("decks", SOLE), fixtures=fixtures, **sections)
    return {f.name: f for f in boat.fixtures}


def test_a_fixture_stands_on_its_deck():
    found = fixture(
        {"post": {"part": "pedestal-7", "on": "sole", "at": [900, -50], "raise_by": 5, "turn": 90}}
    )
    frame = found["fixture.post"].frame
    np.testing.assert_allclose(frame.origin, (900, -50, 105))
    np.testing.assert_allclose(frame.x, (0, 1, 0), atol=1e-12)


def test_a_fixture_on_a_lid_stands_on_its_plate():
    deck = {
        **DECK,
        "openings": {"hatch": {"centre": [900, 0], "length": 300, "width": 240, "lid": {"flange": 15}}},
    }
    found = fixture(
        {"post": {"part": "pedestal-7", "on": "main.hatch", "at": [900, 0]}}, decks={"main": deck}
    )
    assert found["fixture.post"].frame.origin[2] == pytest.approx(300 + SHEET)


def test_a_fixture_on_a_seat_box_in_a_locker_and_on_the_hull():
    box = {
        "on": "sole",
        "centre": [1000, 100],
        "length": 400,
        "width": 300,
        "height": 250,
        "lid": {"flange": 0},
    }
    locker = {"under": "sole", "aft": 1500, "forward": 2000, "port": 300, "starboard": -300, "floor": 30}
    found = fixture(
        {
            "a": {"part": "seat-folding", "on": "seat", "at": [1000, 100]},
            "b": {"part": "pedestal-7", "on": "bin", "at": [1700, 0]},
            "c": {"part": "pedestal-7", "on": "hull", "at": [1000, -200]},
        },
        seat_boxes={"seat": box},
        lockers={"bin": locker},
    )
    assert found["fixture.a"].frame.origin[2] == pytest.approx(350)
    assert found["fixture.b"].frame.origin[2] == pytest.approx(30)
    assert found["fixture.c"].frame.origin[2] == pytest.approx(0)


def test_on_a_flared_bottom_a_part_lies_on_the_highest_skin_under_it():
    """A V bottom that rises 0.2 in 1: the higher corner of a part carries it, turned or not."""
    lines = {"keel": [0, 0], "chine": [500, 100], "gunwale": [600, 500]}
    hull = {**build().document.data["hull"], "stations": [{"at": x, **lines} for x in (0, 1500, 3000)]}
    for turn in (0, 90):
        boat = build(
            hull=hull, fixtures={"a": {"part": "group-31", "on": "hull", "at": [1500, 200], "turn": turn}}
        )
        (plan,) = boat.layout.fixtures
        x0, y0, _, x1, y1, _ = plan.part.bounds
        reach = max(abs(y0), abs(y1)) if turn == 0 else max(abs(x0), abs(x1))
        assert plan.frame.origin[2] == pytest.approx(0.2 * (200 + reach), abs=1e-6)


def test_fixtures_on_both_sides_turn_the_other_way():
    found = fixture(
        {
            "post": {
                "part": "pedestal-7",
                "on": "sole",
                "at": [900, 200],
                "turn": 30,
                "both_sides": True,
                "every": {"step": 300, "count": 2},
            }
        }
    )
    assert list(found) == [f"fixture.post.{k}.{s}" for k in (1, 2) for s in ("port", "starboard")]
    port, starboard = found["fixture.post.2.port"].frame, found["fixture.post.2.starboard"].frame
    np.testing.assert_allclose(port.origin, (1200, 200, 100))
    np.testing.assert_allclose(starboard.origin, (1200, -200, 100))
    np.testing.assert_allclose(starboard.x, port.x * [1, -1, 1], atol=1e-12)
