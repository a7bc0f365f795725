"""Open space on a grid: distances against trimesh, ways against scipy's shortest paths, and what is shut."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import dijkstra
from scipy.spatial import cKDTree

from model.access.box import Swept, Triangles
from model.access.crossing import Gate
from model.access.guide import Guide
from model.access.room import LAID, Room, points_on
from model.geometry import Array, Frame
from model.prism import Prism
from parts.outline import Loop

seeds = st.integers(0, 2**31)


def of_prisms(*prisms: Prism) -> Triangles:
    corners = np.concatenate([prism.mesh().triangles for prism in prisms])
    return Triangles.of(corners, np.zeros(len(corners)), np.zeros(len(corners)))


@given(seeds)
@settings(max_examples=40, deadline=None)
def test_no_place_on_a_triangle_is_far_from_a_point_laid(seed: int) -> None:
    rng = np.random.default_rng(seed)
    corners = rng.uniform(-150.0, 150.0, (4, 3, 3)) * np.array([1.0, rng.uniform(0.01, 1.0), 1.0])
    points, owner = points_on(Triangles.of(corners, np.zeros(4), np.arange(4.0)))
    for k in range(4):
        share = rng.dirichlet((1.0, 1.0, 1.0), 200)
        far, _ = cKDTree(points[owner == k]).query(share @ corners[k])
        assert far.max() <= LAID * math.sqrt(1.25)  # a row away, and half a step along it
    # and every point lies on its triangle: in its plane, with shares that are not below zero
    for k in range(4):
        a, b, c = corners[k]
        found, *_ = np.linalg.lstsq(np.stack([b - a, c - a], axis=1), (points[owner == k] - a).T, rcond=None)
        assert found.min() >= -1e-9
        assert found.sum(axis=0).max() <= 1.0 + 1e-9
        rest = (points[owner == k] - a) - found.T @ np.stack([b - a, c - a])
        assert np.abs(rest).max() < 1e-6


def test_distances_are_never_less_than_the_true_ones_and_little_more() -> None:
    """Against trimesh's distance to the surface of a tube frame."""
    import trimesh

    tube = Prism(Frame.level(-40.0), Loop.rectangle(300.0, 200.0), (Loop.rectangle(220.0, 120.0),), 0.0, 60.0)
    mesh = tube.mesh()
    metal, _ = points_on(of_prisms(tube))
    box = np.array([[-250.0, -200.0, -120.0], [250.0, 200.0, 120.0]])
    room = Room.about(box, metal, 20.0)
    places = room.middles.reshape(-1, 3)[::7]
    _, true, _ = trimesh.proximity.closest_point_naive(trimesh.Trimesh(mesh.vertices, mesh.faces), places)
    found = room.free.reshape(-1)[::7]
    assert (found >= true - 1e-9).all()
    assert (found - true).max() < 1.1 * room.cell
    found = room.sharpened(metal, 10.0, 90.0).free.reshape(-1)[::7]
    assert (found >= true - 1e-9).all()
    told = (true > 20.0) & (true < 65.0)
    assert told.sum() > 100
    assert (found - true)[told].max() < 6.5


def by_scipy(room: Room, start: int, need: float) -> Array:
    """Shortest ways over the same neighbours by scipy's Dijkstra."""
    shape = room.shape
    cells = np.array(list(itertools.product(*map(range, shape))))
    rows, columns, costs = [], [], []
    for step in itertools.product((-1, 0, 1), repeat=3):
        other = cells + step
        inside = ((other >= 0) & (other < shape)).all(axis=1) & any(step)
        to = room.flat(other[inside])
        fit = room.free.ravel()[to] >= need
        rows.append(room.flat(cells[inside])[fit])
        columns.append(to[fit])
        costs.append(np.full(fit.sum(), room.cell * math.sqrt(sum(s * s for s in step))))
    size = len(cells)
    graph = coo_matrix((np.concatenate(costs), (np.concatenate(rows), np.concatenate(columns))), (size, size))
    found: Array = dijkstra(graph.tocsr(), indices=start)
    return found.reshape(shape)


@given(seeds)
@settings(max_examples=15, deadline=None)
def test_shortest_ways_are_those_of_dijkstra(seed: int) -> None:
    rng = np.random.default_rng(seed)
    room = Room(np.zeros(3), 10.0, rng.uniform(0.0, 30.0, (9, 8, 7)))
    start = int(rng.integers(9 * 8 * 7))
    found = room.spread(np.array([start]), np.zeros(1), lambda length: 9.0, math.inf)
    assert np.allclose(found, by_scipy(room, start, 9.0))
    end = np.argwhere(np.isfinite(found))[-1]
    way = room.back(found, end)
    length = np.sqrt((np.diff(way, axis=0) ** 2).sum(axis=1)).sum()
    assert length == pytest.approx(found[tuple(end)])
    assert np.allclose(way[0], room.middles[tuple(end)])


def test_what_a_way_needs_may_grow_with_its_length() -> None:
    """A passage 12 mm free: a way that needs 10 for its first 50 mm and 20 beyond goes no further in it."""
    free = np.full((20, 3, 3), 12.0)
    room = Room(np.zeros(3), 10.0, free)
    found = room.spread(
        np.array([int(room.flat(np.array([0, 1, 1])))]),
        np.zeros(1),
        lambda length: np.where(length <= 50.0, 10.0, 20.0),
        math.inf,
    )
    assert np.isfinite(found[5, 1, 1])
    assert not np.isfinite(found[6:]).any()


def chamber(hole: float) -> Triangles:
    """A closed room of sheet 600 mm square and 300 high, with a square hole in its lid, or none."""
    side = Loop.rectangle(600.0, 600.0)
    walls = Prism(Frame.level(0.0), Loop.rectangle(604.0, 604.0), (side,), 0.0, 300.0)
    floor = Prism(Frame.level(0.0), Loop.rectangle(604.0, 604.0), (), -2.0, 0.0)
    holes = (Loop.rectangle(hole, hole),) if hole else ()
    lid = Prism(Frame.level(300.0), Loop.rectangle(604.0, 604.0), holes, 0.0, 2.0)
    return of_prisms(walls, floor, lid)


def guide(hole: float, side: float = 160.0) -> Guide:
    about = np.array([[-500.0, -500.0, -100.0], [500.0, 500.0, 700.0]])
    rest = Swept(np.array([150.0, 150.0, 120.0]), np.diag([side, side, side]) / 2.0)
    return Guide.about(rest, chamber(hole), about)


@pytest.mark.parametrize(("hole", "out"), [(0.0, False), (100.0, False), (240.0, True)])
def test_a_ball_leaves_by_a_hole_that_is_wide_enough(hole: float, out: bool) -> None:
    """A ball of 160 through 100 or 240; between, the grid may not tell, and then it must not say `closed`."""
    assert (guide(hole).route() is not None) == out
    for width in (150.0, 165.0, 170.0, 200.0):
        assert width < 160.0 or guide(width).route() is not None


def test_the_way_of_the_ball_leads_through_the_hole() -> None:
    line = guide(240.0).route()
    assert line is not None
    at = next(k for k in range(len(line) - 1) if line[k, 2] < 300.0 <= line[k + 1, 2])
    assert np.abs(line[at, :2]).max() < 120.0
    finer = guide(240.0).finer()
    assert finer.is_fine
    assert finer.room.cell == pytest.approx(12.5)
    assert finer.route() is not None


def test_a_shut_opening_lets_nothing_through(monkeypatch: pytest.MonkeyPatch) -> None:
    """By a gate that stands for the hole: its deck's frame and outline are all that is asked of it."""
    from types import SimpleNamespace

    deck = SimpleNamespace(frame=Frame.level(302.0))
    hole = SimpleNamespace(name="hole", polygon=Loop.rectangle(240.0, 240.0).to_shapely(), lid=None)
    gate = Gate(deck, hole)  # type: ignore[arg-type]
    assert guide(240.0).shut(gate).route() is None
