"""The outline in which a plane cuts the inside of a hull."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely

from model.geometry import Array, Frame, Plane
from model.shell import Sections, Shell, crossings, end_corners, root
from model.skin import Cubics

ATHWART = 0.8
"""A plane whose normal points this much forward is cut line by line, any other station by station."""
NIL = 1e-9
TIP = np.array([0.02, 0.1, 0.4, 1.5, 4.0, 9.0])
"""Millimetres from a tip of the outline at which points are set, since the hull may close bluntly there."""


def hull_outline(shell: Shell, plane: Plane, spacing: float) -> Array:
    """Where `plane` cuts the hull, closed at the ends and from gunwale to gunwale, `(n, 3) float`.

    Counter-clockwise seen from the tip of the normal; `(0, 3)` if the plane misses the hull.
    """
    if abs(plane.normal[0]) >= ATHWART:
        points = _athwart(shell.chain, shell.span, plane)
    else:
        points = _lengthwise(shell, plane, spacing)
    for end in shell.ends:
        points = clipped(points, end)
    points = _without_repeats(points)
    return points if len(points) > 2 else np.zeros((0, 3))


def clipped(points: Array, plane: Plane) -> Array:
    """The part of a closed polygon `(n, 3)` behind a plane, `(m, 3) float`."""
    if not len(points):
        return points
    height = plane.height(points)
    if np.all(height <= NIL):
        return points
    following = np.concatenate([points[1:], points[:1]])
    beyond = np.concatenate([height[1:], height[:1]])
    crosses = (height <= NIL) != (beyond <= NIL)
    t = np.clip(height / np.where(crosses, height - beyond, 1.0), 0.0, 1.0)[:, None]
    both = np.stack([points, points + t * (following - points)], axis=1).reshape(-1, 3)
    found: Array = both[np.stack([height <= NIL, crosses], axis=1).ravel()]
    return found


def inset_polygon(points: Array, plane: Plane, inset: float) -> Array:
    """A closed plane polygon `(n, 3)` moved in by `inset` mm within its plane; the largest part left."""
    n = plane.normal
    aside = np.array([0.0, 1.0, 0.0]) if abs(n[0]) >= ATHWART else np.array([1.0, 0.0, 0.0])
    frame = Frame.make(n * plane.offset, aside - (aside @ n) * n, n)
    shape = shapely.Polygon(frame.to_frame(points)[:, :2]).buffer(-inset, join_style="mitre")
    parts = [part for part in shapely.get_parts(shape) if not part.is_empty]
    if not parts:
        return np.zeros((0, 3))
    largest = max(parts, key=lambda part: float(part.area))
    ring = shapely.get_coordinates(shapely.orient_polygons(largest).exterior)[:-1]
    return frame.to_boat(ring)


def _athwart(chain: Cubics, span: tuple[float, float], plane: Plane) -> Array:
    """A cut across the hull: every curve is met once, by Newton from where the plane meets the centreline."""
    curves = chain if np.hypot(*plane.normal[1:]) < NIL else chain.divided(np.full(chain.count - 1, 8))
    n = plane.normal
    x = np.full(curves.count, plane.offset / n[0])
    for _ in range(12):
        at, slope = curves.each(np.clip(x, *span))
        short = n[0] * x + at @ n[1:] - plane.offset
        step = short / _away_from_zero(n[0] + slope @ n[1:])
        x = x - step
        if np.all(np.abs(step) < NIL):
            break
    points = np.concatenate([x[:, None], curves.each(np.clip(x, *span))[0]], axis=1)
    points = points if n[0] > 0.0 else points[::-1]
    for sign, limit in ((1.0, span[1]), (-1.0, -span[0])):
        points = clipped(points, Plane(np.array([sign, 0.0, 0.0]), limit))
    return points


def _away_from_zero(value: Array) -> Array:
    return np.where(np.abs(value) < 0.05, np.copysign(0.05, value), value)


@dataclass(frozen=True, eq=False, slots=True)
class _Chords:
    """Where the plane's line enters sections and leaves them, starboard first.

    Attributes:
        x: of the sections, `(k,) float`.
        met: which of them it meets, `(k,) bool`.
        ends: (y, z) where it enters and where it leaves, `(k, 2, 2) float`; nothing in sections it misses.
    """

    x: Array
    met: npt.NDArray[np.bool_]
    ends: Array

    def joined(self, other: _Chords) -> _Chords:
        """Both in order of x; of two at the same x these."""
        if not len(other.x):
            return self
        x = np.concatenate([self.x, other.x])
        order = np.argsort(x, kind="stable")
        order = order[np.concatenate([[True], np.diff(x[order]) > 0.0])]
        met, ends = np.concatenate([self.met, other.met]), np.concatenate([self.ends, other.ends])
        return _Chords(x[order], met[order], ends[order])

    def part(self, chosen: slice | npt.NDArray[np.bool_]) -> _Chords:
        """Some of them."""
        return _Chords(self.x[chosen], self.met[chosen], self.ends[chosen])

    def outline(self) -> Array:
        """Along the points where the line enters and back along those where it leaves, `(2 k, 3) float`."""
        count = len(self.x)
        found = np.empty((2 * count, 3))
        found[:count, 0], found[count:, 0] = self.x, self.x[::-1]
        found[:count, 1:], found[count:, 1:] = self.ends[:, 0], self.ends[::-1, 1]
        return found


def _lengthwise(shell: Shell, plane: Plane, spacing: float) -> Array:
    """A cut along the hull: at each x the line of the plane enters the section and leaves it."""
    span = shell.span
    fine = spacing * float(np.hypot(*plane.normal[1:]))
    count = max(8, math.ceil((span[1] - span[0]) / fine))
    corners = np.sort(np.concatenate([end_corners(shell, plane), crossings(shell, plane)]))
    chords = _chords(shell.stations(count + 1), plane).joined(_chords(shell.sections(corners), plane))
    run = _longest_run(chords.met)
    if run is None:
        return np.zeros((0, 3))
    first, last = run
    beyond = [(first, first - 1), (last, last + 1)]
    tips = [_tip(shell, plane, *chords.x[[i, j]].tolist()) for i, j in beyond if 0 <= j < len(chords.x)]
    chords = chords.part(slice(first, last + 1))
    if tips:
        chords = chords.joined(_chords(shell.sections(np.sort(np.concatenate(tips))), plane))
        chords = chords.part(chords.met)
    return chords.outline()


def _chords(sections: Sections, plane: Plane) -> _Chords:
    """Where the plane's line enters each section and leaves it."""
    height = sections.heights(plane)
    below = height <= -NIL
    at = np.flatnonzero(below[:, 1:] != below[:, :-1])
    row = at // (height.shape[1] - 1)
    at += row  # from places among the strips to places among the corners, of which each row has one more
    y, z, height = sections.y.ravel(), sections.z.ravel(), height.ravel()
    a, b, y0, z0 = height[at], height[at + 1], y[at], z[at]
    a[np.abs(a) < NIL] = 0.0
    b[np.abs(b) < NIL] = 0.0
    t = a / (a - b)
    points = np.stack([y0 + t * (y[at + 1] - y0), z0 + t * (z[at + 1] - z0)], axis=1)
    along = points @ np.array([plane.normal[2], -plane.normal[1]])
    points = points[np.lexsort((along, row))]
    fresh = np.ones(len(row) + 1, dtype=np.bool_)
    fresh[1:-1] = row[1:] != row[:-1]
    ends = np.full((len(sections.x), 2, 2), np.nan)
    met = row[fresh[:-1]]
    ends[met, 0], ends[met, 1] = points[fresh[:-1]], points[fresh[1:]]
    there = np.zeros(len(sections.x), dtype=np.bool_)
    there[met] = True
    return _Chords(sections.x, there, ends)


def _longest_run(met: npt.NDArray[np.bool_]) -> tuple[int, int] | None:
    """First and last index of the longest run of true."""
    padded = np.concatenate([[False], met, [False]])
    change = np.flatnonzero(padded[1:] != padded[:-1])
    if not len(change):
        return None
    starts, stops = change[::2], change[1::2]
    i = int(np.argmax(stops - starts))
    return int(starts[i]), int(stops[i]) - 1


def _tip(shell: Shell, plane: Plane, inside: float, outside: float) -> Array:
    """The x where the cut comes to an end between two stations, and a few points before it.

    The plane leaves the sections where it passes the last of their corners that is on the other side of it.
    """
    low, high = min(inside, outside), max(inside, outside)
    both = shell.sections(np.array([low, high])).heights(plane)
    near, far = both if inside < outside else both[::-1]
    rows = np.flatnonzero((near <= -NIL) != (far <= -NIL))
    rows = rows[np.argsort(-near[rows] / (near[rows] - far[rows]))]  # first the one that seems to pass last
    below = bool(len(rows) and near[rows[0]] <= -NIL)
    before = plane.moved(-2.0 * NIL if below else 2.0 * NIL)  # a little short of it, where it is still met
    at = inside
    while len(rows):
        at = root(shell.chain, int(rows[0]) % shell.chain.count, before, low, high)
        left = shell.sections(np.array([at])).heights(plane)[0, rows[1:]]
        rows = rows[1:][(left <= -NIL) == below]
    back = at - math.copysign(1.0, outside - inside) * TIP
    return np.concatenate([back[np.abs(back - at) < abs(at - inside)], [at]])


def _without_repeats(points: Array) -> Array:
    """The polygon without points that repeat the one before."""
    if not len(points):
        return points
    step = np.abs(points - np.concatenate([points[-1:], points[:-1]])).max(axis=1)
    found: Array = points[step > 1e-7]
    return found
