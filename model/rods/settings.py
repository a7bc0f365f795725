"""Which rods lie in which locker; all lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass

from model.rods.rod import Reel, Rod
from parts.faults import Place

INCH = 25.4

USUAL = Rod("usual", 72 * INCH, 1.125 * INCH, 0.25 * INCH, Reel(4 * INCH, 3 * INCH, 3.5 * INCH, 6 * INCH))
"""The rod that is looked for where the file lists none: a casting rod with its reel (common practice)."""


@dataclass(frozen=True)
class ListedRod:
    """A rod of the file's list.

    Attributes:
        rod: its sizes.
        count: how many of them.
        lies_in: locker or `deck.opening` as the file names it.
        place: where the file tells of it.
    """

    rod: Rod
    count: int
    lies_in: str
    place: Place


@dataclass(frozen=True)
class RodTable:
    """What is moved to see how long a rod may be: a named angle, a named dimension, values of each."""

    angle: str | None
    offset: str | None
    steps: int


@dataclass(frozen=True)
class RodSettings:
    """The rods of a boat.

    Attributes:
        lockers: those marked for rods, as the file names them, each once.
        rods: the list.
        table: what is varied; None where no table is asked for.
    """

    lockers: tuple[str, ...]
    rods: tuple[ListedRod, ...]
    table: RodTable | None = None

    def in_locker(self, name: str) -> tuple[ListedRod, ...]:
        """The rods that are to lie in a locker, as the file names it."""
        return tuple(listed for listed in self.rods if listed.lies_in == name)
