"""Rise and fall of any path against what every pair of its points says."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from model.geometry import Plane
from model.hoses.profile import LEVEL, profile_of

LEVEL_PLANE = Plane.through(np.zeros(3), np.array([0.0, 0.0, 1.0]))
HEIGHTS = st.lists(st.integers(-400, 400), min_size=2, max_size=12)


@settings(max_examples=60, deadline=None)
@given(HEIGHTS)
def test_climb_and_low_spots_are_those_of_every_pair_of_points(heights: list[int]) -> None:
    path = np.array([[150.0 * k, 0.0, float(z)] for k, z in enumerate(heights)])
    found = profile_of(path, LEVEL_PLANE)
    rises = [heights[j] - heights[i] for i in range(len(heights)) for j in range(i, len(heights))]
    most = max(rises)
    assert found.climb == pytest.approx(most if most > LEVEL else 0.0)
    assert found.fall == heights[0] - heights[-1]
    assert found.top[2] == max(heights)
    # water stands in a hollow up to the lower of its two sides
    deepest = max(min(max(heights[: k + 1]), max(heights[k:])) - z for k, z in enumerate(heights))
    assert max((spot.depth for spot in found.low_spots), default=0.0) == (deepest if deepest > LEVEL else 0.0)


@settings(max_examples=40, deadline=None)
@given(st.integers(1, 40), st.integers(0, 30), st.integers(200, 3000))
def test_an_even_fall_has_its_slope_everywhere_whatever_the_trim(
    percent: int, trim: int, length: int
) -> None:
    path = np.array([[float(length), 0.0, percent / 100.0 * length], [0.0, 0.0, 0.0]])
    assert profile_of(path, LEVEL_PLANE).slope == pytest.approx(percent / 100.0, rel=1e-3)
    # the bow up by an angle adds it to the fall of a hose that leads aft: tan(a + b)
    angle = np.radians(trim / 10.0)
    up = np.array([np.sin(angle), 0.0, np.cos(angle)])
    leant = profile_of(path, Plane.through(np.zeros(3), up)).slope
    assert leant == pytest.approx(np.tan(np.arctan(percent / 100.0) + angle), rel=1e-3)
