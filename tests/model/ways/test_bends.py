"""Rounded corners: their radius, their length, and what is told where they do not fit."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from model.ways.bends import rounded, turn_at


def everywhere(_):
    return True


def radius_of(a, b, c):
    """Of the circle through three points: a b c / (4 area), Euclid."""
    sides = [float(np.linalg.norm(p - q)) for p, q in ((a, b), (b, c), (c, a))]
    area = float(np.linalg.norm(np.cross(b - a, c - a))) / 2.0
    return math.prod(sides) / (4.0 * area)


@settings(max_examples=40, deadline=None)
@given(turn=st.floats(0.1, 2.6), radius=st.floats(20, 120), rise=st.floats(-1.0, 1.0))
def test_a_corner_with_room_is_an_arc_of_the_radius(turn, radius, rise):
    """Length by the closed form: two tangents of R tan(t/2) give way to an arc of R t."""
    leg = radius * math.tan(turn / 2.0) * 1.3 + 10.0
    way = np.array([math.cos(turn), math.sin(turn) * math.cos(rise), math.sin(turn) * math.sin(rise)])
    corners = np.array([(0.0, 0, 0), (leg, 0, 0), np.array([leg, 0, 0]) + leg * way])
    path, tight = rounded(corners, radius, everywhere)
    assert tight == ()
    arc = path[1:-1]
    for k in range(1, len(arc) - 1):
        assert radius_of(*arc[k - 1 : k + 2]) == pytest.approx(radius, rel=1e-6)
    chord = turn / (len(arc) - 1)
    by_chords = math.sin(chord / 2.0) / (chord / 2.0)
    exact = 2.0 * (leg - radius * math.tan(turn / 2.0)) + radius * turn * by_chords
    assert float(np.linalg.norm(np.diff(path, axis=0), axis=1).sum()) == pytest.approx(exact, rel=1e-9)
    assert turn_at(path).max() <= math.radians(7.5) + 1e-9


def test_a_corner_without_room_is_told_with_the_radius_that_fits():
    corners = np.array([(0.0, 0, 0), (60, 0, 0), (60, 500, 0)])
    path, tight = rounded(corners, 90.0, everywhere)
    # at an end of a run 95 in 100 of a straight may be bent; at 90 degrees the tangent is the radius
    assert len(tight) == 1
    assert tight[0].radius == pytest.approx(0.95 * 60.0)
    assert tight[0].asked == 90.0
    assert np.array_equal(tight[0].at, corners[1])
    assert len(path) > 3


def test_an_arc_that_would_cut_into_something_is_made_closer():
    corners = np.array([(0.0, 0, 0), (500, 0, 0), (500, 500, 0)])

    def outside(points):
        """Clear of a post whose corner stands 30 mm inside the bend."""
        return not ((points[:, 0] < 470.0) & (points[:, 1] > 30.0)).any()

    path, tight = rounded(corners, 200.0, outside)
    assert outside(path[1:-1])
    # a circle of radius r about (500 - r, r) clears (470, 30) while r - 30 <= r / sqrt(2): r up to 102
    assert tight[0].radius <= 30.0 / (1.0 - 1.0 / math.sqrt(2.0))
    assert tight[0].radius >= 0.4 * 200.0


def test_wire_is_not_rounded():
    corners = np.array([(0.0, 0, 0), (60, 0, 0), (60, 500, 0)])
    assert np.array_equal(rounded(corners, 0.0, everywhere)[0], corners)
