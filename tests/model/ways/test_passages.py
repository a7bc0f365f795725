"""Passages: read, refused, cut, and gone through."""

from __future__ import annotations

import math

import numpy as np
import pytest

from model.ways.route import NoWay, Run, Wanted, Ways
from model.ways.terminals import where
from parts.faults import BadInput
from tests.model.ways.punts import punt

RISER = "deck.aft/riser.forward.1"

BAD = {
    "a piece that is not there": (
        "bow: {at: [1000, 0, 200], through: [deck.aft/riser.forward.2], diameter: 30}",
        "passages.bow.through[1]",
        "deck.aft/riser.forward.1",
    ),
    "off the boat": (
        f"bow: {{at: [1000, 900, 200], through: [{RISER}], diameter: 30}}",
        "passages.bow.at",
        "outside the hull",
    ),
    "a point off the boat": (
        "bow: {points: [[900, 0, 200], [4000, 0, 200]], diameter: 30}",
        "passages.bow.points[2]",
        "outside the hull",
    ),
    "no size": (
        f"bow: {{at: [1000, 0, 200], through: [{RISER}], diameter: 0}}",
        "passages.bow.diameter",
        "not above zero",
    ),
    "half a size": (
        f"bow: {{at: [1000, 0, 200], through: [{RISER}], width: 30}}",
        "passages.bow",
        "size is missing",
    ),
    "a single point": ("bow: {points: [[900, 0, 200]], diameter: 30}", "passages.bow.points", "at least 2"),
    "the same point twice": (
        "bow: {points: [[900, 0, 200], [900, 0, 200]], diameter: 30}",
        "passages.bow.points[2]",
        "the same as the one before",
    ),
    "no place": (f"bow: {{through: [{RISER}], diameter: 30}}", "passages.bow", "either `at`"),
    "far from its piece": (
        f"bow: {{at: [900, 0, 200], through: [{RISER}], diameter: 30}}",
        "passages.bow.at",
        "lies 97.7 mm from",
    ),
    "unknown key": ("bow: {at: [1, 0, 2], holes: 3}", "passages.bow.holes", "unknown key"),
}


@pytest.mark.parametrize("case", BAD)
def test_bad_passages_are_refused_with_place_and_cure(case: str) -> None:
    text, key, told = BAD[case]
    with pytest.raises(BadInput) as raised:
        punt(f"passages:\n  {text}")
    fault = next(f for f in raised.value.faults if f.place.key == key)
    assert told in f"{fault.wrong}; {fault.right}"
    assert fault.place.line is not None


HOLES = f"""passages:
  aft: {{at: [1000, 300, 200], through: [{RISER}], diameter: 30}}
  bow: {{at: [2000, 300, 200], through: [deck.bow/riser.aft.1], width: 40, height: 20}}
  tube: {{points: [[1020, 300, 200], [1980, 300, 200]], diameter: 30}}
"""


def test_holes_are_cut_into_sheet_by_their_size() -> None:
    """Area of circle and rounded rectangle by the closed forms."""
    plain, cut = ({p.name: p for p in boat.panels} for boat in (punt(), punt(HOLES)))
    lost = [plain[n].area - cut[n].area for n in (RISER, "deck.bow/riser.aft.1", "deck.aft/sheet.1")]
    assert lost == pytest.approx([math.pi * 15**2, 40 * 20 - (4 - math.pi) * 3**2, 0.0], abs=1e-6)
    hole = cut["deck.bow/riser.aft.1"].holes[0]
    corners = cut["deck.bow/riser.aft.1"].frame.to_boat(hole.polyline())
    assert np.ptp(corners[:, 1]) == pytest.approx(40.0, abs=0.2)
    assert np.ptp(corners[:, 2]) == pytest.approx(20.0, abs=0.2)


def test_a_run_goes_through_holes_and_tube_in_order() -> None:
    boat = punt(HOLES)
    start, end = where(boat, "fuses"), np.array([2500.0, 300.0, 200.0])
    run = Ways(boat).route([Wanted("wires.lamp", "wire", start, end, 6.0)])[0]
    assert isinstance(run, Run)
    assert run.passages == ("passage.aft", "passage.tube", "passage.bow")
    through = [k for k, p in enumerate(run.path) if abs(p[1] - 300) < 1e-6 and abs(p[2] - 200) < 1e-6]
    assert len(through) >= 2


def test_a_passage_that_is_too_small_is_no_way() -> None:
    boat = punt(HOLES)
    start, end = where(boat, "fuses"), np.array([2500.0, 300.0, 200.0])
    found = Ways(boat).route([Wanted("hoses.fill", "hose", start, end, 38.0)])[0]
    assert isinstance(found, NoWay)
    via = Ways(boat).route([Wanted("hoses.fill", "hose", start, end, 38.0, via=("bow",))])[0]
    assert isinstance(via, NoWay)
    assert "passage.bow" in f"{via.why} {via.cure}" or "bow lets through" in via.why


def test_a_tube_is_drilled_through_a_member_where_it_leaves_half_the_face() -> None:
    beam = "deck.aft/beam.1"
    member = next(m for m in punt().members if m.name == beam)
    x, _, z = member.a
    more = f"passages:\n  beam: {{at: [{x}, 200, {z}], through: [{beam}], diameter: 20}}"
    cut = next(m for m in punt(more).members if m.name == beam)
    hole = next(h for h in cut.holes if h not in member.holes)
    assert cut.frame.to_boat(hole.middle) == pytest.approx([x, 200.0, z], abs=1e-6)
    wide = punt(more.replace("diameter: 20", "diameter: 40"))
    assert next(m for m in wide.members if m.name == beam).holes == member.holes


def test_the_hole_that_is_asked_for_lets_the_run_through() -> None:
    """What a run without a way is told, written into the file, gives it a way."""
    ends = (np.array([900.0, 300.0, 150.0]), np.array([1060.0, 300.0, 150.0]))
    lost = Ways(punt()).route([Wanted("wires.lamp", "wire", *ends, 6.0)])[0]
    assert isinstance(lost, NoWay)
    (need,) = lost.needs
    assert need.piece == RISER
    at = ", ".join(f"{v:.2f}" for v in need.at)
    boat = punt(f"passages:\n  own: {{at: [{at}], through: [{need.piece}], diameter: {need.size}}}\n")
    found = Ways(boat).route([Wanted("wires.lamp", "wire", *ends, 6.0)])[0]
    assert isinstance(found, Run)
    assert found.passages == ("passage.own",)
    thick = Ways(boat).route([Wanted("wires.lamp", "wire", *ends, need.size + 0.1)])[0]
    assert isinstance(thick, NoWay)
