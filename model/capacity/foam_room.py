"""Where flotation foam could go: room under the decks that nothing else fills."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
import shapely

from model.geometry import Array
from model.survey import SIDES

if TYPE_CHECKING:
    from model.boat import Boat
    from model.hull import Hull
    from model.layout.records import DeckPlan

CELL = 40.0
"""Side of a cell, mm."""
KEEL = 75.0
"""On each side of the keel nothing is put, so that water runs aft and the middle floods, mm."""
BILGE = 25.0
"""Kept free above the skin for water to run, mm."""
SIDE = 152.4
"""Within so much of the hull's side foam is outboard, mm: 6 in, by the handbook."""
AFT = 0.25
"""Part of the length from the transom that counts as aft, for the motor's share."""

Mask = npt.NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class FoamRoom:
    """Free room under one deck.

    Attributes:
        deck: its name.
        volume: mm3, before anything is taken off for what foam cannot be got into.
        centre: `(3,) float`, mm; nan for none.
        aft: of it high up in the after quarter, where the motor's foam belongs, mm3.
        sides: of it high up along the sides, where the persons' foam belongs, mm3.
    """

    deck: str
    volume: float
    centre: Array
    aft: float
    sides: float


def foam_rooms(boat: Boat, leave: tuple[str, ...] = ()) -> tuple[FoamRoom, ...]:
    """The free room under every deck that is not left out.

    What is taken off: lockers and wells, fixtures, whatever lies under an opening (it is stowage), other
    decks and what is below them, a strip along the keel, a little above the skin. Frames are not: they are
    in the part that foam is said to fill.
    """
    decks = [deck for deck in boat.layout.decks.values() if deck.name.startswith("deck.")]
    return tuple(_room(boat, deck, decks) for deck in decks if deck.name.removeprefix("deck.") not in leave)


def _room(boat: Boat, deck: DeckPlan, decks: list[DeckPlan]) -> FoamRoom:
    area = deck.plan_area()
    x0, y0, x1, y1 = area.bounds
    xs, ys = np.arange(x0 + CELL / 2, x1, CELL), np.arange(y0 + CELL / 2, y1, CELL)
    x, y = (grid.ravel() for grid in np.meshgrid(xs, ys, indexing="ij"))
    within = shapely.contains_xy(area, x, y) & (np.abs(y) > KEEL)
    within &= ~shapely.contains_xy(deck.taken_up, x, y)
    x, y = x[within], y[within]
    floor = boat.hull.bottom(x, y) + BILGE
    for other in decks:
        if other is not deck:
            floor = np.maximum(floor, _top_below(other, deck, x, y))
    kept = np.isfinite(floor)
    x, y, floor = x[kept], y[kept], floor[kept]
    roof = deck.frame.origin[2] + x * deck.frame.x[2] / deck.frame.x[0] - deck.sheet.thickness
    if not len(x) or float((roof - floor).max()) <= 0.0:
        return FoamRoom(deck.name, 0.0, np.full(3, np.nan), 0.0, 0.0)
    z = np.arange(float(floor.min()), float(roof.max()), CELL)
    part = np.clip((np.minimum(roof[:, None], z + CELL) - np.maximum(floor[:, None], z)) / CELL, 0.0, 1.0)
    middle = z + CELL / 2.0
    for taken in _taken(boat, x, y, middle):
        part[taken] = 0.0
    return _summed(boat, deck.name, x, y, middle, part * CELL**3)


def _top_below(other: DeckPlan, deck: DeckPlan, x: Array, y: Array) -> Array:
    """Top of another deck at places where it lies under this one, -inf elsewhere."""
    height = other.frame.origin[2] + x * other.frame.x[2] / other.frame.x[0]
    own = deck.frame.origin[2] + x * deck.frame.x[2] / deck.frame.x[0]
    under = shapely.contains_xy(other.plan_area(), x, y) & (height < own - 1.0)
    return np.where(under, height, -np.inf)


def _taken(boat: Boat, x: Array, y: Array, z: Array) -> Iterator[Mask]:
    """Cells `(columns, levels)` that a locker or a fixture fills."""
    for locker in boat.layout.lockers.values():
        low = -np.inf if locker.floor is None else locker.floor
        inside = shapely.contains_xy(locker.area, x, y)
        yield inside[:, None] & ((z > low) & (z < locker.top + CELL))
    for fixture in boat.fixtures:
        boxes = np.array([prism.box for prism in fixture.prisms])
        low, high = boxes[:, 0].min(axis=0), boxes[:, 1].max(axis=0)
        inside = (x > low[0]) & (x < high[0]) & (y > low[1]) & (y < high[1])
        yield inside[:, None] & ((z > low[2]) & (z < high[2]))


def _summed(boat: Boat, name: str, x: Array, y: Array, z: Array, volume: Array) -> FoamRoom:
    total = float(volume.sum())
    if total <= 0.0:
        return FoamRoom(name, 0.0, np.full(3, np.nan), 0.0, 0.0)
    centre = np.array([volume.sum(axis=1) @ x, volume.sum(axis=1) @ y, volume.sum(axis=0) @ z]) / total
    low, high = boat.hull.span
    upper = z > upper_half(boat.hull)
    aft = (x < low + AFT * (high - low))[:, None] & upper
    sides = _outboard(boat, x, y, z) & upper
    return FoamRoom(name, total, centre, float(volume[aft].sum()), float(volume[sides & ~aft].sum()))


def upper_half(hull: Hull) -> float:
    """Height half way from the lowest of the keel to the sheer amidships, mm; foam above counts as high."""
    low, high = hull.span
    bottom = float(np.nanmin(hull.line(hull.lines[0], np.linspace(low, high, 50))[:, 2]))
    sheer = float(hull.line(hull.lines[-1], (low + high) / 2.0)[2])
    return (bottom + sheer) / 2.0


def _outboard(boat: Boat, x: Array, y: Array, z: Array) -> Mask:
    """Cells within 6 in of the hull's side at their own height."""
    xs, at = np.unique(x, return_inverse=True)
    found = np.zeros((len(x), len(z)), dtype=np.bool_)
    for side in SIDES:
        own = (y >= 0.0) == (side == "port")
        reach = boat.hull.half_breadth(xs[:, None], z[None, :], side)[at[own]]
        found[own] = np.abs(y[own])[:, None] > reach - SIDE
    return found
