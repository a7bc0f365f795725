"""The outline in which a plane cuts the inside of a hull."""

from __future__ import annotations

import numpy as np
import shapely

from model.geometry import Array, Frame, Plane
from model.shell import Shell, crossings, end_corners
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
    following = np.roll(points, -1, axis=0)
    beyond = np.roll(height, -1)
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


def _lengthwise(shell: Shell, plane: Plane, spacing: float) -> Array:
    """A cut along the hull: at each x the line of the plane enters the section and leaves it."""
    chain, span = shell.chain, shell.span
    fine = spacing * float(np.hypot(*plane.normal[1:]))
    count = max(8, int(np.ceil((span[1] - span[0]) / fine)))
    corners = [chain.breaks, end_corners(shell, plane), crossings(shell, plane)]
    x = np.unique(np.concatenate([np.linspace(*span, count + 1), *corners]))
    enter, leave = _chords(chain, plane, x)
    run = _longest_run(~np.isnan(enter[:, 0]))
    if run is None:
        return np.zeros((0, 3))
    first, last = run
    tips = [
        _tip(chain, plane, x[i], x[j]) for i, j in ((first, first - 1), (last, last + 1)) if 0 <= j < len(x)
    ]
    if tips:
        more = np.concatenate(tips)
        x = np.unique(np.concatenate([x[first : last + 1], more]))
        enter, leave = _chords(chain, plane, x)
        met = ~np.isnan(enter[:, 0])
        x, enter, leave = x[met], enter[met], leave[met]
    else:
        x, enter, leave = x[first : last + 1], enter[first : last + 1], leave[first : last + 1]
    there = np.concatenate([x[:, None], enter], axis=1)
    back = np.concatenate([x[:, None], leave], axis=1)[::-1]
    return np.concatenate([there, back])


def _chords(chain: Cubics, plane: Plane, x: Array) -> tuple[Array, Array]:
    """Where the plane's line enters each section and leaves it, starboard first: `(k, 2)` each.

    nan where it misses. Sections are closed from gunwale to gunwale.
    """
    section = chain.at(x)
    closed = np.concatenate([section, section[:, :1]], axis=1)
    ny, nz = plane.normal[1:]
    height = closed @ plane.normal[1:] + (plane.normal[0] * x - plane.offset)[:, None]
    height = np.where(np.abs(height) < NIL, 0.0, height)
    a, b = height[:, :-1], height[:, 1:]
    crosses = (a < 0.0) != (b < 0.0)
    t = a / np.where(crosses, a - b, 1.0)
    along = closed @ np.array([nz, -ny])
    s = along[:, :-1] + t * (along[:, 1:] - along[:, :-1])
    rows = np.arange(len(x))
    found = []
    for pick in (
        np.argmin(np.where(crosses, s, np.inf), axis=1),
        np.argmax(np.where(crosses, s, -np.inf), axis=1),
    ):
        p, q = closed[rows, pick], closed[rows, pick + 1]
        made = p + t[rows, pick][:, None] * (q - p)
        found.append(np.where(crosses.any(axis=1)[:, None], made, np.nan))
    return found[0], found[1]


def _longest_run(met: Array) -> tuple[int, int] | None:
    """First and last index of the longest run of true."""
    padded = np.concatenate([[False], met, [False]])
    change = np.flatnonzero(padded[1:] != padded[:-1])
    if not len(change):
        return None
    starts, stops = change[::2], change[1::2]
    i = int(np.argmax(stops - starts))
    return int(starts[i]), int(stops[i]) - 1


def _tip(chain: Cubics, plane: Plane, inside: float, outside: float) -> Array:
    """The x where the cut comes to an end between two stations, and a few points before it."""
    start = inside
    for _ in range(7):
        tried = np.linspace(inside, outside, 18)
        met = ~np.isnan(_chords(chain, plane, tried)[0][:, 0])
        met[0] = True
        i = int(np.argmin(met)) if not met.all() else len(tried) - 1
        inside, outside = float(tried[max(i - 1, 0)]), float(tried[i])
    back = inside - np.sign(outside - start) * TIP
    near = np.abs(back - inside) < abs(inside - start)
    return np.concatenate([back[near], [inside]])


def _without_repeats(points: Array) -> Array:
    """The polygon without points that repeat the one before."""
    if not len(points):
        return points
    step = np.abs(points - np.roll(points, 1, axis=0)).max(axis=1)
    found: Array = points[step > 1e-7]
    return found
