"""Planes and coordinate frames in the boat: x forward, y to port, z up; millimetres."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

Array: TypeAlias = npt.NDArray[np.float64]
Vector: TypeAlias = "Array | tuple[float, float, float] | list[float]"

UP = np.array([0.0, 0.0, 1.0])
FORWARD = np.array([1.0, 0.0, 0.0])
PORT = np.array([0.0, 1.0, 0.0])


def vector(value: Vector) -> Array:
    """A `(3,) float` copy of three numbers."""
    return np.array(value, dtype=np.float64)


def cross(a: Array, b: Array) -> Array:
    """The cross product of two `(3,)` vectors; of single ones ten times faster than numpy's."""
    (ax, ay, az), (bx, by, bz) = a.tolist(), b.tolist()
    return np.array((ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx))


def unit(value: Vector) -> Array:
    """The unit vector along `value`.

    Raises:
        ValueError: the vector has no length.
    """
    found = vector(value)
    length = float(np.sqrt(found @ found))
    if length < 1e-12:
        raise ValueError("a direction needs a length; this vector is zero")
    return found / length


@dataclass(frozen=True, eq=False, slots=True)
class Plane:
    """The plane `normal . p = offset`; `normal` is a unit `(3,) float`, `offset` in mm.

    As the end of a member the normal points out of the metal.
    """

    normal: Array
    offset: float

    @classmethod
    def through(cls, point: Vector, normal: Vector) -> Plane:
        """The plane through `point` square to `normal` (of any length but zero)."""
        n = unit(normal)
        return cls(n, float(n @ vector(point)))

    def height(self, points: Array) -> Array:
        """Signed distance of `(..., 3)` points along the normal, mm, shape `(...)`."""
        found: Array = points @ self.normal - self.offset
        return found

    def moved(self, distance: float) -> Plane:
        """The parallel plane `distance` mm along the normal."""
        return Plane(self.normal, self.offset + distance)

    def flipped(self) -> Plane:
        """The same plane seen from its other side."""
        return Plane(-self.normal, -self.offset)


@dataclass(frozen=True, eq=False, slots=True)
class Frame:
    """A right-handed frame: `origin` and unit axes `x`, `y`, `z`, each `(3,) float` in the boat."""

    origin: Array
    x: Array
    y: Array
    z: Array

    @classmethod
    def make(cls, origin: Vector, x: Vector, z: Vector) -> Frame:
        """A frame whose x is along `x` and whose z is `z` made square to it."""
        ex = unit(x)
        wanted = vector(z)
        ez = unit(wanted - (wanted @ ex) * ex)
        return cls(vector(origin), ex, cross(ez, ex), ez)

    @classmethod
    def level(cls, z: float, x: float = 0.0, y: float = 0.0) -> Frame:
        """A frame parallel to the boat's, at height `z`."""
        return cls(np.array([x, y, z]), FORWARD.copy(), PORT.copy(), UP.copy())

    @property
    def axes(self) -> Array:
        """Rows x, y, z: `axes @ v` turns a boat vector into this frame; `(3, 3) float`."""
        return np.array((self.x, self.y, self.z))

    @property
    def plane(self) -> Plane:
        """The plane z = 0 of this frame, normal along its z."""
        return Plane(self.z, float(self.z @ self.origin))

    def to_boat(self, points: Array) -> Array:
        """Points `(..., 2)` or `(..., 3)` of this frame in boat coordinates `(..., 3)`."""
        pts = np.asarray(points, dtype=np.float64)
        axes = self.axes[: pts.shape[-1]]
        found: Array = pts @ axes + self.origin
        return found

    def to_frame(self, points: Array) -> Array:
        """Boat points `(..., 3)` in this frame's coordinates `(..., 3)`."""
        found: Array = (np.asarray(points, dtype=np.float64) - self.origin) @ self.axes.T
        return found

    def moved(self, dx: float = 0.0, dy: float = 0.0, dz: float = 0.0) -> Frame:
        """The same axes with the origin moved along them."""
        return Frame(self.origin + dx * self.x + dy * self.y + dz * self.z, self.x, self.y, self.z)

    def turned(self, angle: float) -> Frame:
        """The frame turned about its own z, rad, from x towards y."""
        c, s = math.cos(angle), math.sin(angle)
        return Frame(self.origin, c * self.x + s * self.y, c * self.y - s * self.x, self.z)
