"""The least move that clears one piece of another, against boxes worked out by hand and turned blocks."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from model.clearance.parting import CLOSE, WAYS, parting
from model.clearance.solid import Solid
from model.geometry import Frame
from model.prism import Prism
from parts.outline import Loop


def block(low: tuple[float, ...], high: tuple[float, ...]) -> Solid:
    size = np.subtract(high, low)
    middle = (np.array(low) + np.array(high)) / 2.0
    outline = Loop.rectangle(size[0], size[1], centre=(middle[0], middle[1]))
    return Solid.of_mesh(Prism(Frame.level(0.0), outline, (), low[2], high[2]).mesh())


def test_a_box_through_a_thin_sheet_has_to_leave_it_wholly() -> None:
    """150 x 80 x 50 reaching 60 past a 2 mm sheet: 62 aft clears it, though the two share only 2 mm."""
    box, sheet = block((0, 0, 0), (150, 80, 50)), block((88, -300, -300), (90, 300, 300))
    found = parting([box], [sheet], 0.0)
    assert found.way == "aft"
    assert found.distance == pytest.approx(62.0, abs=2 * CLOSE)
    assert parting([box], [sheet], 3.0).distance == pytest.approx(65.0, abs=2 * CLOSE)


def test_a_gap_too_small_is_widened_by_what_is_lacking() -> None:
    one, other = block((0, 0, 0), (10, 10, 10)), block((0, 11, 0), (10, 21, 10))
    found = parting([one], [other], 3.0)
    assert found.way == "to starboard"
    assert found.distance == pytest.approx(2.0, abs=2 * CLOSE)


@given(
    st.tuples(*[st.floats(-40.0, 40.0)] * 3),
    st.tuples(*[st.floats(5.0, 60.0)] * 3),
    st.floats(0.0, 10.0),
)
@settings(max_examples=40, deadline=None)
def test_boxes_part_by_the_least_of_six_differences(
    at: tuple[float, ...], size: tuple[float, ...], least: float
) -> None:
    """Of two boxes along the axes the least move is the least of the differences of their sides."""
    low, high = np.array(at), np.array(at) + size
    still_low, still_high = np.array([-30.0, -20.0, -10.0]), np.array([30.0, 20.0, 10.0])
    found = parting([block(tuple(low), tuple(high))], [block(tuple(still_low), tuple(still_high))], least)
    gap = np.maximum(np.maximum(still_low - high, low - still_high), 0.0)
    if (gap > 0.0).any() and math.hypot(*gap) >= least:
        assert found.distance <= 2 * CLOSE
    elif (gap == 0.0).all():  # they overlap
        ways = [*(still_high - low), *(high - still_low)]
        assert found.distance == pytest.approx(min(ways) + least, abs=3 * CLOSE)


@pytest.mark.parametrize("degrees", [15.0, 30.0, 45.0])
def test_a_turned_block_slides_down_a_slope_no_further_than_it_must(degrees: float) -> None:
    """A cube of 20 in the middle of a wall of 4 turned by t: along x it parts after what both take up there.

    Moved along x the wall's face is left when the cube's nearest corner is: (2 + 10 (sin t + cos t)) / cos t.
    """
    t = math.radians(degrees)
    wall = Prism(Frame.level(0.0).turned(t), Loop.rectangle(4.0, 2000.0), (), -500.0, 500.0)
    found = parting([block((-10, -10, -10), (10, 10, 10))], [Solid.of_mesh(wall.mesh())], 0.0)
    assert found.distance == pytest.approx((2.0 + 10.0 * (math.sin(t) + math.cos(t))) / math.cos(t), abs=0.15)
    assert found.way in ("aft", "forward") or degrees == 45.0


def test_ways_are_unit_and_opposite() -> None:
    assert np.abs(np.array(list(WAYS.values()))).sum(axis=1).tolist() == [1.0] * 6
    assert np.array(list(WAYS.values())).sum(axis=0).tolist() == [0.0] * 3
