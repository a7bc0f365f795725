"""The `water:` entry of a boat file to numbers, and its names held against the boat."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING

from model.boatfile.numbers import Key, Numbers
from model.boatfile.water_schema import AttitudeEntry, DrainEntry, LimberEntry, WaterEntry
from model.water.settings import BILGE, HULL, LIMBER, OVERBOARD, Attitude, Drain, Limber, WaterSettings
from parts.faults import FaultList, did_you_mean

if TYPE_CHECKING:
    from model.boat import Boat

STEEPEST = math.radians(15.0)
"""A boat that lies steeper than this is not afloat as she should be."""

GROUPS = ("locker", "deck", "seat", "console", "fixture")
"""What may stand before the name of a thing that a drain is of."""


def read_water(entry: WaterEntry | None, numbers: Numbers, limber: float = LIMBER) -> WaterSettings:
    """The settings of a boat file; faults are noted in `numbers`.

    Args:
        entry: as read.
        numbers: of the file.
        limber: size of limber holes where the file gives none, mm.
    """
    if entry is None:
        return WaterSettings(limber=limber)
    lies = (_attitude("at rest", entry.at_rest, numbers, "at_rest"),
            _attitude("under way", entry.underway, numbers, "underway"))  # fmt: skip
    drains = [d for name, own in entry.drains.items() for d in _drains(name, own, numbers)]
    limbers = [d for name, own in entry.limbers.items() for d in _limbers(name, own, numbers)]
    ribs = [
        numbers.not_negative(value, "water", "rib_limbers", i) for i, value in enumerate(entry.rib_limbers)
    ]
    size = limber if entry.limber is None else numbers.positive(entry.limber, "water", "limber")
    return WaterSettings(
        attitudes=lies,
        drains=tuple(drains),
        limbers=tuple(limbers),
        rib_limbers=tuple(ribs),
        limber=size,
        drill=entry.drill,
        sealed=tuple(entry.sealed),
        let_stand=tuple(entry.let_stand),
        allow=entry.allow,
    )


def _attitude(name: str, entry: AttitudeEntry, numbers: Numbers, key: str) -> Attitude:
    found = []
    for part in ("trim", "heel"):
        angle = numbers.angle(getattr(entry, part), "water", key, part)
        if abs(angle) > STEEPEST:
            numbers.fault(
                ("water", key, part), f"{math.degrees(angle):g} degrees is no way to lie", "give 15 at most"
            )
        found.append(angle)
    return Attitude(name, *found)


def _drains(name: str, entry: DrainEntry, numbers: Numbers) -> list[Drain]:
    path: tuple[Key, ...] = ("water", "drains", name)
    x, y = numbers.point(entry.at, *path, "at").tolist()
    size = numbers.positive(entry.diameter, *path, "diameter")
    place = numbers.document.place(path)
    one = Drain(name, entry.of, (x, y), entry.to, size, place)
    if not entry.both_sides:
        return [one]
    hand, other = ("port", "starboard") if y > 0 else ("starboard", "port")
    return [
        Drain(f"{name}.{hand}", _sided(entry.of, hand), (x, y), _sided(entry.to, hand), size, place),
        Drain(f"{name}.{other}", _sided(entry.of, other), (x, -y), _sided(entry.to, other), size, place),
    ]


def _sided(name: str, hand: str) -> str:
    """The name with its side; what there is one of is found by its plain name still."""
    return name if name in (HULL, BILGE, OVERBOARD) else f"{name}.{hand}"


def _limbers(name: str, entry: LimberEntry, numbers: Numbers) -> list[Limber]:
    path: tuple[Key, ...] = ("water", "limbers", name)
    x, y = numbers.point(entry.at, *path, "at").tolist()
    size = None if entry.diameter is None else numbers.positive(entry.diameter, *path, "diameter")
    place = numbers.document.place(path)
    one = Limber(name, entry.through, (x, y), size, place)
    if not entry.both_sides:
        return [one]
    return [one, Limber(f"{name}.mirror", mirrored_name(entry.through), (x, -y), size, place)]


def mirrored_name(name: str) -> str:
    """The name with port and starboard exchanged."""
    return name.replace("port", "\0").replace("starboard", "port").replace("\0", "starboard")


def check_water_names(boat: Boat) -> None:
    """Refuses what stands under `water:` and names nothing, or leads nowhere.

    Raises:
        BadInput: there is such.
    """
    faults = FaultList()
    water = boat.water
    if not (water.drains or water.limbers or water.sealed or water.let_stand):
        return
    holders, sheets = holder_names(boat), [*(p.name for p in boat.panels), *(s.name for s in boat.strips)]
    for drain in water.drains:
        wanted = [("of", drain.of, [*holders, HULL]), ("to", drain.to, [*holders, BILGE, OVERBOARD])]
        for key, name, known in wanted:
            if holder(name, known) is None:
                path = ("water", "drains", drain.name.partition(".")[0], key)
                faults.add(boat.document.place(path), f"nothing is called '{name}'", _near(name, known))
    for limber in water.limbers:
        if limber.through not in sheets:
            path = ("water", "limbers", limber.name.partition(".")[0], "through")
            wrong = f"there is no sheet called '{limber.through}'"
            faults.add(boat.document.place(path), wrong, did_you_mean(limber.through, sheets))
    for key, known in (("sealed", sheets), ("let_stand", holders)):
        for i, name in enumerate(getattr(water, key)):
            if holder(name, known) is None and not any(s.startswith(f"{name}/") for s in known):
                place = boat.document.place(("water", key, i))
                faults.add(place, f"nothing is called '{name}'", _near(name, known))
    faults.raise_if_any()


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
