"""Openings of a boat that a line passes, and how they are shut on a grid."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
import shapely

from model.access.room import Room
from model.geometry import Array
from model.layout.records import DeckPlan, Opening

if TYPE_CHECKING:
    from model.boat import Boat


@dataclass(frozen=True, eq=False)
class Gate:
    """An opening in its deck."""

    deck: DeckPlan
    opening: Opening

    @property
    def name(self) -> str:
        """As `deck.front/hatch`."""
        return self.opening.name

    @property
    def lid(self) -> str | None:
        """The name of its lid."""
        return None if self.opening.lid is None else f"{self.opening.name}/lid"

    def passed(self, line: Array) -> bool:
        """Whether a line through points `(n, 3)` goes through it, up or down."""
        return any(self.crossed(line[k], line[k + 1]) is not None for k in range(len(line) - 1))

    def crossed(self, start: Array, end: Array) -> Array | None:
        """Where a straight line goes through it, `(3,)`; None where it does not."""
        local = self.deck.frame.to_frame(np.stack([start, end]))
        low, high = float(local[0, 2]), float(local[1, 2])
        if (low < 0.0) == (high < 0.0):
            return None
        share = low / (low - high)
        u, v = (local[0] + share * (local[1] - local[0]))[:2]
        if not shapely.contains_xy(self.opening.polygon, u, v):
            return None
        found: Array = start + share * (end - start)
        return found

    def distance(self, point: Array) -> float:
        """How far a point lies from it, straight, mm."""
        u, v, z = self.deck.frame.to_frame(point)
        return float(np.hypot(self.opening.polygon.distance(shapely.Point(u, v)), z))

    def above(self, room: Room) -> npt.NDArray[np.bool_]:
        """Cells of a room just over it: what is to be shut so that nothing comes through."""
        local = self.deck.frame.to_frame(room.middles)
        z = local[..., 2]
        found = (z > 0.0) & (z <= 1.8 * room.cell)
        over = np.argwhere(found)
        at = local[tuple(over.T)]
        wide = self.opening.polygon.buffer(room.cell)
        inside = shapely.contains_xy(wide, at[:, 0], at[:, 1])
        found[tuple(over[~inside].T)] = False
        return found


def gates(boat: Boat) -> Iterator[Gate]:
    """All openings of a boat's decks and seat boxes."""
    for deck in boat.layout.decks.values():
        for opening in deck.openings:
            yield Gate(deck, opening)
