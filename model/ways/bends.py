"""Corners of a run rounded to arcs, as wide as its bend radius asks and as what is about allows."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from model.geometry import Array
from model.ways.run import TightBend

STEP = math.radians(7.5)
"""Arcs are followed by chords that turn no more than this."""

END_SHARE = 0.95
"""Of the first and the last straight so much may be bent."""

SHARES = (1.0, 0.85, 0.7, 0.55, 0.4, 0.25, 0.1)
"""Radii tried where the one asked does not fit, as shares of it."""

STRAIGHT = math.radians(1.0)
"""A corner that turns less than this needs no arc."""

Clear = Callable[[Array], bool]
"""Whether a polyline `(n, 3)` is clear of what is about."""


def turn_at(corners: Array) -> Array:
    """How far a polyline `(n, 3)` turns at each inner corner, rad `(n - 2,)`."""
    way = np.diff(corners, axis=0)
    way = way / np.maximum(np.sqrt((way**2).sum(axis=1)), 1e-9)[:, None]
    found: Array = np.arccos(np.clip((way[:-1] * way[1:]).sum(axis=1), -1.0, 1.0))
    return found


def rounded(corners: Array, radius: float, clear: Clear) -> tuple[Array, tuple[TightBend, ...]]:
    """A polyline with its corners rounded to a radius, mm, and the bends that had to be closer.

    An arc takes no more of a straight than half, and at the ends of the run all but a little.

    Args:
        corners: `(n, 3)`, no two that follow on each other alike.
        radius: of the centreline.
        clear: asked of every arc, whose inside cuts the corner.
    """
    if radius <= 0.0 or len(corners) < 3:
        return corners, ()
    length = np.sqrt((np.diff(corners, axis=0) ** 2).sum(axis=1))
    share = np.full(len(length), 0.5)
    share[0] = share[-1] = END_SHARE
    turns = turn_at(corners)
    points, tight = [corners[:1]], []
    room = np.stack([length[:-1] * share[:-1], length[1:] * share[1:]], axis=1)
    for k, turn in enumerate(turns, start=1):
        if turn < STRAIGHT:
            points.append(corners[k : k + 1])
            continue
        widest = float(room[k - 1].min()) / math.tan(turn / 2.0)
        arc, got = _arc(corners[k - 1 : k + 2], turn, radius, widest, clear)
        points.append(arc)
        if got < radius * (1.0 - 1e-6):
            tight.append(TightBend(corners[k], got, radius))
    points.append(corners[-1:])
    return np.concatenate(points), tuple(tight)


def _arc(corner: Array, turn: float, radius: float, widest: float, clear: Clear) -> tuple[Array, float]:
    """The widest arc that fits in a corner `(3, 3)` up to a radius, and its radius."""
    tried = [r for r in (radius * share for share in SHARES) if r < widest]
    if widest < radius:
        tried = [widest, *tried]
    for own in tried:
        points = arc_points(corner, turn, own)
        if clear(points):
            return points, own
    return corner[1:2], 0.0


def arc_points(corner: Array, turn: float, radius: float) -> Array:
    """Points of the arc that rounds the middle one of three points `(3, 3)`, `(n, 3)`; on the arc itself."""
    one, two = corner[0] - corner[1], corner[2] - corner[1]
    one, two = one / np.sqrt(one @ one), two / np.sqrt(two @ two)
    reach = radius * math.tan(turn / 2.0)
    start = corner[1] + reach * one
    middle = corner[1] + (one + two) / np.sqrt((one + two) @ (one + two)) * radius / math.cos(turn / 2.0)
    out, along = (start - middle) / radius, -one
    angle = np.linspace(0.0, turn, max(2, math.ceil(turn / STEP) + 1))[:, None]
    found: Array = middle + radius * (np.cos(angle) * out + np.sin(angle) * along)
    return found
