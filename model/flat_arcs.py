"""Outlines with true arcs from tessellated polygons, and back.

Boolean work on outlines is done by shapely, which knows straight edges only. An outline goes in
tessellated, each arc in equal steps; what comes out is searched for runs of equal steps, which can
only be such arcs, and they become true arcs again. Curves sampled along the hull stay polylines.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from model.geometry import Array
from parts import arcs
from parts.outline import CHORD, Loop

_T = TypeVar("_T", bound=np.generic)

THIN = 0.05
"""Greatest distance by which a polyline moves when vertices it can do without are left out, mm."""

_ON_CIRCLE = 1e-6
"""Greatest distance of a recovered arc's vertices from its circle, mm; far above rounding, far below work."""
_LEAST_STEPS = 4
"""Fewest steps an arc is tessellated in, so that it can be told from three corners of a polygon."""
_LEAST_ANGLE = np.radians(3.0)
"""An arc turning less in all is left as a polyline: four samples of a hull line may look like one."""
_MOST_SAGITTA = 2.0 * CHORD
"""Greatest rise of an arc over one step, mm; a regular octagon rises more and stays an octagon."""


def polygon_of(outline: Loop, holes: Sequence[Loop] = (), chord: float = CHORD) -> shapely.Polygon:
    """The shapely polygon of an outline with holes; `polygon_loops` finds all its arcs again."""
    return shapely.Polygon(_ring(outline, chord), [_ring(hole, chord) for hole in holes])


def _ring(loop: Loop, chord: float) -> Array:
    """Vertices `(m, 2)` of the loop, each arc in at least `_LEAST_STEPS` equal steps."""
    curved = np.flatnonzero(loop.bulges)
    if not len(curved):
        return loop.points
    ahead = _following(loop.points) - loop.points
    counts = np.ones(len(ahead), dtype=np.intp)
    counts[curved] = np.maximum(arcs.step_counts(ahead[curved], loop.bulges[curved], chord), _LEAST_STEPS)
    edge = np.repeat(np.arange(len(counts)), counts)
    step = np.arange(len(edge)) - np.repeat(np.cumsum(counts) - counts, counts)
    found = loop.points[edge].copy()
    inner = np.flatnonzero(step)
    e = edge[inner]
    found[inner] = arcs.arc_points(loop.points[e], ahead[e], loop.bulges[e], step[inner] / counts[e])
    return found


def polygon_loops(polygon: shapely.Polygon, thin: float = THIN) -> tuple[Loop, tuple[Loop, ...]]:
    """Outline and holes of a polygon, arcs recovered, every loop counter-clockwise.

    Args:
        polygon: a valid, not empty polygon, mm.
        thin: vertices of straight chains that matter less than this are left out, mm.
    """
    outside, *holes = (
        loop_of_ring(shapely.get_coordinates(ring), thin) for ring in (polygon.exterior, *polygon.interiors)
    )
    return outside, tuple(holes)


def polygons_of(shape: BaseGeometry) -> list[shapely.Polygon]:
    """The polygons of any shapely shape, largest first; lines and points are dropped."""
    if isinstance(shape, shapely.Polygon):
        return [] if shape.is_empty else [shape]
    parts = shapely.get_parts(shapely.get_parts(shape))
    found = [part for part in parts if isinstance(part, shapely.Polygon) and part.area > 0]
    return sorted(found, key=lambda part: -part.area)


def loop_of_ring(points: Array, thin: float = THIN) -> Loop:
    """The loop through a closed ring of `(n, 2)` vertices, in mm, counter-clockwise, arcs recovered.

    An arc is a run of at least four vertices on one circle (to 1e-6 mm) in equal steps. What lies
    between arcs keeps its vertices, but for those within `thin` of the line through the others.

    Raises:
        ValueError: fewer than three different vertices.
    """
    ring = _clean(np.asarray(points, dtype=np.float64))
    runs = _arc_runs(ring)
    n = len(ring)
    if runs and runs[0][1] == n:
        return _circle(ring)
    if not runs:
        return Loop.polygon(_thinned_ring(ring, thin))
    corners: list[Array] = []
    bulges: list[float] = []
    for i, (start, steps, bulge) in enumerate(runs):
        corners.append(ring[start % n][None])
        bulges.append(bulge)
        end = start + steps
        until = runs[i + 1][0] if i + 1 < len(runs) else runs[0][0] + n
        chain = _thinned(ring[np.arange(end, until + 1) % n], thin)[:-1]
        corners.append(chain)
        bulges.extend([0.0] * len(chain))
    return Loop(np.concatenate(corners), np.array(bulges))


def _clean(ring: Array) -> Array:
    """The ring counter-clockwise, without vertices in the same place one after the other."""
    across, up = np.abs(_following(ring) - ring).T
    ring = ring[np.maximum(across, up) > _ON_CIRCLE]
    if len(ring) < 3:
        raise ValueError("an outline needs three different corners")
    x, y = (ring[1:] - ring[0]).T
    twice = float(x[:-1] @ y[1:] - x[1:] @ y[:-1])
    return ring if twice > 0 else ring[::-1]


def _following(ring: npt.NDArray[_T]) -> npt.NDArray[_T]:
    """What follows each item of a closed ring."""
    return np.concatenate([ring[1:], ring[:1]])


def _before(ring: npt.NDArray[_T]) -> npt.NDArray[_T]:
    """What stands before each item of a closed ring."""
    return np.concatenate([ring[-1:], ring[:-1]])


def _arc_runs(ring: Array) -> list[tuple[int, int, float]]:
    """The arcs in a ring as (first vertex, steps, bulge), by first vertex; the last may run past the end."""
    n = len(ring)
    ahead = _following(ring) - ring
    length = np.hypot(ahead[:, 0], ahead[:, 1])
    even = np.abs(length - _before(length)) < 2 * _ON_CIRCLE
    if not (even & _before(even)).any():  # an arc has three equal steps or more
        return []
    behind = _before(ahead)
    cross = behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0]
    turn = np.arctan2(cross, behind[:, 0] * ahead[:, 0] + behind[:, 1] * ahead[:, 1])
    rise = length / 2 * np.abs(np.tan(turn / 4))
    on_arc = even & (np.abs(turn) > 1e-6) & (rise < _MOST_SAGITTA)
    same = on_arc & _before(on_arc) & (np.abs(turn - _before(turn)) * length < 4 * _ON_CIRCLE)
    if same.all():
        return [(0, n, 0.0)] if _is_round(ring) else []
    found = []
    for first, last in _spans(on_arc, same):
        steps = last - first + 2
        bulge = _bulge(ring[np.arange(first - 1, last + 2) % n], float(turn[first % n]))
        if 3 <= steps < n and bulge:
            found.append(((first - 1) % n, steps, bulge))
    found.sort()
    starts = [start for start, _, _ in found]
    following = [*starts[1:], *(start + n for start in starts[:1])]
    # Two runs that share an edge cannot both be arcs; the later one keeps it.
    return [run for run, until in zip(found, following, strict=True) if run[0] + run[1] <= until]


def _spans(on_arc: npt.NDArray[np.bool_], same: npt.NDArray[np.bool_]) -> list[tuple[int, int]]:
    """First and last vertex of each run of alike vertices; `last` may pass the end of the ring.

    `same[i]`: vertex i is like the one before it. At least one vertex is not.
    """
    n = len(on_arc)
    heads = np.flatnonzero(on_arc & ~same)
    if not len(heads):
        return []
    breaks = np.flatnonzero(~same)
    following = np.append(breaks, breaks[0] + n)
    after = following[np.searchsorted(breaks, heads, side="right")]
    return [(int(a), int(b) - 1) for a, b in zip(heads, after, strict=True)]


def _bulge(run: Array, turn: float) -> float:
    """Bulge of the arc through a run of vertices that each turn by `turn`; 0 if it is none."""
    angle = turn * (len(run) - 1)
    if abs(angle) < _LEAST_ANGLE or abs(angle) > 2 * np.pi - abs(turn) / 2:
        return 0.0
    bulge = float(np.tan(angle / 4))
    chord = run[-1] - run[0]
    half = chord / 2
    left = np.array([-half[1], half[0]])
    centre = run[0] + half + left * (1 - bulge**2) / (2 * bulge)
    distance = np.hypot(*(run - centre).T)
    return bulge if np.ptp(distance) < 2 * _ON_CIRCLE else 0.0


def _is_round(ring: Array) -> bool:
    """Whether all vertices lie on one circle."""
    distance = np.hypot(*(ring - ring.mean(axis=0)).T)
    return bool(np.ptp(distance) < 2 * _ON_CIRCLE)


def _circle(ring: Array) -> Loop:
    """The circle through evenly spaced vertices, as two half circles from the first of them."""
    return Loop(np.stack([ring[0], 2 * ring.mean(axis=0) - ring[0]]), np.ones(2))


def _thinned(chain: Array, thin: float) -> Array:
    """An open chain without the vertices within `thin` of the line through the others."""
    if len(chain) < 3:
        return chain
    found: Array = shapely.get_coordinates(
        shapely.simplify(shapely.linestrings(chain), thin, preserve_topology=False)
    )
    return found


def _farthest(points: Array, place: Array) -> int:
    """Which of the points is farthest from a place."""
    x, y = (points - place).T
    return int((x * x + y * y).argmax())


def _thinned_ring(ring: Array, thin: float) -> Array:
    """A closed ring thinned between its vertex farthest from the middle and the one farthest from that."""
    start = _farthest(ring, ring.sum(axis=0) / len(ring))
    whole = np.concatenate([ring[start:], ring[: start + 1]])
    far = _farthest(whole[:-1], whole[0])
    found = np.concatenate([_thinned(whole[: far + 1], thin)[:-1], _thinned(whole[far:], thin)[:-1]])
    return found if len(found) > 2 else ring
