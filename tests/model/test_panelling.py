"""Sheets over the frame: decks with their openings, seams on members, and what is left of each."""

from __future__ import annotations

import math

import numpy as np
import pytest

from model.panelling.upright import Line, corner_cuts, upright_panel
from parts.catalogue import starter
from tests.model.boats import DECK, GAP, HALF, SHEET, build, demo, named

PLATE = starter().sheet("5052-2mm")


def sheets(boat, prefix):
    return [p for p in boat.panels if p.name.startswith(prefix)]


def test_the_sheet_of_a_deck_has_its_openings_cut_out():
    hatch = {"centre": [1100, 0], "length": 400, "width": 300, "radius": 50}
    boat = build(decks={"main": {**DECK, "aft": 800, "forward": 1400, "openings": {"hatch": hatch}}})
    (sheet,) = sheets(boat, "deck.main/sheet")
    assert sheet.area == pytest.approx(600 * 2 * (HALF - GAP) - (400 * 300 - (4 - math.pi) * 50**2), rel=1e-9)
    (hole,) = sheet.holes
    assert np.count_nonzero(hole.bulges) == 4  # its corners are true arcs
    np.testing.assert_allclose(sheet.box[:, 2], (300 - SHEET, 300), atol=1e-9)


def test_a_deck_larger_than_the_stock_is_parted_on_members():
    width, length = 1250.0, 1000.0
    stock = {"sheets": {"small": {"thickness": 2, "alloy": "5052-H32", "sizes": [[1000, 1250]]}}}
    boat = build(decks={"main": {**DECK, "aft": 60, "forward": 2940, "sheet": "small"}}, catalogue=stock)
    parts = sheets(boat, "deck.main/sheet")
    assert len(parts) > 1
    beams = [m.a[0] for m in boat.members if "/beam." in m.name]
    edges = sorted({round(float(x), 3) for p in parts for x in p.box[:, 0]})
    for x in edges[1:-1]:
        assert min(abs(x - b) for b in beams) <= 0.5 + 1e-6
    for part in parts:
        long, short = max(part.extents), min(part.extents)
        assert long <= max(width, length) + 1e-6
        assert short <= min(width, length) + 1e-6
    gap = 1.0 * (len(parts) - 1)
    assert sum(p.area for p in parts) == pytest.approx((2880 - gap) * 2 * (HALF - GAP), rel=1e-9)


def test_seams_that_the_file_asks_for():
    boat = build(decks={"main": {**DECK, "aft": 500, "forward": 1700, "seams": [900, 1300]}})
    parts = sheets(boat, "deck.main/sheet")
    assert [p.name for p in parts] == [f"deck.main/sheet.{k}" for k in (1, 2, 3)]
    np.testing.assert_allclose([p.box[1, 0] - p.box[0, 0] for p in parts], (399.5, 399, 399.5))


def test_fore_and_aft_seams_are_mirrored_with_their_deck():
    deck = {
        **DECK,
        "aft": 500,
        "forward": 1700,
        "starboard": 100,
        "both_sides": True,
        "seams": [350],
        "frame": {"direction": "fore_aft"},
    }
    boat = build(decks={"main": deck})
    port = sorted(float(v) for p in sheets(boat, "deck.main.port/sheet") for v in np.round(p.box[:, 1], 3))
    starboard = sorted(
        -float(v) for p in sheets(boat, "deck.main.starboard/sheet") for v in np.round(p.box[:, 1], 3)
    )
    assert port == pytest.approx(starboard)
    assert any(abs(v - 350.5) < 1e-3 for v in port)


def test_a_riser_of_which_nothing_is_left_is_told():
    """A deck 3 mm above what its riser ends on."""
    boat = build(decks={"main": {**DECK, "risers": {"aft": {"down_to": 296}}}})
    assert not sheets(boat, "deck.main/riser")
    (told,) = [f for f in boat.findings if f.kind == "sheet"]
    assert told.pieces == ("deck.main/riser.aft.1",)
    assert "nothing of it is left" in told.what


@pytest.mark.parametrize("name", ["lake16", "flat14", "vee18"])
def test_no_sheet_of_a_demo_boat_has_vanished(name):
    boat = demo(name)
    assert not [f for f in boat.findings if f.kind in ("sheet", "seam")]
    for panel in boat.panels:
        assert panel.area > 100
        assert panel.polygon.is_valid


# --- upright panels


def test_a_line_faces_to_its_right_or_left():
    line = Line("x", np.array([0.0, 0]), np.array([100.0, 0]))
    np.testing.assert_allclose(line.frame().z, (0, -1, 0), atol=1e-12)
    left = Line("x", np.array([0.0, 0]), np.array([100.0, 0]), "left")
    np.testing.assert_allclose(left.frame().z, (0, 1, 0), atol=1e-12)
    for one in (line, left):
        np.testing.assert_allclose(one.frame().y, (0, 0, 1))


def test_a_panel_over_a_line():
    line = Line("x", np.array([0.0, 0]), np.array([100.0, 0]), "right", 5.0, 2.0)
    panel = upright_panel(line, PLATE, "riser", (50.0, 70.0), 10.0, None, 0.0)
    # from 5 to 98 along it, up to a top that rises 0.2 in 1
    assert panel.area == pytest.approx(93 * (40 + 0.2 * 51.5))
    np.testing.assert_allclose(panel.box[:, 1], (0, SHEET), atol=1e-9)
    assert upright_panel(line, PLATE, "riser", (12.0, 12.0), 10.0, None, 0.0) is None
    assert upright_panel(line, PLATE, "riser", (5.0, 5.0), 10.0, None, 0.0) is None


def test_corner_cuts():
    """At a right angle that closes on the metal each panel gives way by its thickness."""
    square = np.array([(0.0, 0), (100, 0), (100, 100), (0, 100)])
    np.testing.assert_allclose(corner_cuts(square, True, 2.0, metal_left=True), 2.0)
    np.testing.assert_allclose(corner_cuts(square, True, 2.0, metal_left=False), 0.0)
    bent = np.array([(0.0, 0), (100, 0), (200, 100)])
    np.testing.assert_allclose(corner_cuts(bent, False, 2.0, True), (0, 2 * math.tan(math.radians(22.5)), 0))


def test_every_panel_is_named_once():
    for name in ("lake16", "flat14", "vee18"):
        boat = demo(name)
        names = [p.name for p in (*boat.members, *boat.panels, *boat.strips, *boat.fixtures)]
        assert len(names) == len(set(names))
        assert named(boat, boat.panels[0].name) is boat.panels[0]
