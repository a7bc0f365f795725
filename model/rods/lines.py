"""Lines in a plane and the free stretches of them, on a grid of angle and distance.

A straight thing slides along its line freely, so where it can get to is told by lines alone: it goes from a
free stretch of one line to that of a line close by as long as both have a part in common that is as long as
it is. The greatest length that gets from here to there is thus the widest way over stretches.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.sparse import coo_matrix, csr_array
from scipy.sparse.csgraph import breadth_first_order, minimum_spanning_tree

from model.geometry import Array

Ints = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]

FAR = 20_000.0
"""Stretches are taken to end here, mm from the middle of the plane, where nothing ends them before."""

BRIDGES = (0.02, 0.27, 0.5, 0.73, 0.98)
"""Where it is tried whether a wall stands between two lines, of what they have in common."""

LOST = 1e6
"""Wider than any way, mm."""


@dataclass(frozen=True, eq=False)
class Stretches:
    """Free stretches of lines `distance * across(angle) + t * along(angle)`.

    Attributes:
        angles: of the lines with the plane's x, rising, `(a,)`.
        distances: of the lines from the middle, rising, `(d,)`.
        at: place in `angles` and in `distances` of each stretch, `(n, 2)`.
        ends: where it begins and ends along its line, `(n, 2)`.
        edges: the polygons' edges it begins and ends at, `(n, 2)`; -1 where nothing ends it.
    """

    angles: Array
    distances: Array
    at: Ints
    ends: Array
    edges: Ints

    @property
    def lengths(self) -> Array:
        """Of each, mm, `(n,)`."""
        found: Array = self.ends[:, 1] - self.ends[:, 0]
        return found

    def points(self) -> Array:
        """Both ends of each in the plane, `(n, 2, 2) float`."""
        every = np.arange(len(self.at))
        return np.stack([self.point(every, self.ends[:, k]) for k in (0, 1)], axis=1)

    def point(self, which: Ints, t: Array) -> Array:
        """The points of some stretches' lines `(k,)` at t `(k,)`, `(k, 2) float`."""
        angle, distance = self.angles[self.at[which, 0]], self.distances[self.at[which, 1]]
        c, s = np.cos(angle), np.sin(angle)
        return np.stack([t * c - distance * s, t * s + distance * c], axis=1)


def stretches(edges: Array, angles: Array, distances: Array, least: float = 0.0) -> Stretches:
    """The free stretches, longer than `least`, of a grid of lines outside of polygons with edges `(e, 2, 2)`.

    The polygons do not overlap and do not touch but in corners.
    """
    rows = []
    for k, angle in enumerate(angles):
        along = np.array([np.cos(angle), np.sin(angle)])
        across = edges @ np.array([-along[1], along[0]])
        forward = edges @ along
        low, high = across.min(axis=1), across.max(axis=1)
        first, last = np.searchsorted(distances, low, "left"), np.searchsorted(distances, high, "left")
        count = last - first
        edge = np.repeat(np.arange(len(edges)), count)
        line = np.arange(len(edge)) - np.repeat(np.cumsum(count) - count, count) + first[edge]
        span = across[edge, 1] - across[edge, 0]
        share = (distances[line] - across[edge, 0]) / span
        t = forward[edge, 0] + share * (forward[edge, 1] - forward[edge, 0])
        rows.append(np.column_stack([np.full(len(t), float(k)), line, t, edge]))
    return _between(np.concatenate(rows), angles, distances, max(least, 1e-9))


def _between(hits: Array, angles: Array, distances: Array, least: float) -> Stretches:
    """What lies between crossings `(h, 4)` of angle, distance, t and edge: every second gap of a line."""
    i, j = (part.ravel() for part in np.indices((len(angles), len(distances))))
    far = [np.column_stack([i, j, np.full(len(i), sign * FAR), np.full(len(i), -1)]) for sign in (-1.0, 1.0)]
    hits = np.concatenate([hits, *far])
    hits = hits[np.lexsort((hits[:, 2], hits[:, 1], hits[:, 0]))]
    # each line has an even number of crossings, so begins and ends take turns all through
    start, end = hits[0::2], hits[1::2]
    kept = end[:, 2] - start[:, 2] > least
    start, end = start[kept], end[kept]
    ends, edges = (np.column_stack([start[:, k], end[:, k]]) for k in (2, 3))
    return Stretches(angles, distances, start[:, :2].astype(np.int64), ends, edges.astype(np.int64))


@dataclass(frozen=True, eq=False)
class Way:
    """The widest way over stretches.

    Attributes:
        width: of its narrowest step: the greatest length that gets through, mm.
        steps: places of the stretches on it, `(n,)`.
        narrow: place in `steps` of the first of the two between which it is narrowest.
        common: the part that those two have in common, `(2,)`, along their lines.
    """

    width: float
    steps: Ints
    narrow: int
    common: Array


def widest(found: Stretches, edges: Array, source: Flags, target: Flags) -> Way | None:
    """The widest way from any stretch of some to any of others; None where there is none.

    A maximal spanning tree holds the widest way between any two of its nodes. A step of it between which an
    edge of a polygon runs through, as a thin wall does that neither line meets, is taken out with all others
    across that edge, and the way is looked for again.

    Args:
        found: the stretches.
        edges: of the polygons, `(e, 2, 2)`.
        source: where it may begin, `(n,)`.
        target: where it may end, `(n,)`.
    """
    steps = _steps(found)
    while True:
        way = _widest(found, steps, source, target)
        if way is None or len(way.steps) < 2:
            return way
        through = np.flatnonzero(_walled(found, way.steps[:-1], way.steps[1:], edges).any(axis=0))
        if not len(through):
            return way
        kept = ~_walled(found, steps.one, steps.other, edges[through]).any(axis=1)
        steps = _Steps(steps.one[kept], steps.other[kept], steps.width[kept])


def _walled(found: Stretches, one: Ints, other: Ints, edges: Array) -> Flags:
    """Which edges `(e, 2, 2)` run through between two stretches `(k,)` each, `(k, e)`.

    Tried by straight bridges from the one to the other, at some places of what they have in common.
    """
    low = np.maximum(found.ends[one, 0], found.ends[other, 0])
    high = np.minimum(found.ends[one, 1], found.ends[other, 1])
    walled = np.zeros((len(one), len(edges)), dtype=np.bool_)
    for share in BRIDGES:
        t = low + share * (high - low)
        walled |= _crossed(np.stack([found.point(one, t), found.point(other, t)], axis=1), edges)
    return walled


def _crossed(bridges: Array, edges: Array) -> Flags:
    """Which bridges `(k, 2, 2)` run across which edges `(e, 2, 2)`, `(k, e)`."""

    def sides(lines: Array, points: Array) -> Array:
        start, way = lines[:, 0], lines[:, 1] - lines[:, 0]
        moment = way[:, 0] * start[:, 1] - way[:, 1] * start[:, 0]
        found: Array = points @ np.stack([-way[:, 1], way[:, 0]]) - moment
        return found

    apart = sides(edges, bridges[:, 0]) * sides(edges, bridges[:, 1]) < 0.0
    across = sides(bridges, edges[:, 0]) * sides(bridges, edges[:, 1]) < 0.0
    found: Flags = apart & across.T
    return found


@dataclass(frozen=True, eq=False)
class _Steps:
    """Pairs of stretches on neighbouring lines and the length that passes from one to the other."""

    one: Ints
    other: Ints
    width: Array


def _widest(found: Stretches, steps: _Steps, source: Flags, target: Flags) -> Way | None:
    count = len(found.at)
    own, into = np.flatnonzero(source), np.flatnonzero(target)
    if not len(own) or not len(into):
        return None
    lengths = np.minimum(found.lengths, LOST / 2.0)
    rows = np.concatenate([steps.one, np.full(len(own), count), np.full(len(into), count + 1)])
    columns = np.concatenate([steps.other, own, into])
    wide = np.full(len(own), LOST / 2.0)
    caps = np.concatenate([np.minimum(steps.width, LOST / 2.0), wide, lengths[into]])
    graph = coo_matrix((LOST - caps, (rows, columns)), shape=(count + 2, count + 2)).tocsr()
    tree = minimum_spanning_tree(graph)
    tree = csr_array(tree + tree.T)
    _, before = breadth_first_order(tree, count, directed=False)
    if before[count + 1] < 0:
        return None
    return _way(found, before.astype(np.int64), tree, count)


def _way(found: Stretches, before: Ints, tree: csr_array, count: int) -> Way:
    path = [count + 1]
    while path[-1] != count:
        path.append(int(before[path[-1]]))
    path = path[::-1]
    caps = LOST - np.asarray(tree[path[:-1], path[1:]]).ravel()
    narrow = int(caps.argmin())
    pair = [node for node in path[narrow : narrow + 2] if node < count]
    common = np.array([found.ends[pair, 0].max(), found.ends[pair, 1].min()])
    steps = np.array(path[1:-1], dtype=np.int64)
    place = min(max(narrow - 1, 0), len(steps) - 1)
    return Way(float(caps[narrow]), steps, place, common)


def _steps(found: Stretches) -> _Steps:
    """Pairs of stretches on neighbouring lines with the length they have in common."""
    across = len(found.distances)
    line = found.at[:, 0] * across + found.at[:, 1]
    total = len(found.angles) * across
    counts = np.bincount(line, minlength=total)
    first = np.concatenate([[0], np.cumsum(counts)])  # stretches stand line by line
    pairs = [
        _pairs(found, line, first, counts, turn, shift) for turn, shift in ((0, 1), (1, -1), (1, 0), (1, 1))
    ]
    one, other = (np.concatenate([pair[k] for pair in pairs]) for k in (0, 1))
    low = np.maximum(found.ends[one, 0], found.ends[other, 0])
    width = np.minimum(found.ends[one, 1], found.ends[other, 1]) - low
    # between the same two edges it slides along while it turns, so that the shorter of the two passes
    same = (found.edges[one] == found.edges[other]).all(axis=1) & (width > 0.0)
    width[same] = np.minimum(found.lengths[one[same]], found.lengths[other[same]])
    kept = width > 0.0
    return _Steps(one[kept], other[kept], width[kept])


def _pairs(
    found: Stretches, line: Ints, first: Ints, counts: Ints, turn: int, shift: int
) -> tuple[Ints, Ints]:
    """Each stretch with each of the line that is `turn` angles and `shift` distances on."""
    i, j = found.at[:, 0] + turn, found.at[:, 1] + shift
    there = (i < len(found.angles)) & (j >= 0) & (j < len(found.distances))
    one = np.flatnonzero(there)
    beside = i[there] * len(found.distances) + j[there]
    many = counts[beside]
    repeated = np.repeat(one, many)
    step = np.arange(int(many.sum())) - np.repeat(np.cumsum(many) - many, many)
    return repeated, np.repeat(first[beside], many) + step
