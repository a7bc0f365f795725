"""Load cases to what the water carries: the boat's own masses, what comes aboard, what fills her wells."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from shapely import Polygon

from model.flat_arcs import polygon_of, polygons_of
from model.geometry import Array
from model.hydrostatics.load import Liquid, Load
from model.hydrostatics.plan import Case
from model.mass.lump import Lump, total
from model.mass.plan import Item
from parts.fittings import LITRE_MASS, Tank

if TYPE_CHECKING:
    from model.boat import Boat
    from model.panelling.fixtures import Fixture

FRESH_WATER = 1000.0
"""Of what is pumped into a well or livewell, kg/m3; salt water is 2.5 % heavier."""


@dataclass(frozen=True, eq=False)
class CaseLoad:
    """A load case with its masses.

    Attributes:
        case: what the file asks.
        load: all that the water carries.
        live: mass of what comes aboard with people, and of what fills wells, kg.
        persons: how many people.
    """

    case: Case
    load: Load
    live: float
    persons: int


def case_load(boat: Boat, lumps: Iterable[Lump], case: Case, loads: Iterable[Item]) -> CaseLoad:
    """What the water carries in a load case.

    Args:
        boat: the boat, for what its wells and tanks hold.
        lumps: everything that is always aboard.
        case: the load case.
        loads: everything that may come aboard.
    """
    own = [
        Lump(lump.name, lump.group, lump.mass, _placed(lump, case))
        for lump in lumps
        if not any(_means(name, lump.name) for name in case.without)
    ]
    aboard = [item for item in loads if item.lump.name in case.loads]
    coming = [replace(item.lump, centre=_placed(item.lump, case)) for item in aboard]
    liquids = list(_liquids(boat, case))
    fixed = total([*own, *coming])
    live = sum(lump.mass for lump in coming) + sum(liquid.mass for liquid in liquids)
    persons = sum(item.counts == "person" for item in aboard)
    return CaseLoad(case, Load.of(fixed.mass, fixed.centre, liquids), live, persons)


def _means(name: str, piece: str) -> bool:
    """Whether a name of the file means a piece: its own, that of its fixture, or of both sides."""
    short = piece.removeprefix("fixture.")
    return short == name or short.startswith(f"{name}.")


def _placed(lump: Lump, case: Case) -> Array:
    """Where a thing lies in a case."""
    for name, centre in case.moved.items():
        if _means(name, lump.name):
            return np.where(np.isnan(centre), lump.centre, centre)
    return lump.centre


def _liquids(boat: Boat, case: Case) -> Iterator[Liquid]:
    for name, filled in case.fills.items():
        if filled <= 0.0:
            continue
        for locker in boat.layout.lockers.values():
            if _means(name, locker.name.removeprefix("locker.")) and locker.floor is not None:
                # a box is filled inside its liner
                inside = polygons_of(locker.area.buffer(-locker.insulation, join_style="mitre"))
                floor = locker.floor + locker.insulation
                if inside and floor < locker.top:
                    area = max(inside, key=lambda part: part.area)
                    yield Liquid.filling(locker.name, area, floor, locker.top, filled, FRESH_WATER)
        for fixture in boat.fixtures:
            if isinstance(fixture.part, Tank) and _means(name, fixture.name):
                yield _in_tank(fixture, fixture.part, filled)


def _in_tank(fixture: Fixture, tank: Tank, filled: float) -> Liquid:
    """What is in a tank: its rated capacity, spread over the outline of its largest block."""
    prism = max(fixture.prisms, key=lambda own: own.volume)
    flat = polygon_of(prism.outline, prism.holes)
    area = Polygon(prism.frame.to_boat(np.asarray(flat.exterior.coords)[:, :2])[:, :2])
    floor, top = prism.box[:, 2].tolist()
    liquid = Liquid.filling(fixture.name, area, floor, top, filled, FRESH_WATER)
    return replace(liquid, mass=tank.capacity * filled * LITRE_MASS[tank.contents])
