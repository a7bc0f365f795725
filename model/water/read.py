"""The `water:` entry of a boat file to numbers, and its names held against the boat."""

from __future__ import annotations

import math

from model.boatfile.numbers import Key, Numbers
from model.boatfile.water_schema import AttitudeEntry, DrainEntry, LimberEntry, WaterEntry
from model.water.names import WIDEST
from model.water.settings import BILGE, HULL, LIMBER, OVERBOARD, Attitude, Drain, Limber, WaterSettings

STEEPEST = math.radians(15.0)
"""A boat that lies steeper than this is not afloat as she should be."""


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
    if size > WIDEST:
        numbers.fault(
            (*path, "diameter"), f"{entry.diameter} is no drain but an opening", "give 80 mm at most"
        )
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
