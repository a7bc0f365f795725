"""Lids of a boat opened: hinge sides, what rides on them, lids that lift out, hinges that cannot be."""

from __future__ import annotations

import math

import numpy as np
import pytest

from model.clearance.lids import hung_lids
from model.clearance.swing import PLAY, LidSwing, lid_swings
from parts.faults import BadInput
from tests.model.clearance.small_boat import TEXT, punt

SEAT_BOX = """
seat_boxes:
  driver: {on: sole, centre: [1500, 0], length: 500, width: 500, height: 300, hinge: aft}
fixtures:
  seat: {part: seat-folding, on: driver, at: [SEAT, 0]}
"""


def swing(more: str = "", hinge: str = "port", name: str = "deck.aft/hatch/lid") -> LidSwing:
    return next(s for s in lid_swings(punt(more, hinge=hinge)) if s.lid.name == name)


@pytest.mark.parametrize("side", ["port", "starboard", "aft", "forward"])
def test_the_hinge_lies_on_its_side_of_the_lid_and_lifts_it(side: str) -> None:
    (lid,) = hung_lids(punt(hinge=side))
    axis, sign = {"port": (1, 1), "starboard": (1, -1), "aft": (0, -1), "forward": (0, 1)}[side]
    box = lid.fixture.prisms[0].box
    assert lid.edge is not None
    np.testing.assert_allclose(lid.edge[:, axis], box[1 if sign > 0 else 0, axis])
    np.testing.assert_allclose(lid.edge[:, 2], box[1, 2])
    motion = lid.motion()
    assert motion is not None
    matrix, offset = motion.pose(math.radians(90.0))
    opened = matrix @ lid.fixture.centre + offset
    assert opened[2] > lid.fixture.centre[2] + 100.0
    found = swing(hinge=side)
    assert found.finding is None
    assert found.clear_to == pytest.approx(math.radians(95.0))


def test_a_bar_over_a_lid_stops_it_where_geometry_says() -> None:
    """A tube's lower edge at (y, z) from the hinge line is met by the lid's upper face at atan(z / y)."""
    more = "members:\n  bar: {start: [200, 200, 500], end: [800, 200, 500], section: square-1x1x0.125}\n"
    found = swing(more)
    (lid,) = hung_lids(punt(more))
    assert lid.edge is not None
    across = lid.edge[0, 1] - (200.0 - 12.7)
    up = 500.0 - 12.7 - (lid.edge[0, 2] + PLAY)
    assert found.touched == "member.bar"
    assert found.clear_to == pytest.approx(math.atan2(up, across), abs=2e-4)
    assert found.finding is not None
    assert found.finding.pieces == ("deck.aft/hatch/lid", "member.bar")
    assert f"{math.degrees(found.clear_to):.1f} of 95 degrees" in found.finding.what
    assert "hinge it starboard" in found.finding.cure or "move member.bar" in found.finding.cure


def test_the_cure_names_a_side_that_lets_it_open() -> None:
    """A post outside the port edge: hinged there the lid cannot come upright, on any other side it can."""
    more = "members:\n  bar: {start: [470, 445, 420], end: [470, 445, 700], section: square-1x1x0.125}\n"
    blocked = swing(more)
    assert blocked.finding is not None
    told = blocked.finding.cure.partition(", or move")[0].removeprefix("hinge it ").split(" or ")
    sides = [side for side in ("aft", "forward", "starboard") if swing(more, hinge=side).finding is None]
    assert sorted(told) == sides == ["aft", "forward", "starboard"]


def test_a_seat_on_a_lid_goes_along() -> None:
    free = swing(SEAT_BOX.replace("SEAT", "1560"), name="seat.driver/lid/lid")
    assert [rider.name for rider in free.lid.riders] == ["fixture.seat"]
    assert free.finding is None
    wall = "members:\n  wall: {start: [1150, -300, 800], end: [1150, 300, 800]}\n"
    stopped = swing(SEAT_BOX.replace("SEAT", "1560") + wall, name="seat.driver/lid/lid")
    bare = swing(SEAT_BOX.partition("fixtures")[0] + wall, name="seat.driver/lid/lid")
    assert stopped.touched == "member.wall"
    assert bare.finding is None or bare.clear_to > stopped.clear_to


def test_a_seat_that_reaches_past_the_hinge_is_told_by_how_much() -> None:
    found = swing(SEAT_BOX.replace("SEAT", "1450"), name="seat.driver/lid/lid")
    assert found.finding is not None
    assert found.lid.edge is not None
    (seat,) = found.lid.riders
    past = found.lid.edge[0, 0] - seat.prisms[0].box[0, 0]
    assert past > 10.0
    assert found.lid.past_hinge(seat) == pytest.approx(past)
    assert found.finding.cure.startswith(f"set fixture.seat {past:.1f} mm further from the hinge")


def test_a_lid_without_hinge_lifts_out_or_is_stopped() -> None:
    assert swing(hinge="none").finding is None
    more = "members:\n  bar: {start: [200, 250, 500], end: [800, 250, 500], section: square-1x1x0.125}\n"
    found = swing(more, hinge="none")
    (lid,) = hung_lids(punt(hinge="none"))
    top = lid.fixture.prisms[0].box[1, 2]
    assert found.touched == "member.bar"
    assert found.clear_to == pytest.approx(500.0 - 12.7 - top - PLAY, abs=0.05)
    assert found.finding is not None
    assert "lifts out" in found.finding.what


def test_a_hinge_on_an_edge_the_lid_lacks() -> None:
    pointed = """
  fore:
    height: 400
    aft: 2100
    forward: 2950
    openings:
      nose:
        outline: [[2250, -200], [2250, 200], [2700, 0]]
        lid: {flange: 10, sheet: 5052-0.125}
        hinge: forward
"""
    with pytest.raises(BadInput) as caught:
        punt(pointed)
    (fault,) = caught.value.faults
    assert fault.place.key == "decks.fore.openings.nose.hinge"
    assert fault.place.line == 1 + next(
        k for k, line in enumerate(TEXT.replace("MORE", pointed).splitlines()) if "hinge: forward" in line
    )
    assert "no straight edge on its forward side" in fault.wrong
    assert fault.right.startswith("hinge it aft")
    assert swing(pointed.replace("hinge: forward", "hinge: aft"), name="deck.fore/nose/lid").finding is None


def test_mass_and_centre_include_the_load() -> None:
    found = swing(SEAT_BOX.replace("SEAT", "1560"), name="seat.driver/lid/lid").lid
    (seat,) = found.riders
    assert found.mass == pytest.approx(found.fixture.mass + seat.mass)
    share = seat.mass / found.mass
    np.testing.assert_allclose(found.centre, share * seat.centre + (1 - share) * found.fixture.centre)


SLIDING = """
  fore:
    height: 400
    aft: 2100
    forward: 2950
    openings:
      hold:
        {centre: [2350, 0], length: 300, width: 400, lid: {flange: FLANGE}, slide: SIDE MORE}
"""
HOLD = "deck.fore/hold/lid"


def sliding(side: str = "forward", flange: int = 20, more: str = "", behind: str = "") -> LidSwing:
    text = SLIDING.replace("SIDE", side).replace("FLANGE", str(flange)).replace(" MORE", more) + behind
    return swing(text, name=HOLD)


def test_a_lid_slides_by_its_own_size_over_its_deck() -> None:
    found = sliding()
    assert found.finding is None
    assert found.opens == pytest.approx(300.0 + 2 * 20.0)
    assert sliding("port").opens == pytest.approx(400.0 + 2 * 20.0)
    assert sliding(more=", travel: 250").opens == 250.0


def test_a_bar_ahead_stops_a_sliding_lid_where_it_stands() -> None:
    bar = "members:\n  bar: {start: [2700, -150, 415], end: [2700, 150, 415], section: square-1x1x0.125}\n"
    found = sliding(behind=bar)
    assert found.touched == "member.bar"
    assert found.clear_to == pytest.approx(2700.0 - 12.7 - (2350.0 + 150.0 + 20.0), abs=0.05)
    assert found.finding is not None
    assert "slides forward by 167.3 mm of 340.0 mm" in found.finding.what
    assert found.finding.short == pytest.approx(found.opens - found.clear_to)
    assert "slide it" not in found.finding.cure.partition("let it lift out")[2]
    assert "let it lift out" in found.finding.cure
    (shown,) = found.finding.shown
    assert shown.mesh.box[1, 0] == pytest.approx(2700.0 - 12.7, abs=0.1)


def test_a_flush_lid_cannot_slide_and_is_told_why() -> None:
    found = sliding(flange=0)
    assert found.finding is not None
    assert found.clear_to < 4.0  # the gap of 1/8 in round it
    assert found.finding.cure.startswith("give the lid a `flange`")


@pytest.mark.parametrize(
    ("more", "key", "told"),
    [
        (", hinge: aft", "slide", "hinged"),
        (", opens: 80", "opens", "no angle"),
        (", strut: {}", "strut", "need a hinge"),
        (", travel: 0", "travel", "not above zero"),
    ],
)  # fmt: skip
def test_ways_that_do_not_go_together_are_refused(more: str, key: str, told: str) -> None:
    with pytest.raises(BadInput) as caught:
        sliding(more=more)
    (fault,) = caught.value.faults
    assert fault.place.key == f"decks.fore.openings.hold.{key}"
    assert told in fault.wrong
