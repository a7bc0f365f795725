"""A hull's skin with its ends: what integrals and cuts need of it, and where planes cross its lines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

import numpy as np

from model.geometry import Array, Plane
from model.skin import Cubics

SAMPLES = 12
"""Samples of a line between breaks when its crossings with a plane are looked for."""


@dataclass(frozen=True, eq=False, slots=True)
class Sections:
    """Sections closed from gunwale to gunwale, or their port halves, open from keel to gunwale.

    Attributes:
        x: `(k,) float`, rising.
        y, z: of their corners from starboard, the first one repeated at the end, `(k, n + 1) float`; of
            halves from the keel, none repeated.
        are_halves: whether they are port halves.
    """

    x: Array
    y: Array
    z: Array
    are_halves: bool

    def heights(self, plane: Plane) -> Array:
        """Signed distances of all corners from a plane, `(k, n + 1) float`."""
        nx, ny, nz = plane.normal.tolist()
        found: Array = self.z * nz
        if ny:
            found += self.y * ny
        found += (nx * self.x - plane.offset)[:, None]
        return found


@dataclass(frozen=True, eq=False)
class Shell:
    """The skin from gunwale to gunwale, closed at its ends.

    Attributes:
        chain: all curves from the starboard gunwale under the keel to the port gunwale.
        rows: which of them are named lines.
        span: least and greatest x, mm.
        ends: the planes that close it, normals pointing out.
        port: of a symmetrical hull the port half alone, its chain from the keel to the gunwale.
        is_half: whether this is such a half.
    """

    chain: Cubics
    rows: Sequence[int]
    span: tuple[float, float]
    ends: Sequence[Plane]
    port: Shell | None = None
    is_half: bool = False
    _kept: dict[int, Sections] = field(default_factory=dict, repr=False)

    def stations(self, count: int) -> Sections:
        """The sections at `count` even stations and at every break of the lines; kept for the next plane."""
        if count not in self._kept:
            x = np.unique(np.concatenate([np.linspace(*self.span, count), self.chain.breaks]))
            self._kept[count] = self.sections(x)
        return self._kept[count]

    def sections(self, x: Array) -> Sections:
        """The sections at rising x `(k,)`."""
        breaks, (y_rows, z_rows) = self.chain.breaks, self._powers
        bounds = [0, *np.searchsorted(x, breaks[1:-1], side="left").tolist(), len(x)]
        y, z = np.empty((len(x), y_rows.shape[2])), np.empty((len(x), y_rows.shape[2]))
        for i, (a, b) in enumerate(pairwise(bounds)):
            if b > a:
                powers = np.ones((b - a, 4))
                step = x[a:b] - breaks[i]
                powers[:, 2] = step
                powers[:, 1] = step * step
                powers[:, 0] = powers[:, 1] * step
                np.matmul(powers, y_rows[i], out=y[a:b])
                np.matmul(powers, z_rows[i], out=z[a:b])
        return Sections(x, y, z, self.is_half)

    @cached_property
    def _powers(self) -> tuple[Array, Array]:
        """Coefficients of y and of z of the corners of sections, by piece, `(m, 4, n + 1) float` each."""
        c = self.chain.coefficients
        c = c if self.is_half else np.concatenate([c, c[:, :, :1]], axis=2)
        c = c.transpose(1, 0, 2, 3)
        return np.ascontiguousarray(c[..., 0]), np.ascontiguousarray(c[..., 1])

    @cached_property
    def samples(self) -> tuple[Array, Array]:
        """Stations, `SAMPLES` to a piece, and the points of the named lines there, `(k, r, 2) float`."""
        breaks = self.chain.breaks
        x = np.concatenate([np.linspace(a, b, SAMPLES, endpoint=False) for a, b in pairwise(breaks)])
        x = np.append(x, breaks[-1])
        return x, Cubics(breaks, self.chain.coefficients[:, :, list(self.rows)]).at(x)


def crossings(shell: Shell, plane: Plane) -> Array:
    """The x where the named lines pass through a plane, `(k,) float`, found from samples."""
    x, points = shell.samples
    height = points @ plane.normal[1:] + (plane.normal[0] * x - plane.offset)[:, None]
    above = height > 0.0
    i, line = np.nonzero(above[:-1] != above[1:])
    rows = [shell.rows[k] for k in line.tolist()]
    spans = zip(rows, x[i].tolist(), x[i + 1].tolist(), strict=True)
    return np.array([root(shell.chain, row, plane, low, high) for row, low, high in spans])


def root(chain: Cubics, row: int, plane: Plane, low: float, high: float) -> float:
    """The x between `low` and `high`, of one piece, where a curve on different sides of a plane passes it.

    Newton steps on the cubic of its height above the plane, held within the bounds by halving them.
    """
    piece = int(np.searchsorted(chain.breaks[1:-1], (low + high) / 2.0, side="right"))
    start = float(chain.breaks[piece])
    nx = float(plane.normal[0])
    a, b, c, d = (chain.coefficients[:, piece, row] @ plane.normal[1:]).tolist()
    c, d = c + nx, d + nx * start - plane.offset
    low, high = low - start, high - start
    at_low, at_high = (((a * s + b) * s + c) * s + d for s in (low, high))
    rising = at_low < at_high
    s = low - at_low * (high - low) / (at_high - at_low) if at_low != at_high else low
    for _ in range(60):
        height = ((a * s + b) * s + c) * s + d
        if (height > 0.0) == rising:
            high = s
        else:
            low = s
        slope = (3.0 * a * s + 2.0 * b) * s + c
        moved = s - height / slope if slope else (low + high) / 2.0
        if not low <= moved <= high:
            moved = (low + high) / 2.0
        step, s = abs(moved - s), moved
        if step < 1e-10:
            break
    return start + s


def end_corners(shell: Shell, plane: Plane) -> Array:
    """The x where a plane meets the ends on the centreline: corners of what it cuts out."""
    found = []
    for end in shell.ends:
        across = plane.normal[0] * end.normal[2] - plane.normal[2] * end.normal[0]
        if abs(across) > 1e-9:
            x = (plane.offset * end.normal[2] - end.offset * plane.normal[2]) / across
            if shell.span[0] < x < shell.span[1]:
                found.append(x)
    return np.array(found)
