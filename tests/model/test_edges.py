"""Edges in plan: their sense, what lies on their inner side, mirrored and moved in."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import Point, box

from model.layout.edges import FAR, OUTLINE, SIDES, Edge, area_within, largest, pieces_within, rectangle

PLAN = box(0, -600, 3000, 600)


@pytest.mark.parametrize(
    ("side", "value", "area"),
    [
        ("aft", 200.0, 2800 * 1200),
        ("forward", 200.0, 200 * 1200),
        ("port", 100.0, 3000 * 700),
        ("starboard", 100.0, 3000 * 500),
    ],
)
def test_a_line_keeps_what_is_on_its_inner_side(side, value, area):
    edge = Edge.line(side, value)
    assert edge.is_straight
    assert area_within(PLAN, {side: edge}).area == pytest.approx(area)


def test_the_hull_bounds_where_no_edge_does():
    assert area_within(PLAN, {side: Edge(side, None) for side in SIDES}).equals(PLAN)
    assert Edge("port", None).inner_area() is None


@pytest.mark.parametrize("reverse", [False, True])
def test_a_polyline_holds_in_either_sense(reverse):
    """A starboard edge along y = 350 that turns out at 45 degrees to y = 600."""
    points = np.array([(2000.0, 350.0), (1500.0, 350.0), (1250.0, 600.0)])
    edge = Edge.polyline("starboard", points[::-1] if reverse else points)
    area = area_within(PLAN, {"starboard": edge})
    # y > 350 from the corner forward, the triangle of 250 mm aft of it
    assert area.area == pytest.approx(1500 * 250 + 250 * 250 / 2)
    assert edge.points[0, 0] <= edge.points[-1, 0]


def test_beyond_its_ends_an_edge_runs_straight_on():
    edge = Edge.polyline("aft", np.array([(500.0, -100.0), (400.0, 0.0), (500.0, 100.0)]))
    run = edge.run_on()
    np.testing.assert_allclose(run[[0, -1]], [(500, -FAR), (500, FAR)])
    assert edge.inner_area().contains(Point(450, 0))
    assert not edge.inner_area().contains(Point(450, 300))


def test_crossing():
    assert Edge.polyline("port", np.array([(0.0, 0), (100, 50), (100, 0), (0, 50)])).crosses_itself()
    assert not Edge.polyline("port", np.array([(0.0, 0), (100, 50), (200, 0)])).crosses_itself()
    # a hook that its own run-on comes back to
    assert Edge.polyline("aft", np.array([(0.0, -50), (50, 60), (-50, 50), (0, 40)])).crosses_itself()


def test_mirrored_edges_change_hands_and_bound_the_mirror_image():
    edge = Edge.polyline("starboard", np.array([(1250.0, 600.0), (1500.0, 350.0), (2000.0, 350.0)]))
    other = edge.mirrored()
    assert other.side == "port"
    area = area_within(PLAN, {"port": other})
    assert area.area == pytest.approx(area_within(PLAN, {"starboard": edge}).area)
    assert area.centroid.y < 0
    assert Edge.line("aft", 3.0).mirrored().side == "aft"
    assert Edge("port", None).mirrored().side == "starboard"


@pytest.mark.parametrize("sense", [1, -1])
def test_an_outline_is_closed_and_counter_clockwise(sense):
    corners = np.array([(100.0, -50.0), (300.0, -50.0), (300.0, 50.0), (100.0, 50.0)])[::sense]
    edge = Edge.outline(corners)
    assert edge.side == OUTLINE
    assert area_within(PLAN, {OUTLINE: edge}).area == pytest.approx(200 * 100)
    np.testing.assert_allclose(edge.points[0], edge.points[-1])
    mirrored = edge.mirrored()
    assert mirrored.inner_area().exterior.is_ccw
    inner = edge.moved_in(np.full(4, 10.0))
    assert inner.inner_area().area == pytest.approx(180 * 80)


def test_moved_in_keeps_angles():
    """A 45 degree face 5 mm in: the corner slides by 5 tan(22.5) along the straight part."""
    edge = Edge.polyline("starboard", np.array([(1250.0, 600.0), (1500.0, 350.0), (2000.0, 350.0)]))
    moved = edge.moved_in(np.full(len(edge.run_on()) - 1, 5.0))
    np.testing.assert_allclose(moved.points[1], (1500 + 5 * np.tan(np.radians(22.5)), 355.0))
    np.testing.assert_allclose(Edge.line("aft", 100.0).moved_in(np.array([7.0])).points[:, 0], 107.0)
    np.testing.assert_allclose(Edge.line("port", 100.0).moved_in(np.array([7.0])).points[:, 1], 93.0)


def test_the_largest_piece_is_taken_and_all_are_known():
    """An edge that reaches beyond one side parts the plan in two: 1000 and 1500 mm long."""
    edge = Edge.polyline(
        "port", np.array([(0.0, 700), (1000, 700), (1000, -700), (1500, -700), (1500, 700), (3000, 700)])
    )
    pieces = pieces_within(PLAN, {"port": edge})
    assert sorted(round(p.area / 1200) for p in pieces) == [1000, 1500]
    assert area_within(PLAN, {"port": edge}).area == pytest.approx(1500 * 1200)
    assert largest(box(0, 0, 0, 0).buffer(0)).is_empty
    assert rectangle(10, 20, 4, 6).bounds == (8, 17, 12, 23)
