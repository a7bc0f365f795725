"""The outline in which a plane cuts the inside of a hull."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
import numpy.typing as npt
import shapely

from model.geometry import Array, Frame, Plane
from model.shell import Sections, Shell, crossings, end_corners, root
from model.skin import Cubics

_T = TypeVar("_T", bound=np.generic)

ATHWART = 0.8
"""A plane whose normal points this much forward is cut line by line, any other station by station."""
NIL = 1e-9
REPEATED = 1e-7
"""Points nearer to each other than this, mm, are one."""

ON_END = 0.5
"""A side of an outline nearer than this to the transom's or bow's plane, mm, lies on it."""

OFF_SKIN = 1.0
"""A chord farther than this from the skin, mm, does not lie on it."""

TIP = np.array([0.02, 0.1, 0.4, 1.5, 4.0, 9.0])
"""Millimetres from a tip of the outline at which points are set, since the hull may close bluntly there."""


@dataclass(frozen=True, eq=False, slots=True)
class Cut:
    """The closed outline in which a plane cuts the inside of a hull.

    Attributes:
        points: `(n, 3) float`, counter-clockwise seen from the tip of the plane's normal, the last one not
            repeated; none if the plane misses the hull.
        facing: unit normal, out of the boat, of what each side from a point to the next lies on: skin,
            transom or bow plate; zeros along the open top; `(n, 3) float`.
    """

    points: Array
    facing: Array

    def clipped(self, plane: Plane) -> Cut:
        """The part behind a plane, along which its new sides lie."""
        height = plane.height(self.points)
        if not len(height) or height.max() <= NIL:
            return self
        inside = height <= NIL
        leaves = inside & ~np.concatenate([inside[1:], inside[:1]])
        facing = np.stack([self.facing, np.where(leaves[:, None], plane.normal, self.facing)], axis=1)
        return Cut(clipped(self.points, plane), facing.reshape(-1, 3)[_kept(inside)])

    def against(self, plane: Plane) -> Cut:
        """With the sides that already lie along a plane told to be its."""
        middle = (self.points + _following(self.points)) / 2
        on = np.abs(plane.height(middle)) < ON_END
        return Cut(self.points, np.where(on[:, None], plane.normal, self.facing))

    def without_repeats(self) -> Cut:
        """Without the points that repeat the one before."""
        step = np.abs(self.points - np.concatenate([self.points[-1:], self.points[:-1]])).max(axis=1)
        kept = (step > REPEATED).nonzero()[0]
        if len(kept) == len(step):
            return self
        # Of sides without length the last of a run goes on.
        return Cut(self.points[kept], self.facing[_following(kept) - 1])


def hull_outline(shell: Shell, plane: Plane, spacing: float) -> Cut:
    """Where `plane` cuts the hull, closed at the ends and from gunwale to gunwale."""
    if abs(plane.normal[0]) >= ATHWART:
        cut = _athwart(shell.chain, shell.span, plane)
    else:
        cut = _lengthwise(shell, plane, spacing)
    for end in shell.ends:
        cut = cut.clipped(end)
    if len(cut.points):
        cut = cut.without_repeats()
    if len(cut.points) < 3:
        return NOTHING
    for end in shell.ends:
        cut = cut.against(end)
    return cut


def clipped(points: Array, plane: Plane) -> Array:
    """The part of a closed polygon `(n, 3)` behind a plane, `(m, 3) float`."""
    if not len(points):
        return points
    height = plane.height(points)
    if height.max() <= NIL:
        return points
    inside, beyond = height <= NIL, _following(height)
    crosses = inside != (beyond <= NIL)
    t = np.clip(height / np.where(crosses, height - beyond, 1.0), 0.0, 1.0)[:, None]
    both = np.stack([points, points + t * (_following(points) - points)], axis=1).reshape(-1, 3)
    found: Array = both[_kept(inside)]
    return found


def _kept(inside: npt.NDArray[np.bool_]) -> npt.NDArray[np.bool_]:
    """Of each point of a polygon, and of the crossing in the side after it, whether clipping keeps it."""
    return np.stack([inside, inside != _following(inside)], axis=1).ravel()


def _following(ring: npt.NDArray[_T]) -> npt.NDArray[_T]:
    """What follows each item of a closed ring."""
    return np.concatenate([ring[1:], ring[:1]])


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


def _athwart(chain: Cubics, span: tuple[float, float], plane: Plane) -> Cut:
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
    middle = np.clip((x[1:] + x[:-1]) / 2.0, *span)
    facing = curves.normals(middle, np.arange(len(middle)), np.full(len(middle), 0.5))
    if n[0] < 0.0:
        points, facing = points[::-1], facing[::-1]
    cut = Cut(points, np.concatenate([facing, np.zeros((1, 3))]))
    for sign, limit in ((1.0, span[1]), (-1.0, -span[0])):
        cut = cut.clipped(Plane(np.array([sign, 0.0, 0.0]), limit))
    return cut


def _away_from_zero(value: Array) -> Array:
    return np.where(np.abs(value) < 0.05, np.copysign(0.05, value), value)


@dataclass(frozen=True, eq=False, slots=True)
class _Chords:
    """Where the plane's line enters sections and leaves them, starboard first.

    Attributes:
        x: of the sections, `(k,) float`.
        met: which of them it meets, `(k,) bool`.
        ends: (y, z) where it enters and where it leaves, `(k, 2, 2) float`; nothing in sections it misses.
        strips: between which corners these lie, `(k, 2)`; the last strip is the open top. Where only port
            halves were cut, those of the port end, for both.
        shares: how far from one to the next, `(k, 2) float`.
    """

    x: Array
    met: npt.NDArray[np.bool_]
    ends: Array
    strips: npt.NDArray[np.int64]
    shares: Array

    def joined(self, other: _Chords) -> _Chords:
        """Both in order of x; of two at the same x these."""
        if not len(other.x):
            return self
        x = np.concatenate([self.x, other.x])
        order = np.argsort(x, kind="stable")
        x = x[order]
        fresh = np.ones(len(x), dtype=np.bool_)
        fresh[1:] = x[1:] > x[:-1]
        order = order[fresh]
        return _Chords(
            x[fresh],
            np.concatenate([self.met, other.met])[order],
            np.concatenate([self.ends, other.ends])[order],
            np.concatenate([self.strips, other.strips])[order],
            np.concatenate([self.shares, other.shares])[order],
        )

    def part(self, chosen: slice | npt.NDArray[np.bool_]) -> _Chords:
        """Some of them."""
        return _Chords(
            self.x[chosen], self.met[chosen], self.ends[chosen], self.strips[chosen], self.shares[chosen]
        )

    def outline(self) -> Array:
        """Along the points where the line enters and back along those where it leaves, `(2 k, 3) float`."""
        count = len(self.x)
        found = np.empty((2 * count, 3))
        found[:count, 0], found[count:, 0] = self.x, self.x[::-1]
        found[:count, 1:], found[count:, 1:] = self.ends[:, 0], self.ends[::-1, 1]
        return found

    def normals(self, shell: Shell) -> Array:
        """Unit normals of the skin where the line enters and leaves, `(2, k, 3) float`; zeros on the top."""
        chain = shell.chain
        if shell.is_half:
            port = chain.normals(self.x, self.strips[:, 0], self.shares[:, 0])
            port[~self.met] = 0.0
            both = np.stack([port * (1.0, -1.0, 1.0), port])
            return both if self.ends[0, 0, 0] < self.ends[0, 1, 0] else both[::-1]
        strips = self.strips.T
        top = strips >= chain.count - 1
        rows = np.where(top, 0, strips).ravel()
        found = chain.normals(np.concatenate([self.x, self.x]), rows, self.shares.T.ravel())
        found[top.ravel() | ~np.concatenate([self.met, self.met])] = 0.0
        return found.reshape(2, -1, 3)


def _lengthwise(shell: Shell, plane: Plane, spacing: float) -> Cut:
    """A cut along the hull: at each x the line of the plane enters the section and leaves it."""
    if shell.port is not None and plane.normal[1] == 0.0:
        shell = shell.port
    span = shell.span
    fine = spacing * float(np.hypot(*plane.normal[1:]))
    count = max(8, math.ceil((span[1] - span[0]) / fine))
    corners = np.sort(np.concatenate([end_corners(shell, plane), crossings(shell, plane)]))
    chords = _chords(shell.stations(count + 1), plane).joined(_chords(shell.sections(corners), plane))
    run = _longest_run(chords.met)
    if run is None:
        return NOTHING
    first, last = run
    beyond = [(first, first - 1), (last, last + 1)]
    tips = [_tip(shell, plane, *chords.x[[i, j]].tolist()) for i, j in beyond if 0 <= j < len(chords.x)]
    chords = chords.part(slice(first, last + 1))
    if tips:
        chords = chords.joined(_chords(shell.sections(np.sort(np.concatenate(tips))), plane))
        chords = chords.part(chords.met)
    return _closed(shell, plane, chords)


def _closed(shell: Shell, plane: Plane, chords: _Chords) -> Cut:
    """The outline round chords in order, and what its sides lie on, found in the middle between two."""
    between = _chords(shell.sections((chords.x[1:] + chords.x[:-1]) / 2.0), plane)
    there, back = between.normals(shell)
    aft, forward = (_closing(shell, float(chords.x[i]), *chords.ends[i]) for i in (0, -1))
    return Cut(chords.outline(), np.concatenate([there, forward, back[::-1], aft]))


def _closing(shell: Shell, x: float, enter: Array, leave: Array) -> Array:
    """The normal of what the first or last chord lies on, `(1, 3) float`.

    That is a bottom which the plane leaves all at once; zeros where it is an end of the hull or but a point.
    """
    if x in shell.span or math.dist(enter, leave) < REPEATED:
        return np.zeros((1, 3))
    sections = shell.sections(np.array([x]))
    corners = np.stack([sections.y[0], sections.z[0]], axis=1)[: shell.chain.count]
    run, arm = np.diff(corners, axis=0), (enter + leave) / 2 - corners[:-1]
    share = ((arm * run).sum(axis=1) / np.maximum((run * run).sum(axis=1), NIL)).clip(0.0, 1.0)
    off = np.hypot(*(arm - share[:, None] * run).T)
    nearest = off.argmin(keepdims=True)
    if off[nearest[0]] > OFF_SKIN:
        return np.zeros((1, 3))
    return shell.chain.normals(np.array([x]), nearest, share[nearest])


def _chords(sections: Sections, plane: Plane) -> _Chords:
    """Where the plane's line enters each section and leaves it."""
    height = sections.heights(plane)
    count = height.shape[1] - 1
    below = height <= -NIL
    strip = (below[:, 1:] != below[:, :-1]).ravel().nonzero()[0]
    row = strip // count
    at = strip + row  # the place among the corners, of which each row has one more
    strip -= row * count
    y, z, height = sections.y.ravel(), sections.z.ravel(), height.ravel()
    a, b, y0, z0 = height[at], height[at + 1], y[at], z[at]
    a[np.abs(a) < NIL] = 0.0
    b[np.abs(b) < NIL] = 0.0
    share = a / (a - b)
    points = np.empty((len(at), 2))
    points[:, 0], points[:, 1] = y0 + share * (y[at + 1] - y0), z0 + share * (z[at + 1] - z0)
    if sections.are_halves:
        return _mirrored(sections.x, row, points, strip, share, plane.normal[2] < 0.0)
    order = np.lexsort((points @ np.array([plane.normal[2], -plane.normal[1]]), row))
    fresh = np.ones(len(row) + 1, dtype=np.bool_)
    fresh[1:-1] = row[1:] != row[:-1]
    pick = np.stack([order[fresh[:-1]], order[fresh[1:]]], axis=1)
    met = np.zeros(len(sections.x), dtype=np.bool_)
    met[row[fresh[:-1]]] = True
    ends, strips = np.full((len(met), 2, 2), np.nan), np.zeros((len(met), 2), dtype=np.int64)
    shares = np.zeros((len(met), 2))
    ends[met], strips[met], shares[met] = points[pick], strip[pick], share[pick]
    return _Chords(sections.x, met, ends, strips, shares)


def _mirrored(
    x: Array,
    row: npt.NDArray[np.int64],
    points: Array,
    strip: npt.NDArray[np.int64],
    share: Array,
    turned: bool,
) -> _Chords:
    """The chords of a symmetrical hull from where its port halves are met; `turned`, they enter to port."""
    outer = np.full(len(x), -np.inf)
    np.maximum.at(outer, row, points[:, 0])
    pick = (points[:, 0] == outer[row]).nonzero()[0]
    row, points = row[pick], points[pick]
    met, strips, shares = np.isfinite(outer), np.zeros((len(x), 2), dtype=np.int64), np.zeros((len(x), 2))
    strips[row], shares[row] = strip[pick, None], share[pick, None]
    ends = np.full((len(x), 2, 2), np.nan)
    ends[row, int(not turned)], ends[row, int(turned)] = points, points * (-1.0, 1.0)
    return _Chords(x, met, ends, strips, shares)


def _longest_run(met: npt.NDArray[np.bool_]) -> tuple[int, int] | None:
    """First and last index of the longest run of true."""
    padded = np.concatenate([[False], met, [False]])
    change = (padded[1:] != padded[:-1]).nonzero()[0]
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


NOTHING = Cut(np.zeros((0, 3)), np.zeros((0, 3)))
