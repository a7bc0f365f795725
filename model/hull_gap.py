"""True distance of points from a hull's skin."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from model.geometry import Array, Plane
from model.skin import Cubics

BESIDE = 60.0
"""A point nearer to the skin than this, mm, has its foot so nearly abeam that steps from there find it."""

LOOKS = 4
"""Sections tried on each side of a point farther off before the nearest one is refined."""
ROUNDS = 30
SETTLED = 1e-4
"""A step along the hull shorter than this, mm, changes the distance by its square over a radius: nothing."""
CHUNK = 400
"""Points worked on at a time, to bound the memory."""


@dataclass(frozen=True, eq=False, slots=True)
class _Foot:
    """The nearest skin point within the section at x.

    Attributes:
        square: squared distance from the asked point, `(n,)`.
        strip: which strip, `(n,)`.
        t: how far up the strip, `(n,)`, 0..1.
        off: (y, z) from the asked point to the foot, `(n, 2)`.
    """

    square: Array
    strip: npt.NDArray[np.int64]
    t: Array
    off: Array

    def take(self, at: npt.NDArray[np.int64], other: _Foot, chosen: npt.NDArray[np.bool_]) -> None:
        """Puts the `chosen` ones of `other` in place of those `at`."""
        self.square[at], self.strip[at] = other.square[chosen], other.strip[chosen]
        self.t[at], self.off[at] = other.t[chosen], other.off[chosen]


def gap(curves: Cubics, span: tuple[float, float], points: Array, ends: Sequence[Plane] = ()) -> Array:
    """Distance of `(n, 3)` points from the skin `(n,)`, positive inside; `ends` count too where given.

    Within a section the nearest point is a closed form; along x the distance is driven to its least by Newton
    steps from the best of a few sections, so near the skin it is the true normal distance.

    Args:
        curves: of the skin, each ruled to the next; one side is enough for points on it, if both are alike.
        span: least and greatest x of the skin, mm.
        points: mm.
        ends: the planes that close the hull, normals pointing out.
    """
    parts = [_skin_gap(curves, span, points[i : i + CHUNK]) for i in range(0, len(points), CHUNK)]
    found = np.concatenate(parts) if parts else np.zeros(0)
    for end in ends:
        found = np.minimum(found, -end.height(points))
    return found


def _skin_gap(curves: Cubics, span: tuple[float, float], points: Array) -> Array:
    x = np.clip(points[:, 0], *span)
    foot = _foot(curves, x, points)
    far = np.flatnonzero(foot.square > BESIDE * BESIDE)
    if len(far):
        x[far] = _best_section(curves, span, points[far], np.sqrt(foot.square[far]))
        foot = _foot(curves, x, points)
    x = _settle(curves, span, points, x, foot)
    return np.asarray(np.sqrt(foot.square) * _sign(curves, x, points, foot), dtype=np.float64)


def _best_section(curves: Cubics, span: tuple[float, float], points: Array, reach: Array) -> Array:
    """The x of the section nearest to each point of some within `reach` `(n,)` either way."""
    steps = np.linspace(-1.0, 1.0, 2 * LOOKS + 1)
    tried = np.clip(points[:, 0] + steps[:, None] * reach, *span)
    flat = np.tile(points, (len(steps), 1))
    squares = _foot(curves, tried.ravel(), flat).square.reshape(tried.shape)
    best: Array = np.take_along_axis(tried, np.argmin(squares, axis=0)[None], 0)[0]
    return best


def _settle(curves: Cubics, span: tuple[float, float], points: Array, x: Array, foot: _Foot) -> Array:
    """The x along the hull where the skin's nearest point is abeam, from x on; `foot` of x goes there too."""
    best, step = x.copy(), _newton(curves, x, points, foot)
    live = np.arange(len(x))
    for _ in range(ROUNDS):
        tried = np.clip(best[live] + step[live], *span)
        moves = np.abs(tried - best[live]) >= SETTLED
        live, tried = live[moves], tried[moves]
        if not len(live):
            break
        there = _foot(curves, tried, points[live])
        better = there.square <= foot.square[live]
        # A step that led away is halved; else Newton from there.
        step[live] = np.where(better, _newton(curves, tried, points[live], there), step[live] / 2.0)
        best[live[better]] = tried[better]
        foot.take(live[better], there, better)
    return best


def _newton(curves: Cubics, x: Array, points: Array, foot: _Foot) -> Array:
    """The Newton step in x on half the squared distance, curvature left out (it is small near the skin)."""
    along = curves.slope_between(x, foot.strip, foot.t)
    lean = (foot.off * along).sum(axis=1)
    on_edge = (foot.t <= 0.0) | (foot.t >= 1.0)
    width = np.maximum((foot.off * foot.off).sum(axis=1), 1e-18)
    stiff = 1.0 + np.where(on_edge, (along * along).sum(axis=1), lean * lean / width)
    return np.asarray(-((x - points[:, 0]) + lean) / stiff, dtype=np.float64)


def _foot(curves: Cubics, x: Array, points: Array) -> _Foot:
    section = curves.at(x)
    y, z = section[..., 0] - points[:, 1:2], section[..., 1] - points[:, 2:]
    dy, dz = y[:, 1:] - y[:, :-1], z[:, 1:] - z[:, :-1]
    y, z = y[:, :-1], z[:, :-1]
    t = -(y * dy + z * dz) / np.maximum(dy * dy + dz * dz, 1e-18)
    np.minimum(np.maximum(t, 0.0, out=t), 1.0, out=t)
    dy *= t
    dz *= t
    dy += y
    dz += z
    square = dy * dy + dz * dz
    strip = square.argmin(axis=1)
    rows = np.arange(len(x))
    off = np.empty((len(x), 2))
    off[:, 0], off[:, 1] = dy[rows, strip], dz[rows, strip]
    return _Foot(square[rows, strip] + (x - points[:, 0]) ** 2, strip, t[rows, strip], off)


def _sign(curves: Cubics, x: Array, points: Array, foot: _Foot) -> Array:
    """1 where the skin faces away from the point, else -1; at an edge both of its strips are asked."""
    last = curves.count - 2
    beside = np.where(foot.t >= 1.0, foot.strip + 1, np.where(foot.t <= 0.0, foot.strip - 1, foot.strip))
    normal = np.zeros((len(x), 3))
    half = np.full(len(x), 0.5)
    for strip in (foot.strip, np.clip(beside, 0, last)):
        normal += curves.normals(x, strip, half)
    away = np.concatenate([(x - points[:, 0])[:, None], foot.off], axis=1)
    return np.where((away * normal).sum(axis=1) >= 0.0, 1.0, -1.0)
