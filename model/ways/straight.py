"""A way found from place to place, drawn straight where that keeps it clear and held."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from model.geometry import Array
from model.ways.bends import END_SHARE
from model.ways.places import CLIP, FAR, GIVE, home

if TYPE_CHECKING:
    from model.ways.route import Ways

Flags = npt.NDArray[np.bool_]

Ints = npt.NDArray[np.int64]

LACKS = 15.0
"""Room that a bend lacks costs so much more than way."""

SLOPE, RISES = 0.025, 30.0
"""What drains by itself is to fall by this share of its level way; each mm that it lacks costs so much."""

STRAIGHT = 0.9998
"""Cosine of a turn that is none."""

IN_LINE = 1.0
"""A corner that lies this near to the straight between its neighbours, mm, is none."""

HELD = 30.0
"""A straight longer than a run may hang must follow the places it was found by within this, mm."""

SAMPLE = 40.0
"""The skin is asked at points of a straight this far apart, mm."""


def clear_segments(ways: Ways, a: Array, b: Array, radius: float, ends: Flags) -> Flags:
    """Which segments `(n, 3)` are clear of all; `ends` tells those that begin where a run ends."""
    found = np.ones(len(a), dtype=np.bool_)
    segment, slab = ways.blocks.hits(a, b, radius + CLIP - GIVE)
    forgiven = np.zeros(len(segment), dtype=np.bool_)
    own = np.flatnonzero(ends)
    if len(own):
        back = np.full(len(a), -1)
        back[own] = np.arange(len(own))
        mine = np.flatnonzero(back[segment] >= 0)
        forgiven[mine] = home(ways.blocks, a[own], b[own], back[segment[mine]], slab[mine], radius)
    found[segment[~forgiven]] = False
    ask = np.flatnonzero(found)
    found[ask] = in_hull(ways, a[ask], b[ask], radius, ends[ask])
    return found


def in_hull(ways: Ways, a: Array, b: Array, radius: float, ends: Flags) -> Flags:
    """Which segments stay inside the skin, under cover and out of wells; asked between their ends."""
    if not len(a):
        return np.zeros(0, dtype=np.bool_)
    length = np.sqrt(((b - a) ** 2).sum(axis=1))
    count = np.maximum(1, np.ceil(length / SAMPLE).astype(np.int64) - 1)
    which = np.repeat(np.arange(len(a)), count)
    number = np.arange(len(which)) - np.repeat(np.cumsum(count) - count, count)
    share = ((number + 1) / (count[which] + 1))[:, None]
    points = a[which] + share * (b - a)[which]
    good = ways.cover.covered(points) & ~ways.cover.in_well(points)
    asked = np.where(ends[which] & (share[:, 0] * length[which] < 3.0 * radius), 0.0, radius)
    good &= ways.hull.gap(points, ends=True) >= asked - 0.5
    found = np.ones(len(a), dtype=np.bool_)
    found[which[~good]] = False
    return found


def without_straights(path: Array, fixed: Flags) -> tuple[Array, Flags]:
    """The path without the corners that are none."""
    kept = [0]
    for k in range(1, len(path) - 1):
        if fixed[k] or _off(path[kept[-1]], path[k + 1], path[kept[-1] + 1 : k + 1]) > IN_LINE:
            kept.append(k)
    kept.append(len(path) - 1)
    return path[kept], fixed[kept]


def _off(start: Array, end: Array, points: Array) -> float:
    """The furthest of points from a segment, mm."""
    way = end - start
    share = np.clip((points - start) @ way / max(float(way @ way), 1e-9), 0.0, 1.0)
    off = points - start - share[:, None] * way
    return float(np.sqrt((off**2).sum(axis=1)).max())


def straightened(
    ways: Ways,
    path: Array,
    fixed: Flags,
    radius: float,
    turn: float,
    bend: float = 0.0,
    falls: bool = False,
) -> Array:
    """The path `(n, 3)` by the fewest and shortest straights between some of its corners.

    Args:
        ways: of the boat.
        path: its corners; the first and last are ends of the run.
        fixed: corners that must stay, as those of passages; straights between two fixed ones are not asked.
        radius: of the places it was found by, mm.
        turn: what a corner is worth in way, mm.
        bend: radius to which corners are to be rounded, mm; straights are chosen that leave room for it.
        falls: whether straights that do not fall cost more.
    """
    if bend <= 0.0:
        path, fixed = without_straights(path, fixed)
    i, j = np.triu_indices(len(path), 1)
    before = np.concatenate([[0], np.cumsum(fixed)])
    between = before[j] - before[i + 1]  # fixed corners strictly between
    i, j = i[between == 0], j[between == 0]
    length = np.sqrt(((path[j] - path[i]) ** 2).sum(axis=1))
    near = (j == i + 1) | (length <= FAR)
    near |= np.array([_off(path[a], path[b], path[a : b + 1]) < HELD for a, b in zip(i, j, strict=True)])
    i, j, length = i[near], j[near], length[near]
    good = j == i + 1
    ask = np.flatnonzero(~good)
    last = len(path) - 1
    forward = i[ask] == 0
    a, b = np.where(forward, i[ask], j[ask]), np.where(forward, j[ask], i[ask])
    at_end = (a == 0) | (a == last)
    good[ask] = clear_segments(ways, path[a], path[b], radius, at_end)
    i, j, length = i[good], j[good], length[good]
    extra = lacking_fall(path[i], path[j]) if falls else np.zeros(len(i))
    return path[_gentlest(path, i, j, length, extra, turn, bend)]


def lacking_fall(start: Array, end: Array) -> Array:
    """What straights `(n, 3)` to `(n, 3)` cost for each mm that they lack of their fall, `(n,)`."""
    way = end - start
    asked = SLOPE * np.hypot(way[:, 0], way[:, 1])
    found: Array = RISES * np.maximum(0.0, asked + way[:, 2])
    return found


def _gentlest(
    path: Array, i: Ints, j: Ints, length: Array, extra: Array, turn: float, bend: float
) -> list[int]:
    """The cheapest chain of straights, where a corner without room for its bend costs by what it lacks.

    A bend of an angle takes bend * tan(angle / 2) of the straights beside it, half of each at most, or all
    but a little of the first and the last.
    """
    if bend <= 0.0:
        return _fewest(i, j, length + extra + turn, len(path))
    last = len(path) - 1
    way = (path[j] - path[i]) / np.maximum(length, 1e-9)[:, None]
    room = length * np.where((i == 0) | (j == last), END_SHARE, 0.5)
    cost = np.where(i == 0, length + extra, np.inf)
    came = np.full(len(i), -1)
    for corner in range(1, last):
        into, out = np.flatnonzero(j == corner), np.flatnonzero(i == corner)
        if not len(into) or not len(out):
            continue
        cosine = np.clip(way[into] @ way[out].T, -1.0 + 1e-6, 1.0)
        asked = bend * np.sqrt((1.0 - cosine) / (1.0 + cosine))
        lacks = np.maximum(0.0, asked - np.minimum(room[into][:, None], room[out][None]))
        straight = cosine > STRAIGHT
        total = cost[into][:, None] + LACKS * lacks + np.where(straight, 0.0, turn)
        best = total.argmin(axis=0)
        cost[out] = total[best, np.arange(len(out))] + length[out] + extra[out]
        came[out] = into[best]
    ends = np.flatnonzero(j == last)
    edge = int(ends[cost[ends].argmin()])
    chain = [last]
    while edge >= 0:
        chain.append(int(i[edge]))
        edge = int(came[edge])
    return chain[::-1]


def _fewest(i: Ints, j: Ints, cost: Array, count: int) -> list[int]:
    """The cheapest chain of straights from the first corner to the last."""
    best = np.full(count, np.inf)
    came = np.zeros(count, dtype=np.int64)
    best[0] = 0.0
    for k in np.argsort(i, kind="stable"):
        if best[i[k]] + cost[k] < best[j[k]]:
            best[j[k]], came[j[k]] = best[i[k]] + cost[k], i[k]
    way = [count - 1]
    while way[-1]:
        way.append(int(came[way[-1]]))
    return way[::-1]
