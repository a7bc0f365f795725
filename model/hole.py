"""Holes drilled square through a tube: where they are, what they take away, how they turn with the piece."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from model.geometry import Array

if TYPE_CHECKING:
    from parts.section import Section

EDGE = 0.05
"""A hole ends this far within the flat of a wall at least, mm."""

SAME_PLACE = 0.05
"""Holes that lie no further apart than this are drilled at one setting, mm."""


@dataclass(frozen=True, slots=True)
class Hole:
    """A round hole through both walls of a tube.

    Attributes:
        along: place of its middle along the axis from the member's point a, mm.
        off: its middle from the axis, across the drill: up (local z) where it runs across the width, to the
            left (local y) where it runs across the height, mm.
        runs: "width" when drilled from side to side, "height" from top to bottom.
        diameter: mm.
    """

    along: float
    off: float
    runs: Literal["width", "height"]
    diameter: float

    @property
    def middle(self) -> Array:
        """Its middle in member axes, `(3,) float`."""
        across = (0.0, self.off) if self.runs == "width" else (self.off, 0.0)
        return np.array((self.along, *across))

    @property
    def way(self) -> Array:
        """Unit vector along the drill in member axes, `(3,) float`."""
        return np.array((0.0, 1.0, 0.0) if self.runs == "width" else (0.0, 0.0, 1.0))

    def volume(self, section: Section) -> float:
        """Metal taken out of both walls, mm3; it lies within the flats, which `fits` asks for."""
        return math.pi / 2.0 * self.diameter**2 * section.wall

    def fits(self, section: Section) -> bool:
        """Whether it lies wholly within the flats of two opposite walls of a hollow section."""
        face = section.height if self.runs == "width" else section.width
        flat = face / 2.0 - max(section.radius, section.wall)
        hollow = len(section.holes) == 1 and not section.is_round
        return hollow and abs(self.off) + self.diameter / 2.0 <= flat - EDGE


def told(holes: Sequence[Hole], middle: float) -> Array:
    """Holes as rows x, y, z, way y, way z, diameter; x from `middle` of the piece, `(k, 6) float`."""
    rows = [(h.along - middle, *h.middle[1:], *h.way[1:], h.diameter) for h in holes]
    return np.array(sorted(rows)).reshape(-1, 6)


def turned(rows: Array, turn: Array) -> Array:
    """The rows carried by a turn about the middle of the piece."""
    found = rows.copy()
    found[:, :3] = rows[:, :3] @ turn.T
    found[:, 3:5] = np.abs(rows[:, 3:5] @ turn[1:, 1:].T)
    return found


def same(rows: Array, other: Array) -> bool:
    """Whether two lists hold the same holes, in whatever order."""
    if len(rows) != len(other):
        return False
    if not len(rows):
        return True
    apart = np.abs(rows[:, None, :] - other[None, :, :]).max(axis=2) <= SAME_PLACE
    # holes of one piece lie further apart than the tolerance, so each has one partner at most
    return bool(apart.any(axis=1).all() and apart.any(axis=0).all())
