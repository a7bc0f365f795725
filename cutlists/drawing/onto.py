"""From the plane that is drawn, in mm of the boat, to paper, in mm with y down."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from model.geometry import Array
from parts.outline import Loop

SCALES = (1, 2, 4, 5, 8, 10, 12, 15, 16, 20, 24, 25, 30, 40, 50, 75, 100)
"""One to so many; the round ones of both rules (common practice)."""


@dataclass(frozen=True, eq=False, slots=True)
class Onto:
    """Drawn so that point `low` `(2,)` of the plane lies at `foot` `(2,)` on paper, one to `scale`."""

    low: Array
    foot: Array
    scale: float

    @classmethod
    def fit(cls, low: npt.ArrayLike, high: npt.ArrayLike, room: tuple[float, float, float, float]) -> Onto:
        """The least round scale at which low to high fits into the room (left, top, width, height), centred.

        What is too large even for the last of `SCALES` is drawn to an odd one.
        """
        least, most = np.asarray(low, dtype=np.float64), np.asarray(high, dtype=np.float64)
        left, top, width, height = room
        wide, tall = (most - least).tolist()
        asked = max(wide / width, tall / height, 1e-6)
        scale = next((float(s) for s in SCALES if s >= asked), asked)
        foot = np.array([left + (width - wide / scale) / 2, top + (height + tall / scale) / 2])
        return cls(least, foot, scale)

    def points(self, points: npt.ArrayLike) -> Array:
        """Points `(..., 2)` on paper."""
        found: Array = self.foot + (np.asarray(points, dtype=np.float64) - self.low) * (
            1.0 / self.scale,
            -1.0 / self.scale,
        )
        return found

    def x(self, u: float) -> float:
        """Across the paper."""
        return float(self.foot[0] + (u - self.low[0]) / self.scale)

    def y(self, v: float) -> float:
        """Down the paper."""
        return float(self.foot[1] - (v - self.low[1]) / self.scale)

    def loop(self, loop: Loop) -> Loop:
        """An outline on paper, arcs true."""
        size = 1.0 / self.scale
        return loop.transformed([[size, 0.0], [0.0, -size]], self.points((0.0, 0.0)))

    @property
    def words(self) -> str:
        """The scale in words."""
        return f"1 : {self.scale:.0f}" if self.scale in SCALES else "not to scale"
