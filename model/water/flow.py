"""The boat as a graph that water runs through, and how it fills when the boat lies one way or another."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from model.geometry import Array
from model.water.bent_sheet import bent_surfaces, bent_walls
from model.water.columns import SKIN, SPACING, Flags, Floors, Ints, floors_of, grid_of
from model.water.fill import Filled, fill
from model.water.holes import holes
from model.water.links import Links, beside
from model.water.passages import OUT, Passage, down, over_the_side
from model.water.settings import Attitude
from model.water.skin_edges import closed_surfaces, closed_walls
from model.water.surfaces import Surface, Wall, surfaces, walls

if TYPE_CHECKING:
    from model.boat import Boat

FILM = 0.3
"""Water less deep than this, mm, is only wet."""


@dataclass(frozen=True, eq=False)
class Flow:
    """Everything that water can rest on and every way it can go.

    Attributes:
        floors, links: of the columns.
        surfaces, walls: what they were made of.
        falls: upper floor and place of the sill of each way down past an edge.
        rims: floor and place of the sill of each way over the gunwale.
        passages: holes.
    """

    boat: Boat
    floors: Floors
    links: Links
    surfaces: Sequence[Surface]
    walls: Sequence[Wall]
    falls: tuple[Ints, Array]
    rims: tuple[Ints, Array]
    passages: tuple[Passage, ...]

    @cached_property
    def edges(self) -> tuple[Ints, Ints, Array]:
        """Both ends of every way and the place of its sill; the outlet is the node after the floors.

        The links between columns come first. Holes get a node each, so that no two links join the same nodes.
        """
        count, links = len(self.floors.z), self.links
        falls, rims = self.falls, self.rims
        spots = count + 1 + np.arange(len(self.passages))
        ends = np.array([(p.a, count if p.b == OUT else p.b) for p in self.passages]).reshape(-1, 2)
        at = np.array([p.at for p in self.passages]).reshape(-1, 3)
        a = [links.a[links.open], falls[0], rims[0], ends[:, 0], ends[:, 1]]
        b = [links.b[links.open], falls[0] - 1, np.full(len(rims[0]), count), spots, spots]
        places = [links.at[links.open], falls[1], rims[1], at, at]
        return np.concatenate(a).astype(np.int64), np.concatenate(b).astype(np.int64), np.concatenate(places)

    def filled(self, attitude: Attitude) -> Filling:
        """How it fills when the boat lies so."""
        a, b, at = self.edges
        count, floors = len(self.floors.z), self.floors
        sill = at @ attitude.up
        along = self.links.along[self.links.open]
        sill[: len(along)] -= np.abs(along @ attitude.up)
        found = fill(count + 1 + len(self.passages), a, b, sill, count)
        bed = np.stack([floors.x, floors.y, floors.z], axis=1) @ attitude.up
        lid = floors.ceiling * attitude.up[2] + bed - floors.z * attitude.up[2]
        level = np.minimum(found.level[:count], lid)
        return Filling(self, attitude, found, bed, level, sill)


@dataclass(frozen=True, eq=False)
class Filling:
    """The boat with all that she can hold, lying one way.

    Attributes:
        bed, level: true height of each floor and of the water over it, `(k,)`, mm; a floor that no water can
            reach has an endless level.
        sill: true height of each edge of the flow.
    """

    flow: Flow
    attitude: Attitude
    filled: Filled
    bed: Array
    level: Array
    sill: Array

    @cached_property
    def wet(self) -> Flags:
        """Floors on which water stands."""
        reached = np.isfinite(self.filled.level[: len(self.bed)])
        found: Flags = reached & (self.level - self.bed > FILM)
        return found

    @cached_property
    def held(self) -> Array:
        """Water over each floor, `(k,)`, mm3."""
        deep = np.where(self.wet, self.level - self.bed, 0.0) / float(self.attitude.up[2])
        return deep * self.flow.floors.area

    @cached_property
    def pools(self) -> Ints:
        """For each floor the number of the water that it lies under, -1 where it is dry."""
        a, b, _ = self.flow.edges
        count = len(self.bed)
        inner = (a < count) & (b < count)
        a, b, sill = a[inner], b[inner], self.sill[inner]
        joined = self.wet[a] & self.wet[b] & (sill < np.minimum(self.level[a], self.level[b]) + 1e-6)
        graph = coo_matrix((np.ones(int(joined.sum())), (a[joined], b[joined])), shape=(count, count))
        _, label = connected_components(graph, directed=False)
        return np.where(self.wet, label, -1).astype(np.int64)

    def caught(self) -> dict[int, float]:
        """Area in plan from which rain leaves by each last floor or hole, mm2, by node; -1: by none."""
        count = len(self.bed)
        gate = self.filled.gate[:count]
        keys, which = np.unique(gate, return_inverse=True)
        sums = np.bincount(which, weights=self.flow.floors.area)
        return dict(zip(keys.tolist(), sums.tolist(), strict=True))


def flow_of(boat: Boat, spacing: float = SPACING, more: Iterable[Passage] = ()) -> Flow:
    """The graph of a boat.

    Args:
        boat: with its drains in `boat.water`.
        spacing: greatest width of a column, mm.
        more: further ways.
    """
    own = closed_surfaces(boat, [*surfaces(boat), *bent_surfaces(boat)])
    upright = closed_walls(boat, [*walls(boat), *bent_walls(boat)])
    floors = floors_of(boat.hull, own, grid_of(boat.hull, own, upright, spacing))
    first = len(floors.names) - len(own)
    return Flow(
        boat,
        floors,
        beside(floors, upright),
        own,
        upright,
        down(boat, floors, own, upright, first),
        over_the_side(boat, floors),
        (*holes(boat, floors, own), *more),
    )


__all__ = ["FILM", "SKIN", "Filling", "Flow", "flow_of"]
