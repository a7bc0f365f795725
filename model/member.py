"""One straight piece of tube: a section, an axis, a roll and a plane at each end."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from model.cut_prism import CutPrisms
from model.geometry import FORWARD, UP, Array, Frame, Plane, Vector, unit, vector
from model.hole import Hole

if TYPE_CHECKING:
    from parts.section import Section

UPRIGHT = 1e-7
"""Sine of the angle from vertical below which an axis counts as upright."""


def member_axes(a: Array, b: Array, roll: Array) -> Array:
    """Rows x, y, z of the member axes in the boat, `(k, 3, 3) float`, for `(k, 3)` points and `(k,)` rolls.

    x runs from a to b. At roll 0, z is the boat's up made square to x; for an upright axis it is the boat's
    forward. The roll turns y and z right-handed about x. A member without length lies forward.
    """
    span = b - a
    length = np.sqrt(np.einsum("ij,ij->i", span, span))
    x = np.where(length[:, None] > 1e-9, span / np.maximum(length, 1e-9)[:, None], FORWARD)
    upright = np.hypot(x[:, 0], x[:, 1]) < UPRIGHT
    z = np.where(upright[:, None], FORWARD, UP)
    z = z - np.einsum("ij,ij->i", z, x)[:, None] * x
    z /= np.sqrt(np.einsum("ij,ij->i", z, z))[:, None]
    y = np.cross(z, x)
    c, s = np.cos(roll)[:, None], np.sin(roll)[:, None]
    return np.stack([x, c * y + s * z, c * z - s * y], axis=1)


def _axes(a: Array, b: Array, roll: float) -> Array:
    """`member_axes` of one member, `(3, 3) float`; plain floats are ten times faster than arrays of one."""
    dx, dy, dz = (b - a).tolist()
    length = math.sqrt(dx * dx + dy * dy + dz * dz)
    x = (dx / length, dy / length, dz / length) if length > 1e-9 else (1.0, 0.0, 0.0)
    upright = math.hypot(x[0], x[1]) < UPRIGHT
    lean = x[0] if upright else x[2]
    z = ((1.0 if upright else 0.0) - lean * x[0], -lean * x[1], (0.0 if upright else 1.0) - lean * x[2])
    size = math.sqrt(z[0] * z[0] + z[1] * z[1] + z[2] * z[2])
    z = (z[0] / size, z[1] / size, z[2] / size)
    y = (z[1] * x[2] - z[2] * x[1], z[2] * x[0] - z[0] * x[2], z[0] * x[1] - z[1] * x[0])
    c, s = math.cos(roll), math.sin(roll)
    if s:
        y, z = (
            (c * y[0] + s * z[0], c * y[1] + s * z[1], c * y[2] + s * z[2]),
            (c * z[0] - s * y[0], c * z[1] - s * y[1], c * z[2] - s * y[2]),
        )
    return np.array((x, y, z))


@dataclass(frozen=True, eq=False)
class Member:
    """A straight tube along the axis from `a` to `b`, `(3,) float` in the boat, mm; `roll` in rad.

    The roll is told at `member_axes`; the section's local (y, z) origin rides on the axis. `end_a` and
    `end_b` are planes in the boat whose normals point out of the metal; they need not pass through a and b.
    `holes` are drilled after sawing. Everything else is worked out from these.

    Example:
        beam = Member.along("deck/beam.1", tube, (0, -400, 300), (0, 400, 300), up=(0, 0, 1))
        beam.length  # 800.0
    """

    name: str
    section: Section
    a: Array
    b: Array
    roll: float
    end_a: Plane
    end_b: Plane
    holes: tuple[Hole, ...] = ()

    @classmethod
    def along(
        cls,
        name: str,
        section: Section,
        a: Vector,
        b: Vector,
        up: Vector | None = None,
        end_a: Plane | None = None,
        end_b: Plane | None = None,
    ) -> Member:
        """The member from a to b with its height towards `up`; an end left out is cut square at its point.

        Args:
            name: address of the piece in the boat.
            section: what it is cut from.
            a: axis point at end A, mm.
            b: axis point at end B, mm.
            up: where the local z should point, made square to the axis; None is roll 0.
            end_a: plane of end A, normal out of the metal.
            end_b: plane of end B, normal out of the metal.

        Raises:
            ValueError: `up` lies along the axis.
        """
        pa, pb = vector(a), vector(b)
        x, y, z = _axes(pa, pb, 0.0)
        roll = 0.0
        if up is not None:
            wanted = unit(up)
            across, upward = float(wanted @ y), float(wanted @ z)
            if math.hypot(across, upward) < UPRIGHT:
                raise ValueError(f"{name}: the height cannot point along the member's own axis")
            roll = math.atan2(-across, upward)
        return cls(name, section, pa, pb, roll, end_a or Plane.through(pa, -x), end_b or Plane.through(pb, x))

    @property
    def span(self) -> float:
        """Distance between the axis points, mm (not a cut length)."""
        return float(np.linalg.norm(self.b - self.a))

    @property
    def axis(self) -> Array:
        """Unit vector from a to b, `(3,) float`."""
        return self.frame.x

    @cached_property
    def frame(self) -> Frame:
        """Origin a, x along the axis, y across the width, z across the height."""
        x, y, z = _axes(self.a, self.b, self.roll)
        return Frame(self.a, x, y, z)

    @cached_property
    def local_ends(self) -> tuple[Plane, Plane]:
        """The planes of ends A and B in member axes."""
        axes, a = self.frame.axes, self.a
        end_a, end_b = (
            Plane(axes @ end.normal, float(end.offset - end.normal @ a)) for end in (self.end_a, self.end_b)
        )
        return end_a, end_b

    @cached_property
    def prism(self) -> CutPrisms:
        """The closed forms of this one piece (arrays of one)."""
        near, far = ((end.normal[None], np.array([end.offset])) for end in self.local_ends)
        return CutPrisms.between(self.section, near, far)

    @property
    def is_cut_away(self) -> bool:
        """Whether the end planes cross inside the section or run along the axis: there is no such piece."""
        return bool(self.prism.cut_away[0])

    @property
    def least_length(self) -> float:
        """Length of the shortest fibre of the outline, mm; zero or less when the piece is cut away."""
        return float(self.prism.least[0])

    @property
    def length(self) -> float:
        """Overall length, long point to long point along the axis, mm; 0 when cut away."""
        return float(self.prism.far_long[0] - self.prism.near_long[0])

    @property
    def short_lengths(self) -> tuple[float, float]:
        """From the short point of end A, then of end B, to the long point of the other end, mm."""
        prism = self.prism
        a = float(prism.far_long[0] - prism.near_short[0])
        b = float(prism.far_short[0] - prism.near_long[0])
        return a, b

    @property
    def volume(self) -> float:
        """Metal, mm3, holes taken out."""
        return float(self.prism.volume[0]) - self.drilled_out

    @property
    def mass(self) -> float:
        """Mass, kg, holes taken out."""
        return float(self.prism.mass[0]) - self.drilled_out * self.section.alloy.density * 1e-9

    @property
    def drilled_out(self) -> float:
        """Metal that the holes take away, mm3."""
        return sum(hole.volume(self.section) for hole in self.holes)

    @cached_property
    def centre(self) -> Array:
        """Centre of mass in the boat, `(3,) float`, mm."""
        return self.frame.to_boat(self.drilled_centre(self.prism.centre[0]))

    def drilled_centre(self, whole: Array) -> Array:
        """The centre of mass in member axes, from that of the piece before it was drilled, `(3,) float`."""
        if not self.holes:
            return whole
        solid = float(self.prism.volume[0])
        gone = sum((hole.volume(self.section) * hole.middle for hole in self.holes), np.zeros(3))
        found: Array = (solid * whole - gone) / (solid - self.drilled_out)
        return found

    @cached_property
    def box(self) -> Array:
        """Least and greatest corner in the boat, `(2, 3) float`, mm, exact with the round corners."""
        toward = self.frame.axes.T
        reach = self.prism.reach(np.concatenate([-toward, toward])[None])[0]
        return np.stack([self.a - reach[:3], self.a + reach[3:]])

    @cached_property
    def corners(self) -> Array:
        """Corners of the width x height box on the end planes, `(2, 4, 3) float` in the boat.

        Ends A and B; then the edges (-y, -z), (+y, -z), (+y, +z), (-y, +z). On a rounded tube these are where
        the flat faces would meet.
        """
        w, h = self.section.width / 2.0, self.section.height / 2.0
        edges = np.array([[-w, -h], [w, -h], [w, h], [-w, h]])
        return self.frame.to_boat(self.prism.ends_at(edges)[0])

    @property
    def edge_lengths(self) -> Array:
        """Lengths of the four long edges, order of `corners`, `(4,) float`, mm."""
        found: Array = np.linalg.norm(self.corners[1] - self.corners[0], axis=1)
        return found

    def face(self, side: str) -> Array:
        """Corners of one long face, `(4, 3) float` in the boat, counter-clockwise seen from outside.

        Args:
            side: "top" (+z), "bottom" (-z), "left" (+y) or "right" (-y) in member axes.
        """
        first, second = {"right": (3, 0), "bottom": (0, 1), "left": (1, 2), "top": (2, 3)}[side]
        near, far = self.corners
        return np.stack([near[first], near[second], far[second], far[first]])

    def with_ends(self, end_a: Plane | None = None, end_b: Plane | None = None) -> Member:
        """The same tube with one or both end planes changed."""
        return replace(self, end_a=end_a or self.end_a, end_b=end_b or self.end_b)

    def moved(self, matrix: Array, offset: Vector = (0.0, 0.0, 0.0)) -> Member:
        """The piece carried by a rotation `matrix` `(3, 3)` and then `offset` `(3,)` mm."""
        turn, step = np.asarray(matrix, dtype=np.float64), vector(offset)
        a, b = turn @ self.a + step, turn @ self.b + step
        ends = (
            Plane.through(turn @ (end.normal * end.offset) + step, turn @ end.normal)
            for end in (self.end_a, self.end_b)
        )
        found = Member.along(self.name, self.section, a, b, turn @ self.frame.z, *ends)
        return replace(found, holes=self.holes) if self.holes else found

    def mirrored(self, name: str) -> Member:
        """The piece on the other side of the boat's middle plane y = 0.

        Ends A and B change places, since that keeps the section's own outline whatever its shape.
        """
        flip = np.array([1.0, -1.0, 1.0])
        end_b, end_a = (Plane(end.normal * flip, end.offset) for end in (self.end_a, self.end_b))
        found = Member.along(
            name, self.section, self.b * flip, self.a * flip, self.frame.z * flip, end_a, end_b
        )
        if not self.holes:
            return found
        # seen in the mirror and from the other end, left stays left
        holes = tuple(replace(hole, along=self.span - hole.along) for hole in self.holes)
        return replace(found, holes=holes)


def by_section(members: Sequence[Member]) -> dict[int, list[int]]:
    """Places in `members` of the pieces of each section, keyed by the section's identity."""
    found: dict[int, list[int]] = {}
    for place, member in enumerate(members):
        found.setdefault(id(member.section), []).append(place)
    return found
