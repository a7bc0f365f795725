"""Closed outlines of straight edges and true circular arcs, with exact areas and moments.

A `Loop` is the shape of everything drawn flat: the outside and the bore of a tube, a cut-out, the
footprint of a tank. Its two coordinates are called y and z here, as in a section's own axes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from parts import arcs
from parts.arcs import Array

if TYPE_CHECKING:
    from shapely import Polygon

__all__ = ["CHORD", "Array", "Loop"]

CHORD = 0.05
"""Greatest distance of a tessellated arc from the true one, mm."""

_SAME_POINT = 1e-9
_STRAIGHT = 1e-9  # a bulge below this moves no point of a metre's chord by 1e-6 mm


@dataclass(frozen=True, eq=False)
class Loop:
    """A closed outline: vertices `points` `(n, 2) float`, mm, and for each edge its `bulges` `(n,) float`.

    Edge i runs from vertex i to the next (the last back to the first). Its bulge is
    tan(arc angle / 4): 0 for a straight edge, positive where the arc turns left, 1 for a half
    circle. Walked counter-clockwise the area is positive. Both arrays are read-only.

    Example:
        >>> Loop.rectangle(50.0, 25.0, radius=3.0).area  # 50 x 25 less (4 - pi) x 3^2
        1242.27...

    Raises:
        ValueError: arrays of the wrong shape, a number that is not finite, an edge without length.
    """

    points: Array
    bulges: Array

    def __post_init__(self) -> None:
        points = np.array(self.points, dtype=np.float64)
        bulges = np.array(self.bulges, dtype=np.float64)
        if points.ndim != 2 or points.shape[1] != 2 or bulges.shape != (len(points),):
            raise ValueError(
                f"an outline needs (n, 2) points and (n,) bulges, got {points.shape}, {bulges.shape}"
            )
        if len(points) < 3 and not (len(points) == 2 and np.abs(bulges).sum() > 0):
            raise ValueError("an outline needs three corners, or two of which an edge is an arc")
        curved = bulges.any()  # true of nan as well
        if not np.isfinite(points).all() or (curved and not np.isfinite(bulges).all()):
            raise ValueError("an outline has a coordinate that is not a finite number")
        if curved:
            bulges[np.abs(bulges) < _STRAIGHT] = 0.0
        points.flags.writeable = bulges.flags.writeable = False
        object.__setattr__(self, "points", points)
        object.__setattr__(self, "bulges", bulges)
        across, up = np.abs(self._vectors).T
        if np.maximum(across, up).min() < _SAME_POINT:
            raise ValueError("an outline has two corners in the same place, one after the other")

    # --- makers

    @classmethod
    def polygon(cls, points: npt.ArrayLike) -> Loop:
        """The loop of straight edges through `(n, 2)` points, in the order given."""
        found = np.asarray(points, dtype=np.float64)
        return cls(found, np.zeros(len(found)))

    @classmethod
    def rectangle(
        cls, width: float, height: float, radius: float = 0.0, centre: tuple[float, float] = (0.0, 0.0)
    ) -> Loop:
        """A rectangle, counter-clockwise from its low y, low z corner, with true arcs of `radius` mm.

        Raises:
            ValueError: a side is not positive, or the radius is more than half of the shorter side.
        """
        if not (width > 0 and height > 0):
            raise ValueError(f"a rectangle needs positive sides, got {width:g} x {height:g} mm")
        (y, z), w, h, r = centre, width / 2, height / 2, radius
        if r == 0:
            return cls.polygon([(y - w, z - h), (y + w, z - h), (y + w, z + h), (y - w, z + h)])
        if not 0 < r <= min(w, h) * (1 + 1e-12):
            raise ValueError(
                f"the corner radius is {r:g} mm; it must be 0 to {min(w, h):g} mm, half of the side"
            )
        a, b = max(w - r, 0.0), max(h - r, 0.0)
        across = np.array([-w, -a, a, w, w, a, -a, -w]) + y
        up = np.array([-b, -h, -h, -b, b, h, h, b]) + z
        bulges = np.tile((math.tan(math.pi / 8), 0.0), 4)
        points = np.stack([across, up], axis=1)
        return _without_empty_edges(points, bulges) if min(a, b) < _SAME_POINT else cls(points, bulges)

    @classmethod
    def circle(cls, diameter: float, centre: tuple[float, float] = (0.0, 0.0)) -> Loop:
        """A circle as two half-circle edges, counter-clockwise.

        Raises:
            ValueError: the diameter is not positive.
        """
        if not diameter > 0:
            raise ValueError(f"a circle needs a positive diameter, got {diameter:g} mm")
        r = diameter / 2
        return cls(np.array([(centre[0] + r, centre[1]), (centre[0] - r, centre[1])]), np.ones(2))

    @classmethod
    def rounded(cls, points: npt.ArrayLike, radius: float | Sequence[float]) -> Loop:
        """The polygon through `(n, 2)` points, each corner replaced by a tangent arc.

        Args:
            points: corners, mm, in either order.
            radius: one radius for all corners or one for each, mm; 0 leaves a corner sharp.

        Raises:
            ValueError: a radius is negative or two arcs do not fit on the edge between them.
        """
        corners = np.asarray(points, dtype=np.float64)
        r = np.broadcast_to(np.asarray(radius, dtype=np.float64), (len(corners),))
        if (r < 0).any():
            raise ValueError("a corner radius cannot be negative")
        if not r.any():
            return cls.polygon(corners)
        ahead = np.roll(corners, -1, axis=0) - corners
        length = np.hypot(ahead[:, 0], ahead[:, 1])
        if float(length.min()) < _SAME_POINT:
            raise ValueError("an outline has two corners in the same place, one after the other")
        ahead = ahead / length[:, None]
        behind = np.roll(ahead, 1, axis=0)
        turn = np.arctan2(_cross(behind, ahead), (behind * ahead).sum(axis=1))
        setback = r * np.abs(np.tan(turn / 2))
        if (setback + np.roll(setback, -1) > length * (1 + 1e-12) + _SAME_POINT).any():
            raise ValueError("a corner radius is too large for the edges beside it")
        pairs = np.stack([corners - setback[:, None] * behind, corners + setback[:, None] * ahead], axis=1)
        bulges = np.stack([np.where(setback > 0, np.tan(turn / 4), 0.0), np.zeros(len(corners))], axis=1)
        return _without_empty_edges(pairs.reshape(-1, 2), bulges.reshape(-1))

    # --- exact properties

    @cached_property
    def _vectors(self) -> Array:
        return np.concatenate([self.points[1:], self.points[:1]]) - self.points

    @cached_property
    def _curved(self) -> npt.NDArray[np.intp]:
        return np.flatnonzero(self.bulges)

    @cached_property
    def _moments(self) -> tuple[float, Array, Array]:
        """Signed area, centroid `(2,)`, and the signed `(2, 2)` integral of p p^T about the centroid."""
        base = self.points.sum(axis=0) / len(self.points)
        p = self.points - base
        both = 2.0 * p + self._vectors
        q = both - p
        weigh = _cross(p, q) / 24
        area = 12 * weigh.sum()
        first = 4 * (weigh @ both)
        # Triangle (0, p, q): integral of x x^T = cross/24 (p p^T + q q^T + (p + q)(p + q)^T).
        every = np.concatenate([p, q, both])
        second = (every.T * np.concatenate([weigh, weigh, weigh])) @ every
        if len(self._curved):
            da, df, ds = self._lenses(p)
            area, first, second = area + da, first + df, second + ds
        centre = first / area
        return float(area), base + centre, second - area * centre[:, None] * centre

    def _lenses(self, p: Array) -> tuple[float, Array, Array]:
        """What the arcs add to area, first and second moments beyond their chords, about p's origin."""
        i = self._curved
        e, b = self._vectors[i], self.bulges[i]
        half = np.hypot(e[:, 0], e[:, 1]) / 2
        n, t = arcs.outward(e, b), e / (2 * half)[:, None]
        area, first, about_chord, across = arcs.lens_properties(2 * np.arctan(np.abs(b)))
        square = np.copysign(half * half, b)
        area, first = area * square, first * square * half
        square *= half * half
        about_chord, across = about_chord * square, across * square
        mid = p[i] + e / 2
        cross_term = (mid.T * first) @ n
        second = (
            (mid.T * area) @ mid + cross_term + cross_term.T + (n.T * about_chord) @ n + (t.T * across) @ t
        )
        return float(area.sum()), area @ mid + first @ n, second

    @property
    def area(self) -> float:
        """Enclosed area, mm2; negative when the loop is walked clockwise."""
        return self._moments[0]

    @property
    def is_ccw(self) -> bool:
        """Whether the loop is walked counter-clockwise."""
        return self.area > 0

    @property
    def centroid(self) -> Array:
        """Centre of the area, `(2,) float`, mm."""
        return self._moments[1]

    def second_moments(self) -> tuple[float, float, float]:
        """(Iyy, Izz, Iyz) about the centroid, mm4: the integrals of z^2, y^2 and y z over the area.

        They carry the sign of the area, so that a clockwise hole added to its outside subtracts.
        """
        m = self._moments[2]
        return float(m[1, 1]), float(m[0, 0]), float(m[0, 1])

    @cached_property
    def perimeter(self) -> float:
        """Length of the outline along its arcs, mm."""
        length = np.hypot(self._vectors[:, 0], self._vectors[:, 1])
        i = self._curved
        if len(i):
            length[i] = arcs.radii(self._vectors[i], self.bulges[i]) * 4 * np.arctan(np.abs(self.bulges[i]))
        return float(length.sum())

    @cached_property
    def apexes(self) -> Array:
        """The middle point of every edge, on its arc, `(n, 2) float`, mm."""
        return arcs.apexes(self.points, self._vectors, self.bulges)

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """(least y, least z, greatest y, greatest z), arcs included, mm."""
        reach = self.support(np.array([(-1.0, 0.0), (0.0, -1.0), (1.0, 0.0), (0.0, 1.0)]))
        return -float(reach[0]), -float(reach[1]), float(reach[2]), float(reach[3])

    def support(self, directions: npt.ArrayLike) -> Array:
        """The greatest p . d over the outline for each direction, arcs included.

        Args:
            directions: `(k, 2)`, of any length.

        Returns:
            `(k,) float`; mm for unit directions.
        """
        d = np.asarray(directions, dtype=np.float64).reshape(-1, 2)
        corners: Array = (d @ self.points.T).max(axis=1)
        i = self._curved
        if not len(i):
            return corners
        e, b = self._vectors[i], self.bulges[i]
        n, half = arcs.outward(e, b), 2 * np.arctan(np.abs(b))
        size = np.hypot(d[:, 0], d[:, 1])
        d_hat = d / np.where(size > 0, size, 1.0)[:, None]
        on_arc = d_hat @ n.T >= np.cos(half)
        # centre . d + R |d| written from the apex, so that a large radius does not cancel.
        off = ((d_hat[:, None, :] - n) ** 2).sum(axis=2) / 2
        reach = d @ self.apexes[i].T + size[:, None] * off * arcs.radii(e, b)
        furthest: Array = np.maximum(corners, np.where(on_arc, reach, -np.inf).max(axis=1))
        return furthest

    # --- other forms of the same outline

    def polyline(self, chord: float = CHORD) -> Array:
        """The outline as `(m, 2)` vertices, the last not repeating the first.

        Every vertex lies on the true outline; each arc is walked in equal steps whose chords leave
        it by `chord` mm at most. The same loop always gives the same vertices.
        """
        i = self._curved
        if not len(i):
            return self.points
        counts = np.ones(len(self.points), dtype=np.intp)
        counts[i] = arcs.step_counts(self._vectors[i], self.bulges[i], chord)
        edge = np.repeat(np.arange(len(counts)), counts)
        step = np.arange(len(edge)) - np.repeat(np.cumsum(counts) - counts, counts)
        found = self.points[edge].copy()
        inner = np.flatnonzero(step)
        e = edge[inner]
        found[inner] = arcs.arc_points(
            self.points[e], self._vectors[e], self.bulges[e], step[inner] / counts[e]
        )
        return found

    def to_shapely(self, chord: float = CHORD) -> Polygon:
        """The tessellated outline as a shapely polygon."""
        from shapely import Polygon

        return Polygon(self.polyline(chord))

    def reversed(self) -> Loop:
        """The same outline walked the other way."""
        return Loop(self.points[::-1], -np.roll(self.bulges[::-1], -1))

    def ccw(self) -> Loop:
        """The outline walked counter-clockwise."""
        return self if self.is_ccw else self.reversed()

    def cw(self) -> Loop:
        """The outline walked clockwise, as the hole of a counter-clockwise outside."""
        return self.reversed() if self.is_ccw else self

    def transformed(self, matrix: npt.ArrayLike, offset: npt.ArrayLike = (0.0, 0.0)) -> Loop:
        """The outline with every point p moved to `matrix @ p + offset`.

        A mirror image is walked backwards, so that a counter-clockwise loop stays one.

        Args:
            matrix: `(2, 2)`: a turn, a mirror, an even scale, or a product of them.
            offset: `(2,)`, mm.

        Raises:
            ValueError: the matrix would make ellipses of the arcs.
        """
        m = np.asarray(matrix, dtype=np.float64)
        (a, b), (c, d) = m.tolist()
        determinant = a * d - b * c
        size = abs(determinant)
        off = max(abs(a * a + b * b - size), abs(c * c + d * d - size), abs(a * c + b * d))
        if determinant == 0 or not off <= 1e-9 * size:
            raise ValueError(
                "an outline can be turned, mirrored and evenly scaled only; its arcs must stay arcs"
            )
        points = self.points @ m.T + np.asarray(offset, dtype=np.float64)
        if determinant > 0:
            return Loop(points, self.bulges)
        return Loop(points, -self.bulges).reversed()

    def moved(self, dy: float, dz: float) -> Loop:
        """The outline moved by (dy, dz) mm."""
        return Loop(self.points + np.array([dy, dz]), self.bulges)

    def turned(self, angle: float) -> Loop:
        """The outline turned about the origin by `angle` rad, from y towards z."""
        c, s = np.cos(angle), np.sin(angle)
        return self.transformed([(c, -s), (s, c)])


def _cross(a: Array, b: Array) -> Array:
    found: Array = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return found


def _without_empty_edges(points: Array, bulges: Array) -> Loop:
    """The loop without the edges that have no length (a sharp corner, two arcs that meet)."""
    ahead = np.roll(points, -1, axis=0) - points
    keep = np.abs(ahead).max(axis=1) >= _SAME_POINT
    return Loop(points[keep], bulges[keep])
