"""The skin of one side as a smooth model: lines along the hull, panels between them that may bow.

Lines are uniform cubic B-splines of x. At x a panel runs along the chord from its lower line to its upper
one, moved off it, inboard positive, by h (c0 + c1 s + c2 s^2) with h = 4 t (1 - t), s = 2 t - 1 and t the
share of the chord; c0, c1, c2 are splines of x of twice the spacing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from model.geometry import Array
from model.scan.cloud import Ints

PAST = 1.25
"""Shares of a chord to which its bow is carried on past its upper end."""
TABLE = 4.0
"""Millimetres between rows of the table that points are looked up in; straight between them."""


@dataclass(frozen=True, slots=True)
class Knots:
    """Evenly spaced knots: `spans` cubic pieces of `step` mm from `start`."""

    start: float
    step: float
    spans: int

    @property
    def count(self) -> int:
        """Coefficients of a spline on these knots."""
        return self.spans + 3

    @property
    def centres(self) -> Array:
        """Where each coefficient weighs most, which is its Greville abscissa, `(count,) float`."""
        found: Array = self.start + self.step * (np.arange(self.count, dtype=np.float64) - 1.0)
        return found

    def weights(self, x: Array) -> tuple[Ints, Array]:
        """The first of the four coefficients that tell at x `(n,)`, and their weights `(n, 4)`."""
        at = np.clip((x - self.start) / self.step, 0.0, self.spans - 1e-9)
        first = at.astype(np.int64)
        u = at - first
        v = 1.0 - u
        weights = np.stack([v**3, 3.0 * u**3 - 6.0 * u**2 + 4.0, 3.0 * v**3 - 6.0 * v**2 + 4.0, u**3], axis=1)
        return first, np.asarray(weights / 6.0, dtype=np.float64)

    def at(self, x: Array, coefficients: Array) -> Array:
        """Values of splines `(count, ...)` at x `(n,)`, `(n, ...)`."""
        first, weights = self.weights(np.asarray(x, dtype=np.float64))
        picked = coefficients[first[:, None] + np.arange(4)]
        found: Array = np.einsum("nk,nk...->n...", weights, picked)
        return found


@dataclass(frozen=True, eq=False)
class Skin:
    """One side of a skin.

    Attributes:
        knots: of the lines.
        lines: `(count, lines, 2) float`, coefficients of half-breadth and height, from the lowest line up.
        bow_knots: of the bows.
        bows: `(count, lines - 1, 3) float`, mm.
    """

    knots: Knots
    lines: Array
    bow_knots: Knots
    bows: Array

    @property
    def count(self) -> int:
        """Lines."""
        return int(self.lines.shape[1])

    def at(self, x: Array) -> tuple[Array, Array]:
        """Corners `(n, lines, 2)` of the sections at x and bows `(n, lines - 1, 3)` of their panels."""
        return self.knots.at(x, self.lines), self.bow_knots.at(x, self.bows)

    def curve(self, x: float, panel: Ints, share: Array, off: Array | float = 0.0) -> Array:
        """Half-breadth and height at x on panels at shares of their chords, `off` mm inboard, `(n, 2)`."""
        corners, bows = self.at(np.array([x]))
        low, chord = corners[0, panel], np.diff(corners[0], axis=0)[panel]
        normal = np.stack([-chord[:, 1], chord[:, 0]], axis=1) / np.linalg.norm(chord, axis=1)[:, None]
        away = np.einsum("nk,nk->n", bows[0, panel], bowing(share)) + off
        found: Array = low + share[:, None] * chord + away[:, None] * normal
        return found

    def turns(self, x: Array) -> Array:
        """By how much the section turns at each line between the ends, rad, `(n, lines - 2) float`."""
        corners, bows = self.at(x)
        chord = np.diff(corners, axis=1)
        length = np.linalg.norm(chord, axis=2)
        along = np.arctan2(chord[..., 1], chord[..., 0])
        slopes = bow_slopes(np.array([0.0, 1.0]))
        start, end = (np.arctan(np.einsum("npk,k->np", bows, slope) / length) for slope in slopes)
        found: Array = np.abs((along + start)[:, 1:] - (along + end)[:, :-1])
        return found

    def tilted(self, slope: float) -> Skin:
        """Heights raised by `slope` times x."""
        lines = self.lines.copy()
        lines[:, :, 1] += slope * self.knots.centres[:, None]
        return replace(self, lines=lines)

    def moved(self, x: float, z: float) -> Skin:
        """Moved forward and up."""
        knots = replace(self.knots, start=self.knots.start + x)
        bow_knots = replace(self.bow_knots, start=self.bow_knots.start + x)
        return replace(self, knots=knots, bow_knots=bow_knots, lines=self.lines + np.array([0.0, z]))


def bowing(share: Array) -> Array:
    """The three shapes of a bow at shares of the chord, `(n, 3) float`."""
    hump, skew = 4.0 * share * (1.0 - share), 2.0 * share - 1.0
    return np.stack([hump, hump * skew, hump * skew**2], axis=1)


def bow_slopes(share: Array) -> Array:
    """How these shapes rise along the chord, `(n, 3) float`."""
    hump, skew = 4.0 * share * (1.0 - share), 2.0 * share - 1.0
    return np.stack([-4.0 * skew, 2.0 * hump - 4.0 * skew**2, 4.0 * hump * skew - 4.0 * skew**3], axis=1)


@dataclass(frozen=True, eq=False, slots=True)
class Laid:
    """Points against a skin.

    Attributes:
        panel: `(n,) int`, the panel each is nearest to.
        share: `(n,) float`, of its chord; beyond 0..1 past its ends.
        off: `(n,) float`, distance from the skin within the section, mm, inboard positive.
        lean: `(n,) float`, what that distance is multiplied with to be square to the skin.
        chord: `(n,) float`, length of the chord there, mm.
        normal: `(n, 2) float`, of the chord, inboard.
    """

    panel: Ints
    share: Array
    off: Array
    lean: Array
    chord: Array
    normal: Array


def lay(skin: Skin, points: Array) -> Laid:
    """Points `(n, 3)` of this side, half-breadths positive, against its skin; some ten thousand at once."""
    corners, bows, slopes = _looked_up(skin, points[:, 0])
    flat = points[:, None, 1:] - corners[:, :-1]
    chord = np.diff(corners, axis=1)
    length = np.maximum(np.hypot(chord[..., 0], chord[..., 1]), 1e-6)
    way = chord / length[..., None]
    share = np.einsum("npk,npk->np", flat, way) / length
    square = way[..., 0] * flat[..., 1] - way[..., 1] * flat[..., 0]
    past = np.clip(np.abs(share - 0.5) - 0.5, 0.0, None) * length
    panel = np.argmin(square**2 + past**2, axis=1)
    row = np.arange(len(points))
    share, length = share[row, panel], length[row, panel]
    normal = np.stack([-way[row, panel, 1], way[row, panel, 0]], axis=1)
    within = np.clip(share, 0.0, 1.0)
    off = square[row, panel] - np.einsum("nk,nk->n", bows[row, panel], bowing(np.clip(share, 0.0, PAST)))
    climb = (1.0 - within)[:, None] * slopes[row, panel] + within[:, None] * slopes[row, panel + 1]
    lean = 1.0 / np.sqrt(1.0 + np.einsum("nk,nk->n", climb, normal) ** 2)
    return Laid(panel, share, off, lean, length, normal)


def _looked_up(skin: Skin, x: Array) -> tuple[Array, Array, Array]:
    """Corners, bows and slopes of the lines at x, from a table that is straight between its rows."""
    low, high = float(x.min()), float(x.max())
    rows = np.arange(low - TABLE, high + 2.0 * TABLE, TABLE)
    corners, bows = skin.at(rows)
    at = (x - rows[0]) / TABLE
    first = at.astype(np.int64)
    u = (at - first)[:, None, None]
    both = corners[first], corners[first + 1]
    slopes = (both[1] - both[0]) / TABLE
    return both[0] + u * (both[1] - both[0]), (1.0 - u) * bows[first] + u * bows[first + 1], slopes
