"""One side of a hull's skin: lines of x on common breaks, with the sections and normals they give."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.interpolate import make_interp_spline

from model.geometry import Array


@dataclass(frozen=True, eq=False, slots=True)
class Cubics:
    """Curves (y, z) of x that are cubic between common breaks; mm.

    Attributes:
        breaks: `(m + 1,) float`, rising.
        coefficients: `(4, m, n, 2) float`, of falling powers of x less the left break; y and z of n curves.
    """

    breaks: Array
    coefficients: Array

    @property
    def count(self) -> int:
        """How many curves there are."""
        return int(self.coefficients.shape[2])

    @classmethod
    def through(cls, x: Array, yz: Array, straight: bool = False) -> Cubics:
        """One curve through `(k, 2) float` points at `(k,) float` rising x: a not-a-knot cubic, or straight.

        Fewer than four points take the lower degree they can bear.
        """
        degree = 1 if straight else min(3, len(x) - 1)
        spline = make_interp_spline(x, yz, k=degree)
        breaks = np.unique(spline.t)
        c = np.zeros((4, len(breaks) - 1, 1, 2))
        for power in range(degree + 1):
            # Taylor's coefficients at the left of each piece; scipy takes the piece to the right of a knot.
            c[3 - power, :, 0] = spline(breaks[:-1], nu=power) / math.factorial(power)
        return cls(breaks, c)

    @classmethod
    def fair(cls, x: Array, yz: Array) -> list[Cubics]:
        """As `through`, of m curves with as many points each: `(m, k) float` rising x, `(m, k, 2) float`.

        Their slopes at the points are solved for together (C. de Boor, A Practical Guide to Splines, ch. IV).
        """
        count = x.shape[1]
        if count < 4:
            return [cls.through(own_x, own_yz) for own_x, own_yz in zip(x, yz, strict=True)]
        h = np.diff(x, axis=1)
        mean = np.diff(yz, axis=1) / h[..., None]
        a, b = np.zeros((len(x), count, count)), np.zeros(yz.shape)
        inner = np.arange(1, count - 1)
        a[:, inner, inner - 1], a[:, inner, inner + 1] = h[:, 1:], h[:, :-1]
        a[:, inner, inner] = 2.0 * (h[:, :-1] + h[:, 1:])
        b[:, 1:-1] = 3.0 * (h[:, 1:, None] * mean[:, :-1] + h[:, :-1, None] * mean[:, 1:])
        for end, near, far in ((0, 0, 1), (count - 1, -1, -2)):  # one cubic over the two pieces at each end
            d = h[:, near] + h[:, far]
            a[:, end, end], a[:, end, abs(end - 1)] = h[:, far], d
            near_part, far_part = (h[:, near] + 2.0 * d) * h[:, far] / d, h[:, near] ** 2 / d
            b[:, end] = near_part[:, None] * mean[:, near] + far_part[:, None] * mean[:, far]
        slope = np.linalg.solve(a, b)
        first = np.concatenate([[0], np.arange(2, count - 2)])
        step, s, t, m = h[:, first, None], slope[:, first], slope[:, first + 1], mean[:, first]
        c = np.stack([(s + t - 2.0 * m) / step**2, (3.0 * m - 2.0 * s - t) / step, s, yz[:, first]])
        breaks = np.concatenate([x[:, first], x[:, -1:]], axis=1)
        return [cls(own, c[:, i, :, None]) for i, own in enumerate(breaks)]

    def on(self, breaks: Array) -> Cubics:
        """The same curves on other breaks that hold all its own inner ones; the end pieces run on outside."""
        middles = (breaks[:-1] + breaks[1:]) / 2.0
        piece = self._piece(middles)
        c = self.coefficients[:, piece]
        step = (breaks[:-1] - self.breaks[piece])[:, None, None]
        return Cubics(
            breaks,
            np.stack(
                [
                    c[0],
                    c[1] + 3.0 * step * c[0],
                    c[2] + step * (2.0 * c[1] + 3.0 * step * c[0]),
                    c[3] + step * (c[2] + step * (c[1] + step * c[0])),
                ]
            ),
        )

    def at(self, x: npt.ArrayLike) -> Array:
        """The points at x `(...)`: y, z of every curve, `(..., n, 2) float`."""
        where = np.asarray(x, dtype=np.float64)
        piece = self._piece(where)
        step = (where - self.breaks[piece])[..., None, None]
        c = self.coefficients.take(piece, axis=1)
        found: Array = c[0] * step
        for power in (1, 2):  # in place: the arrays are large
            found += c[power]
            found *= step
        found += c[3]
        return found

    def coordinate(self, x: Array, axis: int) -> Array:
        """Of every curve at x `(k,)` its y (axis 0) or z (axis 1), `(k, n) float`; half the work of `at`."""
        piece = self._piece(x)
        step = (x - self.breaks[piece])[:, None]
        c = self.coefficients[..., axis].take(piece, axis=1)
        found: Array = c[0] * step
        for power in (1, 2):
            found += c[power]
            found *= step
        found += c[3]
        return found

    def points(self, x: Array, row: npt.NDArray[np.int64], axis: int) -> Array:
        """Of one curve at each x `(k,)` its y or z, `(k,) float`."""
        piece = self._piece(x)
        step = x - self.breaks[piece]
        a, b, c, d = self.coefficients[:, piece, row, axis]
        found: Array = ((a * step + b) * step + c) * step + d
        return found

    def slope(self, x: npt.ArrayLike) -> Array:
        """The derivatives of y and z by x, `(..., n, 2) float`."""
        where = np.asarray(x, dtype=np.float64)
        piece = self._piece(where)
        step = (where - self.breaks[piece])[..., None, None]
        a, b, c = self.coefficients[:3].take(piece, axis=1)
        found: Array = (3.0 * a * step + 2.0 * b) * step + c
        return found

    def slope_between(self, x: Array, row: npt.NDArray[np.int64], share: Array) -> Array:
        """Derivatives by x `(k,)` of the points `share` of the way from a curve to the next, `(k, 2)`."""
        piece = self._piece(x)
        step = (x - self.breaks[piece])[:, None]
        low = self.coefficients[:3, piece, row]
        a, b, c = low + share[:, None] * (self.coefficients[:3, piece, row + 1] - low)
        found: Array = (3.0 * a * step + 2.0 * b) * step + c
        return found

    def normals(self, x: Array, row: npt.NDArray[np.int64], share: Array) -> Array:
        """Unit normals of the skin at x `(k,)`, `share` of the way from a curve to the next, `(k, 3) float`.

        As `strip_normal` tells them.
        """
        piece = self._piece(x)
        step = (x - self.breaks[piece])[:, None]
        low = self.coefficients[:, piece, row]
        run = self.coefficients[:, piece, row + 1] - low
        a, b, c = low[:3] + share[:, None] * run[:3]
        across = ((run[0] * step + run[1]) * step + run[2]) * step + run[3]
        return strip_normal((3.0 * a * step + 2.0 * b) * step + c, across)

    def each(self, x: Array) -> tuple[Array, Array]:
        """Every curve at its own x `(n,)`: points and slopes, `(n, 2) float` each."""
        piece = self._piece(x)
        step = (x - self.breaks[piece])[:, None]
        a, b, c, d = self.coefficients[:, piece, np.arange(len(x))]
        return ((a * step + b) * step + c) * step + d, (3.0 * a * step + 2.0 * b) * step + c

    def divided(self, parts: npt.NDArray[np.int64]) -> Cubics:
        """The curves with more between them, evenly: `parts` `(n - 1,)` strips in place of each one."""
        low = np.repeat(np.arange(len(parts)), parts)
        t = (np.concatenate([np.arange(n) / n for n in parts]))[:, None]
        c = self.coefficients
        between = c[:, :, low] * (1.0 - t) + c[:, :, low + 1] * t
        return Cubics(self.breaks, np.concatenate([between, c[:, :, -1:]], axis=2))

    def _piece(self, x: Array) -> npt.NDArray[np.int64]:
        inside = np.searchsorted(self.breaks[1:-1], x, side="right")
        return np.asarray(inside, dtype=np.int64)


@dataclass(frozen=True, eq=False, slots=True)
class Skin:
    """One side of the inside of the skin, half-breadths positive whichever side it is.

    Attributes:
        curves: from the lowest line out and up to the highest; the skin between them is ruled at equal x.
        rows: which curve is the line of a name; the rest divide bowed panels.
        span: least and greatest x of the lines, mm.
    """

    curves: Cubics
    rows: Mapping[str, int]
    span: tuple[float, float]

    def section(self, x: npt.ArrayLike) -> Array:
        """Half-breadths and heights of the section's corners, `(..., n, 2) float`."""
        return self.curves.at(x)

    def line(self, name: str, x: npt.ArrayLike) -> Array:
        """Half-breadth and height of a named line, `(..., 2) float`."""
        row = self.rows[name]
        one = Cubics(self.curves.breaks, self.curves.coefficients[:, :, row : row + 1])
        found: Array = one.at(x)[..., 0, :]
        return found


def strip_normal(along: Array, across: Array) -> Array:
    """Unit normal of a ruled strip from (dy/dx, dz/dx) and the ruling's (y, z), `(..., 3) float`.

    It looks to the right of the way the section runs (outward when it runs from the keel up to port). The
    tangents are (1, y', z') and (0, dy, dz); the cross product is (y' dz - z' dy, -dz, dy), turned. A strip
    without width gives zeros.
    """
    dy, dz = across[..., 0], across[..., 1]
    x = along[..., 1] * dy - along[..., 0] * dz
    length = np.sqrt(x * x + dy * dy + dz * dz)
    there = length > 1e-9
    scale = np.where(there, 1.0 / np.where(there, length, 1.0), 0.0)
    found = np.empty((*x.shape, 3))
    found[..., 0], found[..., 1], found[..., 2] = x * scale, dz * scale, -dy * scale
    return found
