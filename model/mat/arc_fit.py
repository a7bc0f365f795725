"""Arcs fitted to chains of short edges: curves offset as polylines come out as the few arcs they are."""

from __future__ import annotations

import numpy as np

from model.geometry import Array
from parts.outline import Loop

TOLERANCE = 0.04
"""Greatest distance between a fitted arc and the vertices it takes the place of, mm."""
_RISE = 0.15
"""Greatest rise of a fitted arc over one of those edges, mm: offsets of arcs told by chords rise no more."""
_MOST_TURN = 0.35
"""A corner that turns by more, rad, ends an arc."""
_STRAIGHT = 2e-3
"""Vertices this near the line through their neighbours are on it, mm."""
_SAME = 1e-6
_CRUMB = 0.02
"""Shorter edges are left over from cutting and dropped, mm."""

_SAME = 1e-6
"""Corners no further apart are one, mm."""


def with_arcs(ring: Array) -> Loop:
    """The loop through a ring of `(n, 2)` vertices, chains of three edges and more on a circle made arcs.

    Edges on one straight line are joined. The ring is walked counter-clockwise from the end of its longest
    edge, so that the same shape always gives the same arcs.
    """
    closed = _from_longest(ring)
    last = len(closed) - 1
    corners: list[Array] = []
    bulges: list[float] = []
    i = 0
    while i < last:
        j, bulge = _furthest(closed, i)
        corners.append(closed[i])
        bulges.append(bulge)
        i = j
    if len(corners) > 2 or (len(corners) == 2 and all(bulges)):
        return Loop(np.array(corners), np.array(bulges))
    return Loop.polygon(closed[:-1])


def _from_longest(ring: Array) -> Array:
    """The ring counter-clockwise from the end of its longest edge, closed, no vertex twice in one place."""
    # Two cuts that meet may leave a corner twice, which no outline can have.
    twice = np.hypot(*(ring - np.roll(ring, 1, axis=0)).T) < _SAME
    points = Loop.polygon(ring[~twice]).ccw().points
    behind = points - np.roll(points, 1, axis=0)
    points = points[np.hypot(*behind.T) > _CRUMB]
    behind = points - np.roll(points, 1, axis=0)
    # of edges as long as each other (to 0.1 mm) a sharp corner at the end decides, then the lower place
    turned = np.roll(points, -1, axis=0) - points
    sharp = np.abs(_turn(behind.T, turned.T)) > _MOST_TURN
    order = np.lexsort([-points[:, 1], -points[:, 0], sharp, np.round(np.hypot(*behind.T), 1)])
    start = int(order[-1])
    return np.vstack([points[start:], points[: start + 1]])


def _furthest(closed: Array, start: int) -> tuple[int, float]:
    """The last vertex that one edge from `start` reaches, and that edge's bulge."""
    best = (start + 1, 0.0)
    for end in range(start + 2, len(closed)):
        chain = closed[start : end + 1]
        if abs(float(_turn(chain[-2] - chain[-3], chain[-1] - chain[-2]))) > _MOST_TURN:
            break
        bulge = _bulge(chain)
        if bulge is not None:
            best = (end, bulge)
        elif end > start + 3:
            break
    # two edges lie on a circle always
    return best if best[0] > start + 2 or best[1] == 0.0 else (start + 1, 0.0)


def _turn(a: Array, b: Array) -> Array:
    """How far direction b is turned left of a, rad; components along the first axis."""
    found: Array = np.arctan2(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1])
    return found


def _bulge(chain: Array) -> float | None:
    """The bulge of the arc (0: the straight edge) from first to last of a chain that keeps near all of it."""
    chord = chain[-1] - chain[0]
    length = float(np.hypot(*chord))
    if length < _SAME:
        return None
    way = chord / length
    rel = chain - chain[0]
    along, off = rel @ way, rel @ np.array([-way[1], way[0]])
    if np.abs(off).max() < _STRAIGHT and (np.diff(along) > 0).all():
        return 0.0
    middle = int(np.argmax(np.abs(off)))
    bulge = _through(float(along[middle]), float(off[middle]), length)
    return bulge if _keeps_near(along, off, length, bulge) else None


def _through(along: float, off: float, length: float) -> float:
    """The bulge of the arc over a chord through a point beside it; above zero to its right."""
    angle = np.arctan2(off, along) + np.arctan2(
        off, length - along
    )  # half of the arc, by the inscribed angle
    return -float(np.tan(angle / 2))


def _keeps_near(along: Array, off: Array, length: float, bulge: float) -> bool:
    """Whether a chain is an arc: vertices on it, edges near it, all walked one way."""
    if not _SAME < abs(bulge) <= 1.0:
        return False
    centre = np.array([length / 2, length * (1 - bulge**2) / (4 * bulge)])
    radius = length * (1 + bulge**2) / (4 * abs(bulge))
    points = np.column_stack([along, off])
    away = np.abs(np.hypot(*(points - centre).T) - radius)
    rise = np.abs(np.hypot(*((points[1:] + points[:-1]) / 2 - centre).T) - radius)
    turn = np.diff(np.unwrap(np.arctan2(*(points - centre).T[::-1])))
    return bool(away.max() < TOLERANCE and rise.max() < _RISE and ((turn > 0).all() or (turn < 0).all()))
