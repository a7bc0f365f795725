"""What a boat file says of water held against the boat: names that are nothing, drains that lead nowhere."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING

import shapely

from model.prism import Prism
from model.water.settings import BILGE, HULL, OVERBOARD, Drain
from parts.faults import FaultList, Place, did_you_mean
from parts.lengths import format_length
from parts.outline import Loop

if TYPE_CHECKING:
    from model.boat import Boat

GROUPS = ("locker", "deck", "seat", "console", "fixture", "bulkhead")
"""What may stand before the name of a thing that holds water."""

WIDEST = 80.0
"""Drains are no wider than this, mm."""

LEVEL = 0.2
"""Sheet whose normal rises less (sine) holds nothing."""


def check_water_names(boat: Boat) -> None:
    """Refuses what stands under `water:` and names nothing, or leads nowhere.

    Raises:
        BadInput: there is such.
    """
    water = boat.water
    if not (water.drains or water.limbers or water.sealed or water.let_stand):
        return
    faults = FaultList()
    sheets = [*(p.name for p in boat.panels), *(s.name for s in boat.strips)]
    holders = holder_names(boat)
    for drain in water.drains:
        _check_drain(boat, drain, holders, faults)
    upright = [p.name for p in boat.panels if abs(p.frame.z[2]) < LEVEL]
    for limber in water.limbers:
        if limber.through not in upright:
            place = _place(boat, "limbers", limber.name, "through")
            wrong = f"there is no upright sheet called '{limber.through}'"
            faults.add(place, wrong, did_you_mean(limber.through, upright))
    for key, known in (("sealed", [*sheets, *holders]), ("let_stand", holders)):
        for i, name in enumerate(getattr(water, key)):
            if holder(name, known) is None:
                place = boat.document.place(("water", key, i))
                faults.add(place, f"nothing is called '{name}'", _near(name, known))
    faults.raise_if_any()


def _place(boat: Boat, kind: str, name: str, key: str) -> Place:
    """Where a drain or a limber hole, or its twin on the other side, was written."""
    return boat.document.place(("water", kind, name.partition(".")[0], key))


def _check_drain(boat: Boat, drain: Drain, holders: list[str], faults: FaultList) -> None:
    """Notes a drain of nothing, off what it is of, or that leads nowhere."""
    known = True
    for key, name, also in (("of", drain.of, (HULL,)), ("to", drain.to, (BILGE, OVERBOARD))):
        if name not in also and holder(name, holders) is None:
            wrong = f"nothing is called '{name}'"
            faults.add(_place(boat, "drains", drain.name, key), wrong, _near(name, [*also, *holders]))
            known = False
    if not known or math.isnan(sum(drain.at)):
        return
    start = holder_height(boat, drain.of, drain.at)
    if start is None:
        wrong, right = f"there is no floor of '{drain.of}' at that place", "give a place on its floor"
        faults.add(_place(boat, "drains", drain.name, "at"), wrong, right)
    elif drain.to != OVERBOARD:
        end = holder_height(boat, HULL if drain.to == BILGE else drain.to, drain.at)
        if end is None or end > start - 1.0:
            wrong = f"it leads nowhere: '{drain.to}' does not lie below it there"
            right = "lead it to what lies below it, to the bilge, or overboard"
            faults.add(_place(boat, "drains", drain.name, "to"), wrong, right)
    if start is not None:
        _check_edges(boat, drain, faults)


def _check_edges(boat: Boat, drain: Drain, faults: FaultList) -> None:
    """Notes a drain that runs over the edge of sheet that it passes."""
    from model.water.cut_drains import LEAST_EDGE, edge_left, passed

    for i in passed(boat.panels, drain):
        panel = boat.panels[i]
        left = edge_left(panel, drain)
        if left < LEAST_EDGE:
            wrong = f"it is too near to the edge of {panel.name}"
            right = (
                f"move it {format_length(LEAST_EDGE - left, boat.units)} away from there, or make it smaller"
            )
            faults.add(_place(boat, "drains", drain.name, "at"), wrong, right)


def holder_height(boat: Boat, name: str, at: tuple[float, float]) -> float | None:
    """Height of the uppermost floor of what the file calls `name` over a place in plan; None without one."""
    if name == HULL:
        bottom = float(boat.hull.bottom(*at))
        return None if math.isnan(bottom) else bottom
    whole = holder(name, holder_names(boat))
    prisms = [p.prism for p in boat.panels if p.name.startswith(f"{whole}/")]
    prisms += [prism for f in boat.fixtures if f.name == whole for prism in f.prisms]
    found = [height for prism in prisms if (height := height_over(prism, at)) is not None]
    return max(found, default=None)


def is_drain(outline: Loop) -> bool:
    """Whether a hole in sheet is small enough to be a drain, which counts as floor; its way is told apart."""
    x0, y0, x1, y1 = outline.bounds
    return bool(max(x1 - x0, y1 - y0) <= WIDEST)


def height_over(prism: Prism, at: tuple[float, float]) -> float | None:
    """Height of the upper face of a level or sloping prism over a place in plan; None beside it."""
    frame = prism.frame
    up = float(frame.z[2])
    if abs(up) < LEVEL:
        return None
    rise = prism.z1 if up > 0.0 else prism.z0
    ox, oy, oz = frame.origin.tolist()
    (nx, ny, _), (ax, ay, az), (bx, by, bz) = frame.z.tolist(), frame.x.tolist(), frame.y.tolist()
    dx, dy = at[0] - ox - rise * nx, at[1] - oy - rise * ny
    dz = -(nx * dx + ny * dy) / up
    x, y = ax * dx + ay * dy + az * dz, bx * dx + by * dy + bz * dz
    z = oz + rise * up + dz
    if not _within(prism.outline, x, y):
        return None
    return None if any(_within(hole, x, y) for hole in prism.holes if not is_drain(hole)) else z


def _within(outline: Loop, x: float, y: float) -> bool:
    """Whether a place lies inside an outline; most lie outside its box, and plain floats are quick."""
    x0, y0, x1, y1 = outline.bounds
    if not (x0 <= x <= x1 and y0 <= y <= y1):
        return False
    return bool(shapely.contains_xy(shapely.Polygon(outline.polyline()), x, y))


def holder_names(boat: Boat) -> list[str]:
    """What can hold water, by name: decks, seat boxes, lockers, consoles, fixtures."""
    sheets = [*(p.name for p in boat.panels), *(s.name for s in boat.strips)]
    fixtures = [f.name for f in boat.fixtures if f.kind != "lid"]
    return list(dict.fromkeys([*(name.rpartition("/")[0] for name in sheets), *fixtures]))


def holder(name: str, known: Iterable[str]) -> str | None:
    """The whole name of what the file calls `name`, without its group or its only side; None if nothing."""
    names = set(known)
    plain = name.rpartition(".")[0] if name.endswith((".port", ".starboard")) else name
    for one in (name, plain):
        for whole in (one, *(f"{group}.{one}" for group in GROUPS)):
            if one and whole in names:
                return whole
    return None


def _near(name: str, known: Iterable[str]) -> str:
    return did_you_mean(name, [own.partition(".")[2] if own.startswith(GROUPS) else own for own in known])
