"""Ways for water that neighbouring floors do not show: over the side, along the hull, round lids, holes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from model.geometry import Array
from model.water.columns import TIGHT, Floors, Ints
from model.water.skin_edges import gap_edges, is_sealed
from model.water.surfaces import Surface, Wall

if TYPE_CHECKING:
    from model.boat import Boat

OUT = -1
"""Stands for where water is gone."""

BESIDE = 3.5
"""An edge nearer than this, mm, to an upright that stands over it, is closed by it."""

LOOK = (1.0, 3.0, 6.0, 10.0, 15.0, 20.0, 28.0, 38.0, 50.0)
"""How far from a hole its two sides are looked for, mm, the nearest first."""

PUMP_LEAVES = 10.0
"""Depth of water that a bilge pump leaves, mm: common practice."""


@dataclass(frozen=True, eq=False)
class Passage:
    """A way from the floor `a` to `b`, or `OUT`, whose sill is at `at` `(3,)`; `name` of the hole."""

    a: int
    b: int
    at: Array
    name: str = ""


def over_the_side(boat: Boat, floors: Floors) -> tuple[Ints, Array]:
    """Floors beside the gunwale or an end, and the place of the sill over which they run out, `(k, 3)`."""
    n, m = floors.grid.shape
    count = (floors.first[1:] - floors.first[:-1]).reshape(n, m)
    there = np.pad(count > 0, 1)
    shut = there[:-2, 1:-1] & there[2:, 1:-1] & there[1:-1, :-2] & there[1:-1, 2:]
    edge = ((count > 0) & ~shut).ravel()
    own = np.flatnonzero(edge[floors.column])
    x, y = floors.x[own], floors.y[own]
    line = boat.hull.lines[-1]
    rim = np.where(y >= 0, boat.hull.line(line, x, "port")[:, 2], boat.hull.line(line, x, "starboard")[:, 2])
    sill = np.maximum(rim, floors.z[own])
    out = sill < floors.ceiling[own]
    return own[out], np.stack([x, y, sill], axis=1)[out]


def down(
    boat: Boat, floors: Floors, surfaces: Sequence[Surface], walls: Sequence[Wall], first: int
) -> tuple[Ints, Array]:
    """Floors from which water falls past an edge to the next floor below, and the places of the sills.

    Args:
        boat: for its skin.
        floors: of the boat.
        surfaces: in the order of the pieces of `floors` from `first` on.
        walls: of the boat.
        first: piece of the first surface.
    """
    uppers, places = [], []
    numbers = np.full(len(floors.first) - 1, -1, dtype=np.int64)
    by_piece = np.argsort(floors.piece, kind="stable")
    starts = np.searchsorted(floors.piece[by_piece], np.arange(len(floors.names) + 1))
    for i, surface in enumerate(surfaces):
        if surface.kind == "block":
            continue
        own = by_piece[starts[first + i] : starts[first + i + 1]]
        if not len(own):
            continue
        numbers[floors.column[own]] = own
        look = _round_lid if surface.hole is not None else _along_hull
        found, at = look(boat, floors, surface, walls, numbers)
        uppers.append(found)
        places.append(at)
        numbers[floors.column[own]] = -1
    upper, at = np.concatenate([np.zeros(0, np.int64), *uppers]), np.concatenate([np.zeros((0, 3)), *places])
    upper, kept = np.unique(upper, return_index=True)
    lower_there = floors.first[floors.column[upper]] < upper
    return upper[lower_there], at[kept][lower_there]


def _round_lid(
    boat: Boat, floors: Floors, lid: Surface, walls: Sequence[Wall], numbers: Ints
) -> tuple[Ints, Array]:
    """Floors of a lid along the edge of its opening: water passes at the height of the deck."""
    assert lid.hole is not None
    inside = np.zeros(floors.grid.shape, dtype=np.bool_).ravel()
    inside[floors.grid.within(lid.hole)] = True
    shape = np.pad(inside.reshape(floors.grid.shape), 1)
    all_round = shape[:-2, 1:-1] & shape[2:, 1:-1] & shape[1:-1, :-2] & shape[1:-1, 2:]
    rim = np.flatnonzero(inside & ~all_round.ravel() & (numbers >= 0))
    own = numbers[rim]
    at = np.stack([floors.x[own], floors.y[own], floors.z[own] - lid.seat], axis=1)
    return own, at


def _along_hull(
    boat: Boat, floors: Floors, surface: Surface, walls: Sequence[Wall], numbers: Ints
) -> tuple[Ints, Array]:
    """Floors of a sheet along edges that stand off the skin, with nothing upright on them."""
    if is_sealed(boat, surface.name):
        return np.zeros(0, np.int64), np.zeros((0, 3))
    at, inward = gap_edges(boat, surface)
    upright = [w.line for w in walls if _stands_over(w, at)]
    if upright and len(at):
        lines = shapely.union_all([shapely.LineString(line) for line in upright])
        free = shapely.distance(shapely.points(at[:, :2]), lines) > BESIDE
        at, inward = at[free], inward[free]
    found = np.full(len(at), -1, dtype=np.int64)
    for reach in (0.5, 6.0, 12.0, 18.0, 24.0):
        place = at[:, :2] + reach * inward
        column = floors.grid.column(place[:, 0], place[:, 1])
        found = np.where((found < 0) & (column >= 0), numbers[column], found)
    return found[found >= 0], at[found >= 0]


def _stands_over(wall: Wall, at: Array) -> bool:
    """Whether an upright covers the height just over an edge somewhere along it."""
    if not len(at):
        return False
    low, high = float(at[:, 2].min()), float(at[:, 2].max())
    return bool(wall.bottom.min() < high + 1.0 and wall.top.max() > low + 1.0)


def through_ribs(boat: Boat, floors: Floors) -> Iterator[Passage]:
    """The holes that ribs have of their own, at the skin."""
    for rib in boat.hull.ribs:
        for off in boat.water.rib_limbers:
            for y in dict.fromkeys((off, -off)):
                z = boat.hull.bottom(rib.x, y)
                at = np.array([rib.x, y, float(z)])
                found = through(floors, at, np.array([1.0, 0.0]), rib.width / 2.0)
                if np.isfinite(z) and found is not None:
                    yield Passage(*found, at, rib.name)


def through(floors: Floors, at: Array, way: Array, half: float = 0.0) -> tuple[int, int] | None:
    """The floors on both sides of a hole; None where it opens on nothing.

    Args:
        floors: of the boat.
        at: its middle in plan with the height of its lowest point, `(3,)`, mm.
        way: unit `(2,)` along the hole in plan.
        half: half its length, mm.
    """
    found = []
    for sense in (1.0, -1.0):
        one = _beside(floors, at, sense * way, half)
        if one is None:
            return None
        found.append(one)
    return found[0], found[1]


def _beside(floors: Floors, at: Array, way: Array, half: float) -> int | None:
    for reach in LOOK:
        place = at[:2] + (half + reach) * way
        column = int(floors.grid.column(place[:1], place[1:])[0])
        own = [f for f in floors.in_column(column) if floors.z[f] < at[2] + 2 * TIGHT < floors.ceiling[f]]
        if not own:
            continue
        centre = np.array([floors.x[own[-1]], floors.y[own[-1]]])
        if float((centre - at[:2]) @ way) > half:
            return own[-1]
    return None


def pumps(boat: Boat, floors: Floors) -> Iterator[Passage]:
    """Bilge pumps: they take the water out but for a little."""
    for fixture in boat.fixtures:
        if fixture.kind != "pump":
            continue
        x, y = fixture.frame.origin[:2].tolist()
        column = int(floors.grid.column(np.array([x]), np.array([y]))[0])
        own = [f for f in floors.in_column(column) if floors.z[f] <= fixture.frame.origin[2] + 25.0]
        if own:
            yield Passage(own[-1], OUT, np.array([x, y, floors.z[own[-1]] + PUMP_LEAVES]), fixture.name)


def skin_floor(floors: Floors, x: float, y: float) -> int | None:
    """The lowest floor over a place in plan."""
    column = int(floors.grid.column(np.array([x]), np.array([y]))[0])
    own = floors.in_column(column)
    return own[0] if len(own) else None


def holder_floor(floors: Floors, pieces: Ints, x: float, y: float) -> int | None:
    """The uppermost floor of some pieces over a place in plan."""
    column = int(floors.grid.column(np.array([x]), np.array([y]))[0])
    own = [f for f in floors.in_column(column) if floors.piece[f] in pieces]
    return own[-1] if own else None
