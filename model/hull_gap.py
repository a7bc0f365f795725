"""True distance of points from a hull's skin."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from model.geometry import Array, Plane
from model.skin import Cubics, strip_normal

LOOKS = 4
"""Sections tried on each side of a point before the nearest one is refined."""
ROUNDS = 30
SETTLED = 1e-7
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


def gap(chain: Cubics, span: tuple[float, float], points: Array, ends: Sequence[Plane] = ()) -> Array:
    """Distance of `(n, 3)` points from the skin `(n,)`, positive inside; `ends` count too where given.

    Within a section the nearest point is a closed form; along x the distance is driven to its least by Newton
    steps from the best of a few sections, so near the skin it is the true normal distance.
    """
    parts = [_skin_gap(chain, span, points[i : i + CHUNK]) for i in range(0, len(points), CHUNK)]
    found = np.concatenate(parts) if parts else np.zeros(0)
    for end in ends:
        found = np.minimum(found, -end.height(points))
    return found


def _skin_gap(chain: Cubics, span: tuple[float, float], points: Array) -> Array:
    x = np.clip(points[:, 0], *span)
    reach = np.sqrt(_foot(chain, x, points).square)
    steps = np.linspace(-1.0, 1.0, 2 * LOOKS + 1)
    tried = np.clip(points[:, 0] + steps[:, None] * reach, *span)
    flat = np.tile(points, (len(steps), 1))
    squares = _foot(chain, tried.ravel(), flat).square.reshape(tried.shape)
    x = np.take_along_axis(tried, np.argmin(squares, axis=0)[None], 0)[0]
    x = _settle(chain, span, points, x)
    foot = _foot(chain, x, points)
    return np.asarray(np.sqrt(foot.square) * _sign(chain, x, points, foot), dtype=np.float64)


def _settle(chain: Cubics, span: tuple[float, float], points: Array, x: Array) -> Array:
    """The x along the hull where the foot is the skin's nearest point."""
    best, least = x.copy(), np.full(len(x), np.inf)
    step = np.zeros(len(x))
    live = np.arange(len(x))
    for _ in range(ROUNDS):
        foot = _foot(chain, x[live], points[live])
        newton = _newton(chain, x[live], points[live], foot)
        worse = foot.square > least[live]
        # A step that led away is halved back; else Newton from here.
        best[live] = np.where(worse, best[live], x[live])
        least[live] = np.where(worse, least[live], foot.square)
        step[live] = np.where(worse, step[live] / 2.0, newton)
        x[live] = np.clip(best[live] + step[live], *span)
        live = live[np.abs(x[live] - best[live]) >= SETTLED]
        if not len(live):
            break
    return best


def _newton(chain: Cubics, x: Array, points: Array, foot: _Foot) -> Array:
    """The Newton step in x on half the squared distance, curvature left out (it is small near the skin)."""
    slope = chain.slope(x)
    rows = np.arange(len(x))
    a, b = slope[rows, foot.strip], slope[rows, foot.strip + 1]
    along = a + foot.t[:, None] * (b - a)
    pull = (x - points[:, 0]) + np.einsum("ij,ij->i", foot.off, along)
    on_edge = (foot.t <= 0.0) | (foot.t >= 1.0)
    width = np.sqrt(np.einsum("ij,ij->i", foot.off, foot.off))
    square_on = np.einsum("ij,ij->i", foot.off, along) / np.maximum(width, 1e-9)
    stiff = 1.0 + np.where(on_edge, np.einsum("ij,ij->i", along, along), square_on**2)
    return np.asarray(-pull / stiff, dtype=np.float64)


def _foot(chain: Cubics, x: Array, points: Array) -> _Foot:
    section = chain.at(x)
    low = section[:, :-1] - points[:, None, 1:]
    run = section[:, 1:] - section[:, :-1]
    long = np.maximum(np.einsum("ijk,ijk->ij", run, run), 1e-18)
    t = np.clip(-np.einsum("ijk,ijk->ij", low, run) / long, 0.0, 1.0)
    off = low + t[..., None] * run
    square = np.einsum("ijk,ijk->ij", off, off)
    strip = np.argmin(square, axis=1)
    rows = np.arange(len(x))
    return _Foot(square[rows, strip] + (x - points[:, 0]) ** 2, strip, t[rows, strip], off[rows, strip])


def _sign(chain: Cubics, x: Array, points: Array, foot: _Foot) -> Array:
    """1 where the skin faces away from the point, else -1; at an edge both of its strips are asked."""
    section, slope = chain.at(x), chain.slope(x)
    rows = np.arange(len(x))
    last = section.shape[1] - 2
    beside = np.where(foot.t >= 1.0, foot.strip + 1, np.where(foot.t <= 0.0, foot.strip - 1, foot.strip))
    normal = np.zeros((len(x), 3))
    for strip in (foot.strip, np.clip(beside, 0, last)):
        a, b = section[rows, strip], section[rows, strip + 1]
        sa, sb = slope[rows, strip], slope[rows, strip + 1]
        normal += strip_normal((sa + sb) / 2.0, b - a)
    away = np.concatenate([(x - points[:, 0])[:, None], foot.off], axis=1)
    return np.where(np.einsum("ij,ij->i", away, normal) >= 0.0, 1.0, -1.0)
