"""Where a ball as thick as a box's least side can go: it guides the search, and proves that there is no way.

A box holds a ball about its middle as thick as its least side. Where this ball cannot go, the middle of the
box cannot be. A cell counts as open to it if the ball fits about any point of the cell, for all that the grid
can tell; so what is closed on the grid is closed in truth.
"""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt
from scipy.ndimage import binary_erosion, minimum_filter

from model.access.box import Swept, Triangles
from model.access.crossing import Gate
from model.access.obstacles import Surroundings, triangles_about
from model.access.room import CELL, Room, points_on
from model.geometry import Array

MARGIN = 100.0
"""So much is looked at about the places that a ball gets to, mm."""

WIDE_CELL = 40.0
"""Cells of a grid over the whole boat, mm."""


@dataclass(frozen=True, eq=False)
class Guide:
    """The room about a box for its ball.

    Attributes:
        rest: the box.
        room: what lies about it, with openings shut that were tried.
        shut_gates: those openings.
        triangles: what stands about the box.
        sure_only: whether it is to prove rather than to lead: then a thin box's ball may slip through sheet.
    """

    rest: Swept
    room: Room
    triangles: Triangles
    shut_gates: tuple[Gate, ...] = ()
    sure_only: bool = False

    @classmethod
    def about(cls, rest: Swept, triangles: Triangles, box: Array, cell: float = CELL) -> Guide:
        """The guide within a box `(2, 3)` among triangles."""
        points, _ = points_on(triangles)
        return cls(rest, Room.about(box, points, cell), triangles)

    def finer(self) -> Guide:
        """The same on cells of half the size, with the same openings shut."""
        made = Guide.about(self.rest, self.triangles, self._under_cover(), self.room.cell / 2.0)
        for gate in self.shut_gates:
            made = made.shut(gate)
        return made

    def _under_cover(self) -> Array:
        """The box `(2, 3)` of the places that the ball gets to under cover, with some room about them."""
        reached = np.argwhere(np.isfinite(self._reached) & ~self._sky)
        places = self.room.middles[tuple(reached.T)] if len(reached) else self.rest.centre[None]
        side = MARGIN + np.sqrt((self.rest.edges**2).sum())
        ends = [self.room.origin, self.room.middles[-1, -1, -1]]
        low, high = (
            np.maximum(places.min(axis=0) - side, ends[0]),
            np.minimum(places.max(axis=0) + side, ends[1]),
        )
        return np.stack([[low[0], low[1], ends[0][2]], [high[0], high[1], ends[1][2]]])

    @property
    def is_fine(self) -> bool:
        """Whether its cells are as small as they get."""
        return self.room.cell < CELL

    @property
    def radius(self) -> float:
        """Of the ball less what a cell may hide, mm; to lead a thin box, as much as passes no sheet."""
        thin = float(np.sqrt((self.rest.edges**2).sum(axis=1)).min())
        hidden = self.room.cell * math.sqrt(3.0) / 2.0
        sure = thin - hidden
        return sure if self.sure_only else max(sure, min(thin, hidden))

    def shut(self, gate: Gate) -> Guide:
        """The same with an opening shut."""
        return replace(
            self, room=self.room.closed(gate.above(self.room)), shut_gates=(*self.shut_gates, gate)
        )

    @cached_property
    def _sky(self) -> npt.NDArray[np.bool_]:
        """Places from which the ball can go straight up."""
        open_cells = self.room.free >= self.radius
        return np.flip(np.logical_and.accumulate(np.flip(open_cells, axis=2), axis=2), axis=2)

    @cached_property
    def _reached(self) -> Array:
        """How far the ball has to go to each place from where the box rests, mm."""
        start = self.room.flat(self.room.index(self.rest.centre))[None]
        return self.room.spread(start, np.zeros(1), self._needed, math.inf)

    @cached_property
    def lengths(self) -> Array:
        """How far each place is from where the ball can go straight up, mm; inf where it cannot get there."""
        sky = self._sky
        starts = self.room.flat(np.argwhere(sky))
        front = self.room.flat(
            np.argwhere(sky & ~binary_erosion(sky, np.ones((3, 3, 3), dtype=np.bool_), border_value=1))
        )
        return self.room.spread(starts, np.zeros(len(starts)), self._needed, math.inf, front)

    def _needed(self, length: Array) -> float:
        """How far from metal the ball's middle keeps, however far it has come, mm."""
        del length
        return self.radius

    @cached_property
    def _near_lengths(self) -> Array:
        """The least of each place and those beside it."""
        found: Array = minimum_filter(self.lengths, size=3, mode="nearest")
        return found

    def to_go(self, point: Array) -> float:
        """How far a box with its middle at a point has still to go, mm; inf where it cannot be."""
        index = np.floor((point - self.room.origin) / self.room.cell + 0.5).astype(int)
        if (index < 0).any() or (index >= np.array(self.room.shape)).any():
            return math.inf
        return float(self._near_lengths[tuple(index)])

    @property
    def _from_rest(self) -> float:
        """How far the ball has to go from where the box rests, mm; inf where it has no way."""
        return float(self.lengths[tuple(self.room.index(self.rest.centre))])

    def route(self) -> Array | None:
        """Places from the box's middle to open sky and up to the top of the room, `(n, 3)`; None if none."""
        if math.isinf(self._from_rest):
            return None
        way = self.room.back(self.lengths, self.room.index(self.rest.centre))
        top = way[-1].copy()
        top[2] = self.room.middles[0, 0, -1, 2]
        return np.vstack([self.rest.centre, way[1:], top])

    def is_closed(self, around: Surroundings, away: Collection[str]) -> bool:
        """Whether the ball stays in for certain: here or, if it gets to the edge here, in all the boat."""
        sure = replace(self, sure_only=True)
        if sure.radius <= 0.0 or not math.isinf(sure._from_rest):
            return False
        if not sure._gets_to_edge():
            return True
        solids, _ = around.solids((), {*away, *around.with_lids})
        boxes = np.array([solid.box for solid in solids])
        whole = np.stack([boxes[:, 0].min(axis=0) - 100.0, boxes[:, 1].max(axis=0) + 100.0])
        wide = replace(
            Guide.about(self.rest, triangles_about(solids, whole), whole, WIDE_CELL), sure_only=True
        )
        for gate in self.shut_gates:
            wide = wide.shut(gate)
        return wide.radius > 0.0 and math.isinf(wide._from_rest)

    def _gets_to_edge(self) -> bool:
        """Whether the ball gets from the box to a side of the room."""
        found = np.isfinite(self._reached)
        return bool(found[[0, -1]].any() or found[:, [0, -1]].any() or found[:, :, [0, -1]].any())
