"""What a hull displaces below any plane, from sections that are cut once and for all: made to be asked often.

`model.hull_volume` sets its stations anew for every plane, so that no corner of the integrand lies between
two of them; here the stations stay. Corners cost little then: with panels of 60 mm the two differ by less
than one part in three thousand (tests hold them together), and an answer takes a quarter of the time.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from model.geometry import Array, Plane
from model.hull_outline import clipped
from model.shell import Shell, crossings

PANEL = 60.0
"""Longest run between two corners that is covered by one set of Gauss points, mm."""
GAUSS = 3


@dataclass(frozen=True, eq=False, slots=True)
class Below:
    """What lies below a plane, in axes of the plane: `ahead` lies in it and forward, `aport` athwart.

    Attributes:
        volume: mm3.
        centre: of the volume, `(3,) float`, mm; the middle of the plane where there is none.
        area: of the plane inside the hull, mm2.
        middle: centre of that area, `(3,) float`, mm.
        inertia: second moments of the area about its centre, `(2, 2) float`, mm4; first axis `ahead`.
        axes: rows `ahead`, `aport`, normal of the plane, `(3, 3) float`.
    """

    volume: float
    centre: Array
    area: float
    middle: Array
    inertia: Array
    axes: Array


@dataclass(frozen=True, eq=False, slots=True)
class Body:
    """Sections of a closed hull at fixed Gauss points.

    Attributes:
        x: `(m,) float`; `weight` that of each in an integral over x, mm.
        y, z: corners of the sections cut at the ends, the first repeated last, `(m, k) float`.
        box: least and greatest corner, `(2, 3) float`.
    """

    x: Array
    weight: Array
    y: Array
    z: Array
    box: Array

    @classmethod
    def of(cls, shell: Shell) -> Body:
        """The sections of a shell, closed from gunwale to gunwale."""
        x, weight = _stations(shell)
        yz = _closed(shell, x)
        y, z = np.ascontiguousarray(yz[..., 0]), np.ascontiguousarray(yz[..., 1])
        low = np.array([x[0], y.min(), z.min()])
        return cls(x, weight, y, z, np.stack([low, [x[-1], y.max(), z.max()]]))

    @property
    def volume(self) -> float:
        """All that is inside, mm3."""
        z = self.z
        area = np.einsum("ij,ij->i", self.y[:, :-1] - self.y[:, 1:], z[:, :-1] + z[:, 1:]) / 2.0
        return abs(float(self.weight @ area))

    def below(self, plane: Plane) -> Below:
        """What lies behind a plane whose normal points up.

        With Green's theorem, as in `model.hull_volume`: along u in the line of the plane in each section and
        s square to it, the area below is the integral of u ds over the edges with s <= 0.
        """
        nx, ny, nz = plane.normal.tolist()
        r = float(np.hypot(ny, nz))
        u = (nz * self.y - ny * self.z) / r
        s = (ny * self.y + nz * self.z + (nx * self.x - plane.offset)[:, None]) / r
        axes = np.array([(r, -nx * ny / r, -nx * nz / r), (0.0, nz / r, -ny / r), (nx, ny, nz)])
        area, first_u, first_s, breadth, at, square = _cut(u, s)
        w, x = self.weight, self.x
        wet = float(w @ breadth)
        # in the plane a step in x is longer by 1 / r
        ahead = x / r
        a = float(w @ (breadth * ahead)) / wet if wet > 0.0 else float(ahead.mean())
        b = float(w @ at) / wet if wet > 0.0 else 0.0
        middle = self._point(plane, axes, a * r, b, r)
        aa = float(w @ (breadth * ahead * ahead)) / r - wet / r * a * a
        ab = float(w @ (at * ahead)) / r - wet / r * a * b
        bb = float(w @ square) / r - wet / r * b * b
        volume = float(w @ area)
        centre = middle
        if volume > 0.0:
            up = first_s + (plane.offset - nx * x) / r * area
            yc, zc = (ny * up + nz * first_u) / r, (nz * up - ny * first_u) / r
            centre = np.array([w @ (area * x), w @ yc, w @ zc]) / volume
        return Below(volume, centre, wet / r, middle, np.array([[aa, ab], [ab, bb]]), axes)

    @staticmethod
    def _point(plane: Plane, axes: Array, x: float, u: float, r: float) -> Array:
        """The point of the plane at x and at u along its line in the section there."""
        ny, nz = plane.normal[1:].tolist()
        up = (plane.offset - float(plane.normal[0]) * x) / r
        return np.array([x, (ny * up + nz * u) / r, (nz * up - ny * u) / r])


def _cut(u: Array, s: Array) -> tuple[Array, Array, Array, Array, Array, Array]:
    """Of each closed section `(m, k)` what lies below s = 0.

    Area, first moments of u and of s; then the breadth at s = 0, first and second moment of u over it.
    """
    ua, ub, sa, sb = u[:, :-1], u[:, 1:], s[:, :-1], s[:, 1:]
    wet_a, wet_b = sa <= 0.0, sb <= 0.0
    crosses = wet_a != wet_b
    rise = np.where(crosses, sb - sa, 1.0)
    at = np.where(crosses, ua - sa * (ub - ua) / rise, 0.0)
    way = crosses * np.where(wet_a, 1.0, -1.0)
    breadth = np.einsum("ij,ij->i", way, at)
    square = at * at
    first, second = np.einsum("ij,ij->i", way, square) / 2.0, np.einsum("ij,ij,ij->i", way, square, at) / 3.0
    low_ua, low_sa = np.where(wet_a, ua, at), np.where(wet_a, sa, 0.0)
    low_ub, low_sb = np.where(wet_b, ub, at), np.where(wet_b, sb, 0.0)
    ds = np.where(wet_a | wet_b, low_sb - low_sa, 0.0)
    both = low_ua + low_ub
    area = np.einsum("ij,ij->i", both, ds) / 2.0
    product = low_ua * low_ub
    first_u = np.einsum("ij,ij->i", both * both - product, ds) / 6.0
    first_s = np.einsum("ij,ij->i", low_ua * low_sa + both * (low_sa + low_sb) + low_ub * low_sb, ds) / 6.0
    return area, first_u, first_s, breadth, first, second


def _stations(shell: Shell) -> tuple[Array, Array]:
    """Gauss points and weights along x between the breaks of the lines and where ends cut them."""
    low, high = shell.span
    corners = [np.array([low, high]), shell.chain.breaks, *(crossings(shell, end) for end in shell.ends)]
    every = np.unique(np.clip(np.concatenate(corners), low, high))
    every = every[np.concatenate([[True], np.diff(every) > 1e-6])]
    parts = np.maximum(np.ceil(np.diff(every) / PANEL).astype(np.int64), 1)
    step = np.repeat(np.diff(every) / parts, parts)
    start = np.repeat(every[:-1], parts) + step * np.concatenate([np.arange(n) for n in parts])
    at, weight = np.polynomial.legendre.leggauss(GAUSS)
    x = start[:, None] + step[:, None] * (at + 1.0) / 2.0
    return x.ravel(), (step[:, None] * weight / 2.0).ravel()


def _closed(shell: Shell, x: Array) -> Array:
    """Closed sections at x cut at the ends, all with as many corners: the last one stands repeated."""
    section = shell.chain.at(x)
    corners = section.shape[1] + 2 * len(shell.ends) + 1
    found = np.repeat(section[:, :1], corners, axis=1)
    found[:, : section.shape[1]] = section
    for i in np.flatnonzero(_beyond(shell, x, section)).tolist():
        points = np.concatenate([np.full((section.shape[1], 1), x[i]), section[i]], axis=1)
        for end in shell.ends:
            points = clipped(points, end)
        if len(points):
            found[i] = points[0, 1:]
            found[i, : len(points)] = points[:, 1:]
        else:
            found[i] = section[i, 0]
    return found


def _beyond(shell: Shell, x: Array, section: Array) -> Array:
    """True for sections that reach beyond an end."""
    cut = np.zeros(len(x))
    for end in shell.ends:
        out = section @ end.normal[1:] + (end.normal[0] * x - end.offset)[:, None]
        cut += (out > 1e-9).any(axis=1)
    return cut
