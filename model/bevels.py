"""How a sheet's edge must be bevelled where it meets the hull, every few inches along that edge."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from model.geometry import Array, Frame
from model.hull import Hull
from model.panel import Panel

REACH = 9.0
"""An edge this much further from the skin than the sheet's gap still counts as meeting it, mm."""
FINE = 8.0
"""Spacing at which an edge is asked for its gap, mm."""
LEAST = 60.0
"""Runs shorter than this need no card, mm."""


@dataclass(frozen=True, eq=False)
class BevelRun:
    """A run of a sheet's edge along the hull.

    Attributes:
        name: of the sheet.
        at: `(k,)` distance along the edge from its after end, mm.
        points: `(k, 3)` in the boat.
        bevel: `(k,)` rad; 0 where the skin stands square to the sheet, above 0 where the sheet's face reaches
            further out than its underside.
        gap: `(k,)` from the edge's face to the skin, mm.
    """

    name: str
    at: Array
    points: Array
    bevel: Array
    gap: Array

    @property
    def length(self) -> float:
        """Of the edge, mm."""
        return float(self.at[-1])


def bevel_runs(panel: Panel, hull: Hull, gap: float, step: float = 150.0) -> list[BevelRun]:
    """The runs of a flat sheet's outline that follow the hull, each with its bevel every `step` mm.

    Args:
        panel: the sheet.
        hull: the boat's.
        gap: at which the sheet stands off the skin, mm.
        step: along the edge.
    """
    found = []
    for along in _runs(panel, hull, gap + REACH):
        travelled = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(along, axis=0).T))])
        if travelled[-1] < LEAST:
            continue
        inner = np.arange(step, travelled[-1] - step / 4, step)
        at = np.concatenate([[0.0], inner, [travelled[-1]]])
        flat = np.column_stack([np.interp(at, travelled, along[:, k]) for k in (0, 1)])
        points = panel.frame.to_boat(flat)
        bevel = bevels_at(hull, points, panel.frame)
        found.append(BevelRun(panel.name, at, points, bevel, hull.gap(points)))
    return found


def bevels_at(hull: Hull, points: Array, frame: Frame) -> Array:
    """The angle by which the skin beside `(n, 3)` points leans from square to a frame's plane, `(n,)` rad."""
    normals = skin_normals(hull, points)
    return np.arcsin(np.clip(normals @ frame.z, -1.0, 1.0)) * -1.0


def skin_normals(hull: Hull, points: Array) -> Array:
    """Unit normals out of the boat of the skin beside `(n, 3)` points: of the side, or of the bottom below.

    Whichever lies nearer, measured level to the side and straight down to the bottom.
    """
    found = np.full((len(points), 3), np.nan)
    for side, own in (("port", points[:, 1] >= 0), ("starboard", points[:, 1] < 0)):
        if own.any():
            x, y, z = points[own].T
            level = np.abs(hull.half_breadth(x, z, side) - np.abs(y))  # type: ignore[arg-type]
            down = np.abs(z - hull.bottom(x, y))
            beside = np.nan_to_num(level, nan=np.inf) <= np.nan_to_num(down, nan=np.inf)
            of_side = hull.normal(x, z, side)  # type: ignore[arg-type]
            found[own] = np.where(beside[:, None], of_side, hull.normal_at(x, y))
    return found


def _runs(panel: Panel, hull: Hull, reach: float) -> Iterator[Array]:
    """Stretches of the outline nearer the skin than `reach`, each from its after end, `(n, 2)`."""
    ring = _spaced(panel.outline.polyline(0.2))
    near = hull.gap(panel.frame.to_boat(ring)) <= reach
    if not near.any():
        return
    if not near.all():
        first = int(np.flatnonzero(~near)[0])
        ring, near = np.roll(ring, -first, axis=0), np.roll(near, -first)
    breaks = np.flatnonzero(np.diff(near.astype(np.int8))) + 1
    for run in np.split(np.arange(len(ring)), breaks):
        if near[run[0]] and len(run) > 1:
            for part in _at_corners(ring[run]):
                ends = panel.frame.to_boat(part[[0, -1]])[:, 0]
                yield part if ends[0] <= ends[1] else part[::-1]


def _spaced(ring: Array) -> Array:
    """A closed ring with points no further apart than `FINE`."""
    found = []
    for p, q in zip(ring, np.roll(ring, -1, axis=0), strict=True):
        count = max(1, math.ceil(float(np.hypot(*(q - p))) / FINE))
        found.append(p + np.arange(count)[:, None] / count * (q - p))
    return np.concatenate(found)


def _at_corners(run: Array) -> list[Array]:
    """A run parted where it turns a corner, as from one side of the hull to the other."""
    way = np.diff(run, axis=0)
    heading = np.arctan2(way[:, 1], way[:, 0])
    turn = np.abs((np.diff(heading) + np.pi) % (2 * np.pi) - np.pi)
    corners = np.flatnonzero(turn > math.radians(20)) + 1
    cuts = [0, *corners.tolist(), len(run) - 1]
    return [run[a : b + 1] for a, b in pairwise(cuts) if b > a]
