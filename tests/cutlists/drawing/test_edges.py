"""What is measured on an outline: corners, rounds, curves; judged by shapely and closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from cutlists.drawing.edges import CurvedEdge, measured
from parts.outline import Loop


def split_arcs(loop: Loop) -> Loop:
    """The same outline with each arc cut in two, as outlines recovered from polygons have them."""
    points, bulges = [], []
    for start, apex, bulge in zip(loop.points, loop.apexes, loop.bulges, strict=True):
        points.append(start)
        bulges.append(math.tan(math.atan(bulge) / 2) if bulge else 0.0)
        if bulge:
            points.append(apex)
            bulges.append(bulges[-1])
    return Loop(np.array(points), np.array(bulges))


@given(st.floats(200, 2000), st.floats(200, 2000), st.floats(5, 60), st.booleans())
def test_a_rounded_rectangle_has_the_corners_of_the_sharp_one(width, height, radius, split):
    loop = Loop.rectangle(width, height, radius)
    found = measured(split_arcs(loop) if split else loop)
    wanted = Loop.rectangle(width, height).points
    assert len(found.corners) == 4
    for corner in wanted:
        assert np.hypot(*(found.corners - corner).T).min() < 1e-6
    assert [r for r, _ in found.rounds] == pytest.approx([radius] * 4)
    assert found.curves == ()
    on_outline = [loop.to_shapely(0.001).exterior.distance(shapely.Point(apex)) for _, apex in found.rounds]
    assert max(on_outline) < 0.01


def test_a_circle_is_told_by_centre_and_radius():
    centre, radius = measured(Loop.circle(80.0, (30.0, -20.0))).circle
    assert centre == pytest.approx([30.0, -20.0])
    assert radius == pytest.approx(40.0)


def test_a_polygon_that_looks_like_a_circle_only_at_its_corners_is_none():
    assert measured(Loop.rectangle(50, 50)).circle is None


@pytest.mark.parametrize("along", [0, 1])
def test_ordinates_of_a_parabola(along):
    """The curve y = x^2 / 1000 over 0 to 900, stations every 150 from a corner at (-10, -5)."""
    x = np.linspace(0, 900, 2001)
    points = np.column_stack([x, x**2 / 1000])
    edge = CurvedEdge.of(points if along == 0 else points[:, ::-1])
    base = np.array([-10.0, -5.0]) if along == 0 else np.array([-5.0, -10.0])
    found = edge.ordinates(150.0, base)
    assert edge.along == along
    assert found[:, 0] == pytest.approx([10, 150, 300, 450, 600, 750, 910])
    assert found[:, 1] == pytest.approx((found[:, 0] - 10) ** 2 / 1000 + 5, abs=1e-3)
    # A chord of y = x^2 / 1000 over a step h lies h^2 / 4000 from it at most, measured upright.
    at = found[:, 0] - 10
    slopes = np.arctan((at[1:] + at[:-1]) / 1000)
    wanted = np.max(np.diff(at) ** 2 / 4000 * np.cos(slopes))
    assert edge.strays(found, base) == pytest.approx(wanted, rel=1e-3)


def test_a_bowed_side_is_a_curve_and_the_straight_ones_are_corners():
    side = [[x, 400 + 40 * math.sin(math.pi * x / 1000)] for x in np.linspace(1000, 0, 41)]
    found = measured(Loop.polygon([[0, 0], [1000, 0], *side]))
    assert len(found.curves) == 1
    assert len(found.corners) == 4
    assert np.ptp(found.curves[0].points[:, 0]) == pytest.approx(1000)
