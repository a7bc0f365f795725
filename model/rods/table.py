"""How long a rod may be as a named angle and a named dimension are moved within their limits."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from model.rods.longest import Lying, longest
from model.rods.names import Stowage, called
from model.rods.passing import Passing, passings
from model.rods.pieces import pieces
from model.rods.read import looked_for
from model.rods.rod import Pose, Rod
from model.rods.room import room_of
from model.rods.settings import RodTable
from parts.expressions import ExpressionError, evaluate
from parts.faults import BadInput
from parts.yamlfile import Document

if TYPE_CHECKING:
    from model.boat import Boat

Rebuild = Callable[[Document], "Boat"]
"""Builds the boat of a document; raises BadInput where that cannot be."""

Tell = Callable[[str], None]

ROUNDS = 2
"""How often the way in is looked at more finely: to a few millimetres."""

NEAR = 0.9
"""A rod is begun with so much of what lay in the boat before the change."""


@dataclass(frozen=True)
class RodCell:
    """A boat with the two moved.

    Attributes:
        angle: of the face, rad; None where no angle is moved.
        offset: the dimension, mm; None where none is.
        lies: the longest rod that lies in the locker, mm; None where none does.
        passes: the longest that is passed in, mm; None where none is or there is no opening.
        why: why the boat cannot be built so; empty where it can.
    """

    angle: float | None
    offset: float | None
    lies: float | None
    passes: float | None
    why: str = ""


@dataclass(frozen=True)
class RodLengths:
    """Rod lengths of one locker.

    Attributes:
        locker: as the file names it.
        angle, offset: names of what is moved; None where it is not.
        now: the boat as it is.
        cells: one for each pair of values, the offset changing faster.
    """

    locker: str
    angle: str | None
    offset: str | None
    now: RodCell
    cells: tuple[RodCell, ...]


def rod_lengths(
    boat: Boat, rebuild: Rebuild, steps: int | None = None, tell: Tell = lambda _: None
) -> tuple[RodLengths, ...]:
    """The table of each locker that is marked for rods; none where the boat file asks for no table.

    Args:
        boat: the boat as it is.
        rebuild: builds a boat from a document.
        steps: values of each; as the boat file says unless given.
        tell: hears how far it is.
    """
    if boat.rods is None or boat.rods.table is None:
        return ()
    table = boat.rods.table
    asked = replace(table, steps=steps or table.steps)
    lockers = [(name, place) for name in boat.rods.lockers for place in called(boat.layout, name)]
    sought = {place.told: looked_for(boat.rods.in_locker(name)) for name, place in lockers}
    now = {place.told: _measured(boat, place, sought[place.told], ()) for _, place in lockers}
    cells: dict[str, list[RodCell]] = {told: [] for told in sought}
    begin = {told: found.poses for told, found in now.items()}
    for angle, offset in _values(boat, asked):
        tell(f"rod lengths, {len(next(iter(cells.values()), [])) + 1} of {_count(asked)}")
        try:
            changed = rebuild(_moved(boat.document, asked, angle, offset))
        except BadInput as refused:
            for told in cells:
                cells[told].append(RodCell(angle, offset, None, None, refused.faults[0].wrong))
            continue
        for told, rod in sought.items():
            found = _found(changed, told, rod, begin[told])
            begin[told] = found.poses or begin[told]
            cells[told].append(RodCell(angle, offset, found.lies, found.passes))
    own = _own_values(boat, asked)
    return tuple(
        RodLengths(
            told, asked.angle, asked.offset, RodCell(*own, now[told].lies, now[told].passes), tuple(row)
        )
        for told, row in cells.items()
    )


@dataclass(frozen=True, eq=False)
class _Found:
    lying: Lying | None
    passing: Passing | None

    @property
    def lies(self) -> float | None:
        return None if self.lying is None else self.lying.length

    @property
    def passes(self) -> float | None:
        return None if self.passing is None else self.passing.length

    @property
    def poses(self) -> tuple[Pose, ...]:
        return () if self.lying is None else (self.lying.pose,)


def _found(boat: Boat, told: str, rod: Rod, begin: tuple[Pose, ...]) -> _Found:
    """What is found in the locker of a name, which a change may have done away with."""
    place = next(iter(called(boat.layout, told)), None)
    return _Found(None, None) if place is None else _measured(boat, place, rod, begin)


def _measured(boat: Boat, place: Stowage, rod: Rod, begin: tuple[Pose, ...]) -> _Found:
    """The longest that lies, begun anew and from where one lay before, and the longest passed in."""
    every = pieces(boat)
    room = room_of(place, boat, every)
    starts = [own for pose in begin for own in (pose.shortened(NEAR), pose.reversed(NEAR))]
    tried = [longest(room, rod, starts)] if starts else []
    tried.append(longest(room, rod))
    lying = max((own for own in tried if own), key=lambda own: own.length, default=None)
    ways = () if lying is None else passings(room, rod, lying, boat, every, ROUNDS)
    return _Found(lying, max(ways, key=lambda way: way.length, default=None))


def _count(table: RodTable) -> int:
    many = sum(name is not None for name in (table.angle, table.offset))
    return int(table.steps**many)


def _values(boat: Boat, table: RodTable) -> Iterator[tuple[float | None, float | None]]:
    """The pairs of values, evenly within the limits: rad and mm."""
    angles, offsets = _limits(boat, table)
    for angle in angles:
        for offset in offsets:
            yield angle, offset


def _limits(boat: Boat, table: RodTable) -> tuple[list[float | None], list[float | None]]:
    data = boat.document.data
    angles: list[float | None] = [None]
    offsets: list[float | None] = [None]
    if table.angle is not None:
        own = data["angles"][table.angle]
        angles = [math.radians(v) for v in np.linspace(own["least"], own["greatest"], table.steps)]
    if table.offset is not None:
        low, high = (_length(boat, data["dimensions"][table.offset][key]) for key in ("least", "greatest"))
        offsets = [float(v) for v in np.linspace(low, high, table.steps)]
    return angles, offsets


def _own_values(boat: Boat, table: RodTable) -> tuple[float | None, float | None]:
    """The two as the file has them."""
    data = boat.document.data
    angle = None if table.angle is None else math.radians(data["angles"][table.angle]["value"])
    offset = None if table.offset is None else _length(boat, data["dimensions"][table.offset]["value"])
    return angle, offset


def _length(boat: Boat, text: str | int | float) -> float:
    """A length of the file's `dimensions`, mm; nan where it cannot be worked out by itself."""
    from parts.expressions import resolve

    try:
        entries = boat.document.data.get("dimensions", {})
        names = resolve({k: v["value"] if isinstance(v, dict) else v for k, v in entries.items()}, boat.units)
        return evaluate(text, names, boat.units)
    except ExpressionError:
        return math.nan


def _moved(document: Document, table: RodTable, angle: float | None, offset: float | None) -> Document:
    """The document with the two set."""
    data: dict[str, Any] = dict(document.data)
    if table.angle is not None and angle is not None:
        data["angles"] = _set(data["angles"], table.angle, round(math.degrees(angle), 9))
    if table.offset is not None and offset is not None:
        data["dimensions"] = _set(data["dimensions"], table.offset, f"{offset:.6f} mm")
    return replace(document, data=data)


def _set(entries: dict[str, Any], name: str, value: float | str) -> dict[str, Any]:
    return {**entries, name: {**entries[name], "value": value}}
