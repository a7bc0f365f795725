"""Volume of a hull below a plane, and the area of the plane inside it, from sections at Gauss points along x.

In each section (u, s) are coordinates along and square to the line in which the plane cuts it. With Green's
theorem the part of the section below that line has area = sum over its edges of the integral of u ds over
their part with s <= 0: the closing run along s = 0 adds nothing, so edges need no ordering and no search.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from model.geometry import Array, Plane
from model.hull_outline import clipped
from model.shell import Shell, crossings, end_corners

GAUSS = 6
LONGEST = 250.0
"""Millimetres; runs between breaks are divided to this before Gauss points are set."""


@dataclass(frozen=True, eq=False, slots=True)
class Immersed:
    """The part of the hull below a plane: volume in mm3 and its centre `(3,) float` (nan for nothing)."""

    volume: float
    centre: Array


@dataclass(frozen=True, eq=False, slots=True)
class Waterplane:
    """The part of a plane inside the hull, measured within the plane.

    Attributes:
        area: mm2.
        centre: `(3,) float` in the boat, mm; nan for nothing.
        athwart: second moment about the fore-and-aft axis through the centre, mm4 (resists heel).
        lengthwise: second moment about the athwart axis through the centre, mm4 (resists trim).
        product: product moment of the two axes, mm4.
    """

    area: float
    centre: Array
    athwart: float
    lengthwise: float
    product: float


def immersed(shell: Shell, plane: Plane) -> Immersed:
    """The hull behind a plane (below it, if its normal points up), closed from gunwale to gunwale.

    Raises:
        ValueError: the plane stands square across the boat.
    """
    line = _Line.of(plane)
    x, weight = _gauss(shell, plane)
    section = shell.chain.at(x)
    closed = np.concatenate([section, section[:, :1]], axis=1)
    u, s = line.turned(x, closed)
    moments = _below(u, s)
    for i in np.flatnonzero(_cut_by_ends(shell, x, section)):
        points = np.concatenate([np.full((len(section[i]), 1), x[i]), section[i]], axis=1)
        for end in shell.ends:
            points = clipped(points, end)
        if len(points):
            again = np.concatenate([points, points[:1]])[None, :, 1:]
            moments[:, i] = _below(*line.turned(x[i : i + 1], again))[:, 0]
        else:
            moments[:, i] = 0.0
    area = moments[0]
    volume = float(weight @ area)
    if volume <= 0.0:
        return Immersed(0.0, np.full(3, np.nan))
    yz = line.returned(x, moments[1], moments[2], area)
    centre = np.array([weight @ (area * x), *(weight @ yz)]) / volume
    return Immersed(volume, centre)


def waterplane(shell: Shell, plane: Plane) -> Waterplane:
    """The area that a plane has inside the hull.

    Raises:
        ValueError: the plane stands square across the boat.
    """
    line = _Line.of(plane)
    x, weight = _gauss(shell, plane)
    section = shell.chain.at(x)
    u, s = line.turned(x, np.concatenate([section, section[:, :1]], axis=1))
    way, at = _crossings_of(u, s)
    at = _within_ends(shell.ends, line, x, at)
    # Along the plane a step in x is longer by 1/r; a is the coordinate in that direction.
    a, weight = x / line.r, weight / line.r
    breadth, first, second = (np.einsum("ij,ij->i", way, at**k) / k for k in (1, 2, 3))
    area = float(weight @ breadth)
    if area <= 0.0:
        return Waterplane(0.0, np.full(3, np.nan), 0.0, 0.0, 0.0)
    ac, uc = float(weight @ (breadth * a)) / area, float(weight @ first) / area
    centre_x = np.array([ac * line.r])
    yz = line.returned(centre_x, np.array([uc]), np.zeros(1), np.ones(1))[0]
    return Waterplane(
        area,
        np.array([centre_x[0], *yz]),
        float(weight @ second) - area * uc**2,
        float(weight @ (breadth * a**2)) - area * ac**2,
        float(weight @ (first * a)) - area * ac * uc,
    )


@dataclass(frozen=True, eq=False, slots=True)
class _Line:
    """The line of a plane in each section: `n` its normal within the section, of length `r`."""

    plane: Plane
    r: float

    @classmethod
    def of(cls, plane: Plane) -> _Line:
        r = float(np.hypot(plane.normal[1], plane.normal[2]))
        if r < 1e-6:
            raise ValueError("the plane stands square across the boat and has no line in a section")
        return cls(plane, r)

    def turned(self, x: Array, yz: Array) -> tuple[Array, Array]:
        """Sections `(m, k, 2)` at x `(m,)` in coordinates along the line and above it, `(m, k)` each."""
        nx, ny, nz = self.plane.normal
        u = (nz * yz[..., 0] - ny * yz[..., 1]) / self.r
        s = (ny * yz[..., 0] + nz * yz[..., 1] + (nx * x - self.plane.offset)[:, None]) / self.r
        return u, np.where(np.abs(s) < 1e-9, 0.0, s)

    def returned(self, x: Array, u: Array, s: Array, area: Array) -> Array:
        """First moments of u and s over areas as those of y and z, `(m, 2)`; points where `area` is one."""
        nx, ny, nz = self.plane.normal
        up = s + (self.plane.offset - nx * x) / self.r * area
        return np.stack([ny * up + nz * u, nz * up - ny * u], axis=-1) / self.r


def _below(u: Array, s: Array) -> Array:
    """Area, and first moments of u and s, of closed sections `(m, k)` below s = 0: `(3, m) float`."""
    ua, ub, sa, sb = u[:, :-1], u[:, 1:], s[:, :-1], s[:, 1:]
    rise = sb - sa
    t = np.clip(-sa / np.where(rise == 0.0, 1.0, rise), 0.0, 1.0)
    crosses = (sa > 0.0) != (sb > 0.0)
    um, sm = ua + t * (ub - ua), np.where(crosses, 0.0, sb)
    ua, sa = np.where(crosses & (sa > 0.0), um, ua), np.where(crosses & (sa > 0.0), sm, sa)
    ub, sb = np.where(crosses & (sb > 0.0), um, ub), np.where(crosses & (sb > 0.0), sm, sb)
    ds = np.where((sa > 0.0) | (sb > 0.0), 0.0, sb - sa)
    return np.stack(
        [
            np.einsum("ij,ij->i", ua + ub, ds) / 2.0,
            np.einsum("ij,ij->i", ua * ua + ua * ub + ub * ub, ds) / 6.0,
            np.einsum("ij,ij->i", ua * sa + (ua + ub) * (sa + sb) + ub * sb, ds) / 6.0,
        ]
    )


def _crossings_of(u: Array, s: Array) -> tuple[Array, Array]:
    """Where closed sections cross s = 0: 1 upward, -1 downward, 0 not, and the u there; `(m, k - 1)` each."""
    sa, sb = s[:, :-1], s[:, 1:]
    way = np.sign((sb >= 0.0).astype(float) - (sa >= 0.0))
    t = sa / np.where(way != 0.0, sa - sb, 1.0)
    return way, np.where(way != 0.0, u[:, :-1] + t * (u[:, 1:] - u[:, :-1]), 0.0)


def _within_ends(ends: Sequence[Plane], line: _Line, x: Array, u: Array) -> Array:
    """Crossings drawn in to where the line of the plane lies between the ends."""
    for end in ends:
        low, high = (
            line.returned(x, np.full(len(x), value), np.zeros(len(x)), np.ones(len(x)))
            for value in (0.0, 1.0)
        )
        out = low @ end.normal[1:] + end.normal[0] * x - end.offset
        slope = (high - low) @ end.normal[1:]
        level = np.abs(slope) < 1e-12
        limit = np.where(level, 0.0, -out / np.where(level, 1.0, slope))[:, None]
        u = np.where((slope > 0.0)[:, None] & ~level[:, None], np.minimum(u, limit), u)
        u = np.where((slope < 0.0)[:, None] & ~level[:, None], np.maximum(u, limit), u)
        u = np.where((level & (out > 0.0))[:, None], 0.0, u)
    return u


def _cut_by_ends(shell: Shell, x: Array, section: Array) -> npt.NDArray[np.bool_]:
    """True for sections that reach beyond an end."""
    cut = np.zeros(len(x), dtype=np.bool_)
    for end in shell.ends:
        out = section @ end.normal[1:] + (end.normal[0] * x - end.offset)[:, None]
        cut |= (out > 1e-9).any(axis=1)
    return cut


def _gauss(shell: Shell, plane: Plane) -> tuple[Array, Array]:
    """Gauss-Legendre points and weights along x between all places where the integrand may have a corner."""
    low, high = shell.span
    corners = [np.array([low, high]), shell.chain.breaks, end_corners(shell, plane)]
    corners += [crossings(shell, cut) for cut in (plane, *shell.ends)]
    every = np.unique(np.clip(np.concatenate(corners), low, high))
    runs = np.diff(every)
    parts = np.maximum(np.ceil(runs / LONGEST).astype(np.int64), 1)
    step = np.repeat(runs / parts, parts)
    start = np.repeat(every[:-1], parts) + step * np.concatenate([np.arange(n) for n in parts])
    at, weight = np.polynomial.legendre.leggauss(GAUSS)
    x = start[:, None] + step[:, None] * (at + 1.0) / 2.0
    return x.ravel(), (step[:, None] * weight / 2.0).ravel()
