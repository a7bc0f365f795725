"""Passages of the boat file: chases, tubes and holes with a grommet through which runs go."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from model.geometry import Array
from parts.faults import Place


@dataclass(frozen=True, eq=False)
class Passage:
    """A way made for runs.

    Attributes:
        name: `passage.bow`, and its hand where there are two.
        points: its middle line `(n, 3)`, mm, at least two.
        width, height: inside, mm; alike where it is round.
        round: whether it is a hole or tube.
        through: names of the pieces it goes through.
        place: where it was written.
    """

    name: str
    points: Array
    width: float
    height: float
    round: bool
    through: tuple[str, ...]
    place: Place | None = None

    @property
    def least(self) -> float:
        """The thickest run that goes through, mm."""
        return min(self.width, self.height)

    @property
    def area(self) -> float:
        """Of its opening, mm2."""
        return float(np.pi / 4.0 * self.width**2) if self.round else self.width * self.height
