"""How a lid moves: about a hinge, or straight along a way; and by how much any point of it moves at most."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from model.geometry import Array


class Motion(Protocol):
    """A motion by one number from 0 up to `limit`.

    Attributes:
        limit: where it ends, rad or mm.
    """

    @property
    def limit(self) -> float:
        """Where the motion ends."""
        ...

    def pose(self, at: float) -> tuple[Array, Array]:
        """Matrix `(3, 3)` and offset `(3,)` that carry a point from where the motion begins to `at`."""
        ...

    def reach(self, points: Array) -> Array:
        """The greatest way that points `(n, 3)` travel for one unit of the motion, `(n,) float`, mm."""
        ...


@dataclass(frozen=True, eq=False)
class Turn:
    """A turn about the line through `point` along unit `axis`, right-handed, up to `limit` rad."""

    point: Array
    axis: Array
    limit: float

    def pose(self, at: float) -> tuple[Array, Array]:
        """Rodrigues' rotation about the hinge line."""
        k = np.array(
            [
                [0.0, -self.axis[2], self.axis[1]],
                [self.axis[2], 0.0, -self.axis[0]],
                [-self.axis[1], self.axis[0], 0.0],
            ]
        )
        matrix = np.eye(3) + math.sin(at) * k + (1.0 - math.cos(at)) * (k @ k)
        return matrix, self.point - matrix @ self.point

    def reach(self, points: Array) -> Array:
        """Distance from the hinge line: an arc is never shorter than the straight way between its ends."""
        found: Array = np.sqrt((np.cross(points - self.point, self.axis) ** 2).sum(axis=1))
        return found


@dataclass(frozen=True, eq=False)
class Slide:
    """A straight move along unit `way`, up to `limit` mm: a lid lifted out, or one that slides."""

    way: Array
    limit: float

    def pose(self, at: float) -> tuple[Array, Array]:
        """The move."""
        return np.eye(3), at * self.way

    def reach(self, points: Array) -> Array:
        """1 for every point."""
        return np.ones(len(points))
