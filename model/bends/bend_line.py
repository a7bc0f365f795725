"""Where the flat pattern of a piece is bent: the middle of each bend, and how it is bent."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from model.geometry import Array
from parts.lengths import format_length

_LETTER = 0.62
"""Width of a letter as a share of its height, on the wide side."""


@dataclass(frozen=True, eq=False, slots=True)
class BendLine:
    """The middle of a bend on the flat pattern.

    Attributes:
        ends: its two ends on the flat pattern, `(2, 2) float`, mm.
        angle: turn from flat, rad.
        radius: inside, mm.
        up: whether it turns towards the face.
        step: when it is made, from 1, where the order matters; else 0.
    """

    ends: Array
    angle: float
    radius: float
    up: bool
    step: int = 0

    @property
    def length(self) -> float:
        """Of the bend, mm."""
        return float(np.hypot(*(self.ends[1] - self.ends[0])))

    def runs_along(self, axis: int) -> bool:
        """Whether it runs along x (0) or y (1) of the piece."""
        return bool(abs(self.ends[1, 1 - axis] - self.ends[0, 1 - axis]) < 1e-6 * self.length)

    def letters(self, count: int, most: float) -> float:
        """Height at which a line of `count` letters is no longer than the bend, `most` at most, mm."""
        return min(most, 0.9 * self.length / (_LETTER * count))

    def beside(self) -> tuple[Callable[[float], Array], float]:
        """Where lettering stands: the place so far beside its middle, and its turn in degrees.

        It stands on the side of the flat part and turns counter-clockwise from x, to be read from below or
        from the right.
        """
        x, y = ((self.ends[1] - self.ends[0]) / self.length).tolist()
        turn = math.degrees(math.atan2(y, x))
        middle, left = self.ends.mean(axis=0), np.array([-y, x])
        turn = turn if -90.0 + 1e-6 < turn <= 90.0 + 1e-6 else turn - math.copysign(180.0, turn)

        def place(off: float) -> Array:
            found: Array = middle + off * left
            return found

        return place, turn

    def words(self, units: str, denominator: int = 32) -> str:
        """What the brake is set by: `up 90 deg R 1/8"`."""
        way = "up" if self.up else "down"
        return f"{way} {math.degrees(self.angle):g} deg R {format_length(self.radius, units, denominator)}"

    def numbered(self, units: str, denominator: int = 32) -> str:
        """`words`, after its number where the order of bends matters: `bend 2 up 90 deg R 1/8"`."""
        told = self.words(units, denominator)
        return f"bend {self.step} {told}" if self.step else told
