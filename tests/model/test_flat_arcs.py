"""True arcs lost to tessellation and found again; hull lines and regular polygons left alone."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from model.flat_arcs import loop_of_ring, polygon_loops, polygon_of, polygons_of
from parts.outline import Loop

LOOPS = {
    "rectangle": Loop.rectangle(400, 250),
    "rounded": Loop.rectangle(400, 250, 40),
    "small rounds": Loop.rectangle(30, 20, 0.5),
    "circle": Loop.circle(120, (5, 3)),
    "small circle": Loop.circle(3.2),
    "mixed": Loop.rounded([(0, 0), (500, 0), (500, 300), (250, 120), (0, 300)], [0, 30, 12, 60, 5]),
    "three-quarter arc": Loop(
        np.array([(0, 0), (100, 0), (100, 100.0)]), np.array([0, np.tan(1.5 * np.pi / 4), 0])
    ),
    "large shallow arc": Loop(
        np.array([(0, 0), (2000, 0), (2000, 500), (0, 500.0)]), np.array([0, 0, 0.05, 0])
    ),
    "wave": Loop(
        np.array([(0, 0), (90, 0), (90, 50), (60, 50), (30, 50), (0, 50.0)]),
        np.array([0, 0, 0, 0.3, -0.3, 0]),
    ),
}


def same(a: Loop, b: Loop) -> bool:
    """Same vertices and bulges, wherever each loop starts."""
    if len(a.points) != len(b.points):
        return False
    for turn in range(len(a.points)):
        points, bulges = np.roll(b.points, -turn, axis=0), np.roll(b.bulges, -turn)
        if np.allclose(a.points, points, atol=1e-8) and np.allclose(a.bulges, bulges, atol=1e-8):
            return True
    return False


@pytest.mark.parametrize("name", LOOPS)
@pytest.mark.parametrize("start", [0, 1, 7])
def test_round_trip(name: str, start: int) -> None:
    loop = LOOPS[name].turned(0.3).moved(1800.0, -350.0)
    ring = np.asarray(polygon_of(loop).exterior.coords)[:-1]
    found = loop_of_ring(np.roll(ring, start, axis=0))
    if name != "circle" and name != "small circle":
        assert same(loop.ccw(), found)
    assert found.area == pytest.approx(abs(loop.area), rel=1e-11)
    assert found.perimeter == pytest.approx(loop.perimeter, rel=1e-11)
    assert len(found.points) == len(loop.points)


@settings(max_examples=80, deadline=None)
@given(
    st.floats(60, 3000),
    st.floats(60, 3000),
    st.floats(0.3, 30),
    st.floats(-4, 4),
    st.floats(-5000, 5000),
    st.floats(1, 40),
)
def test_round_trip_of_any_rounded_rectangle_with_a_hole(
    width: float, height: float, radius: float, turn: float, away: float, bore: float
) -> None:
    outline = Loop.rectangle(width, height, radius).turned(turn).moved(away, -away)
    hole = Loop.circle(bore, (away, -away))
    found, holes = polygon_loops(polygon_of(outline, [hole]))
    assert found.area == pytest.approx(outline.area, rel=1e-9)
    assert holes[0].area == pytest.approx(hole.area, rel=1e-9)
    assert len(found.points) <= len(outline.points)
    assert len(holes[0].points) == 2


def test_arcs_survive_boolean_work() -> None:
    """Areas by hand: the cut leaves both holes and two of the corners whole."""
    deck = polygon_of(
        Loop.rectangle(1000, 600, 50), [Loop.circle(100, (-300, 0)), Loop.rectangle(200, 100, 20)]
    )
    left = deck.intersection(shapely.box(-600, -400, 250, 400))
    assert isinstance(left, shapely.Polygon)
    outline, holes = polygon_loops(left)
    assert outline.area == pytest.approx(750 * 600 - 2 * (1 - np.pi / 4) * 50**2, rel=1e-10)
    assert sum(hole.area for hole in holes) == pytest.approx(
        np.pi * 50**2 + 200 * 100 - (4 - np.pi) * 20**2, rel=1e-10
    )
    assert (outline.bulges != 0).sum() == 2


def test_hull_lines_stay_polylines_and_are_thinned() -> None:
    """A bow line sampled at 200 points: no arc, fewer vertices, nothing moved by more than 0.05 mm."""
    x = np.linspace(0, 1800, 200)
    for y in (
        900 * (1 - (x / 1900) ** 3.2),
        900 - 1e-4 * (x - 900) ** 2,
        860 + 60 * np.sin(x / 700),
        900 * np.sqrt(1 - (x / 2000) ** 2),
    ):
        ring = np.concatenate([np.stack([x, y], axis=1), [(1800, 0), (0, 0)]])
        found = loop_of_ring(ring)
        assert not found.bulges.any()
        assert len(found.points) < 110
        before, after = shapely.LinearRing(ring), shapely.LinearRing(found.points)
        assert shapely.hausdorff_distance(before, after) < 0.0501


@pytest.mark.parametrize("corners", [3, 4, 5, 6, 8, 12, 16])
def test_regular_polygons_keep_their_corners(corners: int) -> None:
    angle = np.arange(corners) * 2 * np.pi / corners
    ring = 150 * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    found = loop_of_ring(ring)
    assert len(found.points) == corners
    assert not found.bulges.any()


def test_corners_on_a_straight_edge_are_dropped() -> None:
    ring = shapely.box(0, 0, 1000, 400).segmentize(37).exterior.coords
    assert same(loop_of_ring(np.asarray(ring)), Loop.polygon([(0, 0), (1000, 0), (1000, 400), (0, 400)]))


def test_polygons_of_mixed_shapes() -> None:
    small, large = shapely.box(0, 0, 1, 1), shapely.box(5, 0, 8, 2)
    mixed = shapely.GeometryCollection(
        [small, shapely.LineString([(0, 0), (1, 1)]), shapely.MultiPolygon([large])]
    )
    assert polygons_of(mixed) == [large, small]
    assert polygons_of(shapely.Polygon()) == []
    with pytest.raises(ValueError, match="three different corners"):
        loop_of_ring(np.zeros((4, 2)))
