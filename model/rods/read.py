"""The `rods:` entry of a boat file to numbers; every fault is noted at its line."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from model.boatfile.numbers import Key, Numbers
from model.boatfile.rods_schema import ReelEntry, RodEntry, RodsEntry, RodTableEntry
from model.boatfile.schema import AngleEntry, BoatFile, DimensionEntry
from model.layout.records import Layout
from model.rods.names import called, known_names
from model.rods.rod import Reel, Rod
from model.rods.settings import USUAL, ListedRod, RodSettings, RodTable
from parts.faults import did_you_mean
from parts.lengths import format_length

LEAST, MOST = 100.0, 12_000.0
"""Lengths of what may be called a rod, mm."""

THICKEST = 200.0
"""Most that a butt may measure across, mm."""


def read_rods(entry: RodsEntry, boat: BoatFile, numbers: Numbers, layout: Layout) -> RodSettings:
    """The settings of a file's `rods:`; faults are noted in `numbers`.

    Names are held against the layout only where nothing is wrong with it: what it lacks then is not there.
    """
    sound = not len(numbers.faults)
    lockers = tuple(dict.fromkeys(entry.lockers))
    rods = [_listed(name, own, lockers, numbers) for name, own in entry.kinds.items()]
    if not lockers and not entry.kinds:
        numbers.fault(("rods",), "neither lockers nor rods are named", "name the `lockers` that rods lie in")
    if entry.table is not None:
        _check_table(entry.table, boat, numbers)
    if sound:
        _check_names(entry, layout, numbers)
    found = tuple(rod for rod in rods if rod is not None)
    told = dict.fromkeys(name for own in found for name in [own.lies_in])
    table = entry.table
    return RodSettings(
        tuple(dict.fromkeys((*lockers, *told))),
        found,
        None if table is None else RodTable(table.angle, table.offset, table.steps),
    )


def _check_names(entry: RodsEntry, layout: Layout, numbers: Numbers) -> None:
    """Notes lockers that are not in the boat, and rods said to lie in two of them at once."""
    known = known_names(layout)
    for i, name in enumerate(entry.lockers):
        if not called(layout, name):
            wrong = f"there is no locker or opening called {name!r}"
            numbers.fault(("rods", "lockers", i), wrong, did_you_mean(name, known))
    for own, rod in entry.kinds.items():
        path = ("rods", "kinds", own, "lies_in")
        name = rod.lies_in or (entry.lockers[0] if len(entry.lockers) == 1 else "")
        places = called(layout, name)
        if len(places) > 1:
            right = f"write {' or '.join(place.told for place in places)}"
            numbers.fault(path, f"there are {len(places)} of {name!r}", right)
        elif rod.lies_in and not places and name not in entry.lockers:
            wrong = f"there is no locker or opening called {name!r}"
            numbers.fault(path, wrong, did_you_mean(name, known))


def _listed(name: str, entry: RodEntry, lockers: tuple[str, ...], numbers: Numbers) -> ListedRod | None:
    path = ("rods", "kinds", name)
    rod = _rod(name, entry, numbers, *path)
    lies_in = entry.lies_in or (lockers[0] if len(lockers) == 1 else None)
    if lies_in is None:
        right = f"write `lies_in:` {' or '.join(lockers) or 'and a locker'}"
        numbers.fault(path, "it is not said in which locker the rod lies", right)
    if rod is None or lies_in is None:
        return None
    return ListedRod(rod, entry.count, lies_in, numbers.document.place(path))


def _rod(name: str, entry: RodEntry, numbers: Numbers, *path: Key) -> Rod | None:
    before = len(numbers.faults)
    length, butt, tip = (numbers.positive(getattr(entry, k), *path, k) for k in ("length", "butt", "tip"))
    if length < LEAST or length > MOST:
        told = [format_length(v, numbers.units) for v in (length, LEAST, MOST)]
        numbers.fault((*path, "length"), f"a rod of {told[0]}", f"give {told[1]} to {told[2]}")
    if butt > THICKEST:
        most = format_length(THICKEST, numbers.units)
        numbers.fault(
            (*path, "butt"), "the butt is too thick for a rod", f"give its diameter, at most {most}"
        )
    if tip > butt:
        numbers.fault((*path, "tip"), "the tip is thicker than the butt", "exchange them")
    if butt + tip >= length:
        numbers.fault((*path, "butt"), "the rod is thicker than it is long", "check butt and length")
    reel = None if entry.reel is None else _reel(entry.reel, length, numbers, *path, "reel")
    return Rod(name, length, butt, tip, reel) if len(numbers.faults) == before else None


def _reel(entry: ReelEntry, length: float, numbers: Numbers, *path: Key) -> Reel:
    long, wide, high = (numbers.positive(getattr(entry, k), *path, k) for k in ("length", "width", "height"))
    away = numbers.not_negative(entry.from_butt, *path, "from_butt")
    text = format_length(length, numbers.units)
    if long > length:
        numbers.fault((*path, "length"), f"the reel is longer than its rod ({text})", "make it shorter")
    elif away + long > length:
        most = format_length(length - long, numbers.units)
        numbers.fault(
            (*path, "from_butt"), "the reel reaches past the tip", f"set it within {most} of the butt"
        )
    return Reel(long, wide, high, away)


def _check_table(table: RodTableEntry, entry: BoatFile, numbers: Numbers) -> None:
    """Notes a table over nothing, over names that the file does not have, or that have no limits."""
    if table.angle is None and table.offset is None:
        numbers.fault(("rods", "table"), "nothing is varied", "name an `angle`, an `offset`, or both")
    _check_varied("angle", table.angle, "angles", entry.angles, numbers)
    _check_varied("offset", table.offset, "dimensions", entry.dimensions, numbers)


def _check_varied(
    key: str, name: str | None, where: str, names: Mapping[str, object], numbers: Numbers
) -> None:
    if name is None:
        return
    path, own = ("rods", "table", key), names.get(name)
    if own is None:
        numbers.fault(path, f"there is no {name!r} in `{where}`", did_you_mean(name, list(names)))
    elif not isinstance(own, AngleEntry | DimensionEntry) or own.least is None or own.greatest is None:
        right = f"write {name}: {{value, least, greatest}}"
        numbers.fault(path, f"{name!r} has no limits to be moved within", right)


def looked_for(listed: tuple[ListedRod, ...]) -> Rod:
    """The rod whose greatest length is looked for: the thickest of the list with the largest reel of it.

    The usual one where there is no list. Whatever length is found, each rod of the list no longer lies there.
    """
    if not listed:
        return USUAL
    rods = [own.rod for own in listed]
    reels = [rod.reel for rod in rods if rod.reel is not None]
    reel = None
    if reels:
        near = min(r.from_butt for r in reels)
        far = max(r.from_butt + r.length for r in reels)
        reel = Reel(far - near, max(r.width for r in reels), max(r.height for r in reels), near)
    longest = max(rods, key=lambda rod: rod.length)
    return replace(longest, butt=max(r.butt for r in rods), tip=max(r.tip for r in rods), reel=reel)
