"""The longest straight thing that threads through a plane from one place to another."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from model.geometry import Array
from model.rods.lines import Flags, Stretches, Way, stretches, widest

ROUNDS = 7
"""Rounds in which the grid is made finer about the narrowest step."""

FINER = 5
"""Lines between two of the grid there, each round."""

AROUND = 2
"""Steps of the grid to each side that are made finer."""

SETTLED = 0.2
"""A round that changes less than this, mm, changes nothing."""

IDLE = 2
"""So many rounds in a row that change nothing end it."""

ARC = 5
"""Sides of a quarter circle."""

FINE = 0.02
"""Corners of grown shapes that matter less than this, mm, are left out."""

Shapes = npt.NDArray[np.object_]

Choose = Callable[[Array], Flags]


@dataclass(frozen=True, eq=False)
class Threaded:
    """The longest straight thing that gets through.

    Attributes:
        length: mm.
        path: its ends where it goes, pose after pose, `(n, 2, 2) float` in the plane.
        blocked: which of these poses is the tightest.
    """

    length: float
    path: Array
    blocked: int


def thread(
    plane: Blocked,
    middle: Array,
    angles: Array,
    distances: Array,
    source: Choose,
    target: Choose,
    rounds: int = ROUNDS,
    least: float = 0.0,
) -> Threaded | None:
    """The longest straight thing that moves among what is in the way from some lines to others, if any does.

    Between lines of the grid that end at the same two edges it is taken to slide along both, which is exact;
    where an edge ends between them it is held to what they have in common, which is a little too short. A
    corner that pokes in between two lines is missed until the grid is finer there.

    Args:
        plane: what is in the way.
        middle: point of the plane that lines are told from at first, `(2,)`; best near where it is narrow.
        angles: of the lines to begin with, rad.
        distances: of the lines from the middle to begin with, mm.
        source: tells from the ends `(n, 2, 2)` of stretches which of them it comes from.
        target: tells which it is to get to.
        rounds: how often the grid is made finer.
        least: nothing shorter is looked for, mm.
    """
    made: Threaded | None = None
    idle, fine_angles, fine = 0, angles, distances
    for k in range(rounds + 1):
        edges = plane.edges - middle
        found = stretches(edges, fine_angles, fine, least)
        ends = found.points() + middle
        way = widest(found, edges, source(ends), target(ends))
        if way is None:
            return made
        before, made = made, _threaded(found, way, middle)
        idle = idle + 1 if before is not None and abs(made.length - before.length) < SETTLED else 0
        if k == rounds or idle == IDLE:
            break
        angle, distance = (int(v) for v in found.at[way.steps[way.narrow]])
        pivot = plane.pivot(made.path[made.blocked], float(np.diff(distances).max()))
        if pivot is None or np.array_equal(pivot, middle):
            fine = _finer(fine, distance)
        else:
            # lines that graze this corner then lie at one distance, whatever their angle
            middle, fine = pivot, plane.grazing(distances)
        fine_angles = _finer(fine_angles, angle)
    return made


@dataclass(frozen=True, eq=False)
class Blocked:
    """What is in the way in a plane, grown on all sides by half of what is to pass.

    Attributes:
        edges: of the grown polygons, `(e, 2, 2)`.
        corners: of what was grown, `(c, 2)`.
        radius: by how much it was grown, mm.
    """

    edges: Array
    corners: Array
    radius: float

    @classmethod
    def grown(cls, shapes: Shapes, radius: float) -> Blocked:
        """Some shapes grown by a radius, arcs drawn from outside; themselves where that is zero."""
        grown = (
            shapely.buffer(shapes, radius / np.cos(np.pi / (4 * ARC)), quad_segs=ARC) if radius else shapes
        )
        made: BaseGeometry = shapely.union_all(grown)
        if radius:
            made = shapely.simplify(made, FINE)
        return cls(polygon_edges(made), np.unique(shapely.get_coordinates(shapes), axis=0), radius)

    def pivot(self, ends: Array, reach: float) -> Array | None:
        """The corner that a straight thing with ends `(2, 2)` grazes; None where it grazes none."""
        way = ends[1] - ends[0]
        length = float(np.hypot(*way))
        off = self.corners - ends[0]
        share = off @ way / length**2
        away = np.abs(off @ np.array([-way[1], way[0]]) / length) - self.radius
        near = (share > 0.0) & (share < 1.0) & (away < reach)
        if not near.any():
            return None
        found: Array = self.corners[near][int(np.argmin(np.abs(away[near])))]
        return found

    def grazing(self, distances: Array) -> Array:
        """Distances of a grid with more of them where lines graze a corner in the middle."""
        step = float(np.diff(distances).max())
        past = self.radius * (1.0 / np.cos(np.pi / (4 * ARC)) - 1.0)
        close = np.concatenate([np.linspace(0.0, past, 5), past + step * 4.0 ** -np.arange(8.0)])
        graze = self.radius + close + 1e-6
        return np.unique(np.concatenate([distances, graze, -graze]))


def polygon_edges(blocks: BaseGeometry) -> Array:
    """Every edge of some polygons, `(e, 2, 2) float`."""
    polygons = shapely.get_parts(blocks)
    rings = shapely.get_rings(polygons[shapely.get_type_id(polygons) == 3])
    found = [np.zeros((0, 2, 2))]
    for ring in rings:
        points = shapely.get_coordinates(ring)
        found.append(np.stack([points[:-1], points[1:]], axis=1))
    return np.concatenate(found)


def _finer(values: Array, at: int) -> Array:
    """Rising values with more of them about one."""
    low, high = max(0, at - AROUND), min(len(values) - 1, at + AROUND + 1)
    parts = [np.linspace(values[k], values[k + 1], FINER + 1) for k in range(low, high)]
    return np.unique(np.concatenate([values, *parts]))


def _threaded(found: Stretches, way: Way, middle: Array) -> Threaded:
    """The way as poses: at each step the part of its stretch that lies nearest to the pose before."""
    length = min(way.width, float(found.lengths[way.steps].min()))
    angle = found.angles[found.at[way.steps, 0]]
    distance = found.distances[found.at[way.steps, 1]]
    along = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    across = np.stack([-along[:, 1], along[:, 0]], axis=1)
    starts = np.zeros(len(way.steps))
    at = float(way.common[0])
    starts[way.narrow] = at
    for order in (range(way.narrow, len(starts)), range(way.narrow, -1, -1)):
        place = at
        for k in order:
            low, high = found.ends[way.steps[k]]
            place = min(max(place, low), max(low, high - length))
            starts[k] = place
    begin = middle + distance[:, None] * across + starts[:, None] * along
    return Threaded(length, np.stack([begin, begin + length * along], axis=1), way.narrow)
