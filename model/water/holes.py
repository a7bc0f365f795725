"""Holes of the boat as ways for water: drains, limber holes, holes of ribs and of drilled members, pumps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np

from model.geometry import Array
from model.water.columns import SKIN, Floors, Ints
from model.water.passages import OUT, Passage, holder_floor, pumps, skin_floor, through, through_ribs
from model.water.read import holder, holder_names
from model.water.settings import BILGE, HULL, OVERBOARD, Drain, Limber
from model.water.surfaces import Surface

if TYPE_CHECKING:
    from model.boat import Boat
    from model.panel import Panel


def holes(boat: Boat, floors: Floors, surfaces: Sequence[Surface]) -> Iterator[Passage]:
    """Every hole of a boat."""
    yield from through_ribs(boat, floors)
    yield from pumps(boat, floors)
    for drain in boat.water.drains:
        found = _drain(boat, floors, surfaces, drain)
        if found is not None:
            yield found
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


def _limber(boat: Boat, floors: Floors, limber: Limber) -> Passage | None:
    panel = next((p for p in boat.panels if p.name == limber.through), None)
    if panel is None:
        return None
    at = foot(panel, np.array(limber.at))
    out = panel.frame.z[:2]
    found = through(floors, at, out / np.hypot(*out))
    return None if found is None else Passage(*found, at, limber.name)


def foot(panel: Panel, near: Array) -> Array:
    """The lowest point of an upright panel's face above the place in plan nearest to `near`, `(3,)`."""
    frame = panel.frame
    up = 1 if abs(frame.y[2]) >= abs(frame.x[2]) else 0
    ring = panel.outline.polyline()
    low, high = ring[:, 1 - up].min(), ring[:, 1 - up].max()
    level = (frame.x, frame.y)[1 - up]
    along = float(np.clip((np.append(near, frame.origin[2]) - frame.origin) @ level, low + 0.01, high - 0.01))
    a0, a1 = ring[:, 1 - up], np.roll(ring[:, 1 - up], -1)
    u0, u1 = ring[:, up], np.roll(ring[:, up], -1)
    passed = (a0 <= along) != (a1 <= along)
    heights = u0[passed] + (along - a0[passed]) / (a1[passed] - a0[passed]) * (u1[passed] - u0[passed])
    sense = 1.0 if (frame.x, frame.y)[up][2] > 0 else -1.0
    lowest = heights.min() if sense > 0 else heights.max()
    place = np.zeros(2)
    place[1 - up], place[up] = along, lowest
    return frame.to_boat(place)
