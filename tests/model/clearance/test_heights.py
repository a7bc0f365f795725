"""Heights that a body meets, in a boat whose heights are known; and the whole check."""

from __future__ import annotations

import math

import pytest

from model.boat import Boat
from model.clearance.bodies import boat_bodies
from model.clearance.check import check_fit
from model.clearance.heights import HeightFound, HeightLimits, height_findings, heights
from tests.model.clearance.small_boat import punt

SEATED = """
lockers:
  dry: {under: aft, aft: 300, forward: 700, port: 200, starboard: -200, floor: 60}
fixtures:
  seat: {part: seat-folding, on: sole, at: [1200, 0], raise_by: 200}
  box: {part: group-31, on: sole, at: [1800, 0], raise_by: 200}
"""


def measured(boat: Boat, kind: str, piece: str, limits: HeightLimits | None = None) -> HeightFound:
    found = heights(boat, limits, boat_bodies(boat))
    return next(h for h in found if h.kind == kind and h.pieces[0] == piece)


def test_gunwale_and_step_are_differences_of_the_heights_given() -> None:
    boat = punt()
    assert measured(boat, "gunwale", "deck.aft").value == pytest.approx(600.0 - 400.0)
    assert measured(boat, "gunwale", "deck.sole").value == pytest.approx(600.0 - 150.0)
    step = measured(boat, "step", "deck.aft")
    assert step.value == pytest.approx(250.0)
    assert step.pieces == ("deck.aft", "deck.sole")
    assert step.where[0] == pytest.approx(900.0)


def test_the_lowest_way_up_counts() -> None:
    stair = "  stair: {height: 280, aft: 900, forward: 1100, port: 200, starboard: -200}\n"
    assert measured(punt(stair), "step", "deck.aft").value == pytest.approx(120.0)


def test_a_sloping_deck_is_measured_where_it_is_nearest_the_gunwale() -> None:
    ramp = "  ramp: {height: 300, slope: 10, aft: 2150, forward: 2900}\n"
    rise = 300.0 + 750.0 * math.tan(math.radians(10.0))
    assert measured(punt(ramp), "gunwale", "deck.ramp").value == pytest.approx(600.0 - rise, abs=0.5)


def test_cushion_knees_and_locker() -> None:
    boat = punt(SEATED)
    seat, box = (next(f for f in boat.fixtures if f.name == f"fixture.{n}") for n in ("seat", "box"))
    cushion = seat.prisms[0]
    assert measured(boat, "seat", "fixture.seat").value == pytest.approx(200.0 + cushion.z1)
    knees = measured(boat, "knees", "fixture.seat")
    assert knees.pieces == ("fixture.seat", "fixture.box")
    assert knees.value == pytest.approx(box.prisms[0].box[0, 0] - cushion.box[1, 0], abs=0.1)
    locker = measured(boat, "locker", "locker.dry")
    under_frame = 400.0 - boat.layout.decks["deck.aft"].sheet.thickness - 50.8
    assert locker.value == pytest.approx(under_frame - 60.0)


def test_nothing_ahead_is_endless_room() -> None:
    boat = punt(SEATED.partition("  box")[0])
    assert measured(boat, "knees", "fixture.seat").value == math.inf


def test_limits_make_findings() -> None:
    boat = punt(SEATED)
    strict = HeightLimits(gunwale=250.0, step=200.0, seat_low=500.0, seat_high=None, knees=None, locker=300.0)
    told = height_findings(heights(boat, strict, boat_bodies(boat)), boat)
    by_piece = {finding.pieces: finding.what for finding in told}
    assert by_piece[("deck.aft",)] == "gunwale over the deck 200.0 mm; 250.0 mm is the least asked"
    assert by_piece[("deck.aft", "deck.sole")] == "step up 250.0 mm; 200.0 mm is the most asked"
    assert ("fixture.seat", "deck.sole") in by_piece
    assert ("locker.dry",) in by_piece
    assert len(told) == 4
    assert not height_findings(heights(boat, HeightLimits(None, None, None, None, None, None)), boat)


def test_a_clean_boat_says_what_was_checked() -> None:
    report = check_fit(punt())
    assert report.findings == ()
    pairs, lids, tall = report.summary()
    assert "pairs measured" in pairs
    assert lids == "1 lid opened: none stopped"
    assert tall == f"{len(report.heights)} heights measured: none outside limits"


def test_overlaps_come_first_then_lids_then_gaps_then_heights() -> None:
    more = """
members:
  bar: {start: [200, 200, 500], end: [800, 200, 500]}
fixtures:
  deep: {part: group-31, on: sole, at: [1200, 0]}
  deeper: {part: group-31, on: sole, at: [1200, 40]}
"""
    report = check_fit(punt(more), limits=HeightLimits(gunwale=250.0))
    kinds = [finding.kind for finding in report.findings]
    assert kinds.index("lid") > kinds.index("overlap")
    assert kinds[-1] == "height"
    assert len({finding.pieces for finding in report.findings}) == len(report.findings)
