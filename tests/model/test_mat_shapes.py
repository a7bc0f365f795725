"""Outlines of mat: moved edges, rounded corners, strips left out, arcs fitted again."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, box

from model.flat_arcs import polygon_of
from model.mat.arc_fit import with_arcs
from model.mat.shapes import grown, inset, ring_of, rounded, with_edges_moved
from parts.outline import Loop


def moved(polygon: Polygon, *out: float):
    ring = ring_of(polygon)
    return with_edges_moved(polygon, ring, np.array(out, dtype=float))


def test_one_edge_of_a_rectangle_moves_alone():
    ring = ring_of(box(0, 0, 100, 60))
    ahead = np.roll(ring, -1, axis=0) - ring
    right = np.where(ahead[:, 1] > 0, 7.0, 0.0)  # counter-clockwise: the edge that runs up is at x = 100
    assert with_edges_moved(box(0, 0, 100, 60), ring, right).equals(box(0, 0, 107, 60))


def test_neighbours_of_a_moved_edge_are_run_on_at_their_own_slant():
    # a trapezium whose sides open by 1 in 2: 10 mm further out each side is 5 mm further over
    shape = Polygon([(0, 0), (100, 0), (120, 40), (-20, 40)])
    ring = ring_of(shape)
    ahead = np.roll(ring, -1, axis=0) - ring
    out = np.where((np.abs(ahead[:, 1]) < 1e-9) & (ahead[:, 0] < 0), 10.0, 0.0)
    found = with_edges_moved(shape, ring, out)
    assert found.bounds == pytest.approx((-25.0, 0.0, 125.0, 50.0))
    assert found.area == pytest.approx((100 + 150) / 2 * 50)


def test_two_neighbours_moved_meet_in_a_mitre_and_holes_stay():
    shape = box(0, 0, 100, 100).difference(box(40, 40, 60, 60))
    assert moved(shape, 5, 5, 5, 5).equals(box(-5, -5, 105, 105).difference(box(40, 40, 60, 60)))


def test_rounding_takes_the_corners_of_a_rectangle_and_nothing_else():
    found = rounded(box(0, 0, 200, 100), 20.0, 25.0)
    # arcs told by 24 chords to the quarter turn lose 0.0011 of the circle
    assert found.area == pytest.approx(200 * 100 - (4 - math.pi) * 20**2, abs=0.0011 * math.pi * 20**2)
    assert found.bounds == pytest.approx((0, 0, 200, 100))
    assert box(0, 0, 200, 100).buffer(1e-6).covers(found)


def test_a_strip_narrower_than_the_least_width_is_left_out():
    shape = box(0, 0, 200, 100).union(box(200, 0, 400, 24))
    found = rounded(shape, 0.0, 25.0)
    # where the strip begins a fillet of half the width stays
    assert found.bounds[2] < 200 + 12.5
    assert found.intersection(box(0, 0, 200, 100)).area == pytest.approx(200 * 100, abs=5.0)
    assert rounded(shape, 0.0, 23.0).bounds == pytest.approx((0, 0, 400, 100), abs=0.01)


@pytest.mark.parametrize("distance", [-6.0, 4.0, 10.0])
def test_offset_corners_come_out_as_four_lines_and_four_arcs(distance):
    outline = Loop.rectangle(400, 250, radius=30)
    plain = polygon_of(outline)
    loop = with_arcs(np.asarray(inset(plain, distance).exterior.coords)[:-1])
    assert len(loop.points) == 8
    assert (loop.bulges > 0).sum() == 4
    a, b, r = 400 - 2 * distance, 250 - 2 * distance, 30 - distance
    # to the 0.05 mm that arcs are told by chords with, over the arcs' length
    assert loop.area == pytest.approx(a * b - (4 - math.pi) * r**2, abs=0.1 * 2 * math.pi * r)


def test_a_grown_circle_is_a_circle_again():
    loop = with_arcs(np.asarray(grown(polygon_of(Loop.circle(228.0)), 6.35).exterior.coords)[:-1])
    assert len(loop.points) <= 4
    assert loop.area == pytest.approx(math.pi * (114 + 6.35) ** 2, rel=1e-3)


def test_a_corner_that_stands_there_twice_is_one():
    ring = np.array([[0.0, 0.0], [90.0, 0.0], [90.0 + 1e-12, 0.0], [90.0, 60.0], [0.0, 60.0]])
    for way in (ring, ring[::-1]):
        assert with_arcs(way).area == pytest.approx(5400.0)
        assert len(with_arcs(way).points) == 4


@settings(max_examples=40, deadline=None)
@given(
    corners=st.lists(st.tuples(st.floats(0.35, 1.0), st.floats(0.05, 1.0)), min_size=4, max_size=12),
    size=st.floats(100.0, 1500.0),
)
def test_fitting_arcs_moves_no_edge_by_more_than_it_may(corners, size):
    turn = np.cumsum([0.2 + step for _, step in corners])
    turn *= 2 * math.pi / (turn[-1] + 0.3)
    ring = np.array(
        [(size * r * math.cos(t), size * r * math.sin(t)) for (r, _), t in zip(corners, turn, strict=True)]
    )
    shape = Polygon(ring)
    if not shape.is_valid or shape.area < 100.0:
        return
    soft = grown(inset(grown(shape, 8.0), 12.0), 3.0)
    for part in shapely.get_parts(soft):
        if not isinstance(part, Polygon) or part.is_empty or part.area < 50:
            continue
        again = polygon_of(with_arcs(np.asarray(part.exterior.coords)[:-1]))
        assert (
            shapely.hausdorff_distance(Polygon(part.exterior).boundary, again.boundary, densify=0.05) < 0.25
        )
        assert again.is_valid
