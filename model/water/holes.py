"""Holes of the boat as ways for water: drains, limber holes, holes of ribs and of drilled members, pumps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np

from model.water.columns import SKIN, Floors, Ints
from model.water.names import holder, holder_names
from model.water.notch import foot
from model.water.passages import OUT, Passage, holder_floor, pumps, skin_floor, through, through_ribs
from model.water.settings import BILGE, HULL, OVERBOARD, Drain, Limber
from model.water.surfaces import Surface

if TYPE_CHECKING:
    from model.boat import Boat


def holes(boat: Boat, floors: Floors, surfaces: Sequence[Surface]) -> Iterator[Passage]:
    """Every hole of a boat."""
    yield from through_ribs(boat, floors)
    yield from pumps(boat, floors)
    for drain in boat.water.drains:
        found = _drain(boat, floors, surfaces, drain)
        if found is not None:
            yield found
    yield from _through_members(boat, floors)
    yield from _overflows(boat, floors, surfaces)
    for limber in boat.water.limbers:
        found = _limber(boat, floors, limber)
        if found is not None:
            yield found


def pieces_of(boat: Boat, floors: Floors, surfaces: Sequence[Surface], name: str) -> Ints:
    """The pieces, as `floors` counts them, that hold water for what the file calls `name`."""
    if name == HULL:
        return np.array([SKIN])
    whole = holder(name, holder_names(boat)) or name
    first = len(floors.names) - len(surfaces)
    own = [
        first + i
        for i, s in enumerate(surfaces)
        if s.kind in ("sheet", "tray") and (s.name == whole or s.name.startswith(f"{whole}/"))
    ]
    return np.array(own, dtype=np.int64)


def _drain(boat: Boat, floors: Floors, surfaces: Sequence[Surface], drain: Drain) -> Passage | None:
    """The drain as a way; None where it stands on nothing, which was refused when the file was read."""
    x, y = drain.at
    start = holder_floor(floors, pieces_of(boat, floors, surfaces, drain.of), x, y)
    if start is None:
        return None
    at = np.array([x, y, _height(boat, floors, surfaces, start, x, y)])
    if drain.to == OVERBOARD:
        return Passage(start, OUT, at, drain.name)
    if drain.to == BILGE:
        end = skin_floor(floors, x, y)
    else:
        end = holder_floor(floors, pieces_of(boat, floors, surfaces, drain.to), x, y)
    return None if end is None or end == start else Passage(start, end, at, drain.name)


def _height(boat: Boat, floors: Floors, surfaces: Sequence[Surface], floor: int, x: float, y: float) -> float:
    """The true height of a floor's piece at a place."""
    piece = int(floors.piece[floor])
    if piece == SKIN:
        return float(boat.hull.bottom(x, y))
    surface = surfaces[piece - (len(floors.names) - len(surfaces))]
    return float(surface.height(np.array(x), np.array(y)))


def _overflows(boat: Boat, floors: Floors, surfaces: Sequence[Surface]) -> Iterator[Passage]:
    """The overflow holes of wells, which lead overboard."""
    for locker in boat.layout.lockers.values():
        if locker.overflow is None:
            continue
        middle = locker.area.representative_point()
        start = holder_floor(floors, pieces_of(boat, floors, surfaces, locker.name), middle.x, middle.y)
        if start is not None:
            yield Passage(start, OUT, np.array([middle.x, middle.y, locker.overflow]), locker.name)


def _through_members(boat: Boat, floors: Floors) -> Iterator[Passage]:
    """The limber holes drilled in members."""
    for member in boat.members:
        for hole in member.holes:
            at, way = member.frame.to_boat(hole.middle), member.frame.axes.T @ hole.way
            level = float(np.hypot(*way[:2]))
            if level < 0.5:
                continue
            low = at - np.array([0.0, 0.0, hole.diameter / 2.0 * level])
            half = (member.section.width if hole.runs == "width" else member.section.height) / 2.0
            found = through(floors, low, way[:2] / level, half)
            if found is not None:
                yield Passage(*found, low, member.name)


def _limber(boat: Boat, floors: Floors, limber: Limber) -> Passage | None:
    panel = next((p for p in boat.panels if p.name == limber.through), None)
    if panel is None:
        return None
    at = foot(panel, np.array(limber.at))
    out = panel.frame.z[:2]
    found = through(floors, at, out / np.hypot(*out))
    if found is None:
        return None
    # the panel has its notch already: the foot it was cut from is told beside it; below, the notch is open
    half = (limber.diameter or boat.water.limber) / 2.0
    beside = (half + 1.0) * np.array([-out[1], out[0]]) / np.hypot(*out)
    lowest = min(float(foot(panel, at[:2] + side * beside)[2]) for side in (1.0, -1.0)) - half
    at[2] = max(lowest, *(float(floors.z[floor]) for floor in found))
    return Passage(*found, at, limber.name)
