"""Catalogue entries to parts: text to millimetres and kilograms, with every fault told at its place."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import astuple, dataclass, replace
from functools import lru_cache
from itertools import pairwise
from typing import Any, TypeAlias, TypeVar

from pydantic import BaseModel

from parts.alloy import Alloy, Strength, Welded
from parts.amounts import parse_mass, parse_volume
from parts.catalogue_schema import (
    AlloyEntry,
    BatteryEntry,
    BoxEntry,
    ClearEntry,
    HoseEntry,
    LidEntry,
    PedestalEntry,
    PumpEntry,
    RoundEntry,
    SeatEntry,
    SectionEntry,
    SheetEntry,
    StrengthEntry,
    TankEntry,
    ThroughHullEntry,
    TrayEntry,
    ValveEntry,
)
from parts.faults import FaultList, Place, did_you_mean
from parts.fittings import (
    Battery,
    Box,
    Clear,
    Lid,
    Pedestal,
    Point,
    Seat,
    Tank,
    Tray,
)
from parts.lengths import parse_length
from parts.outline import Loop
from parts.plumbing import Drain, Hose, Pump, ThroughHull, Valve
from parts.section import Section
from parts.sections import angle, flat_bar, hat_channel, rect_tube, round_tube, square_tube
from parts.shape import Block
from parts.sheet import Sheet

Path: TypeAlias = tuple[str | int, ...]
Text: TypeAlias = str | int | float
T = TypeVar("T")

STOCK_SIZES = [(4 * 304.8, 8 * 304.8), (4 * 304.8, 10 * 304.8), (5 * 304.8, 10 * 304.8), (1250.0, 2500.0)]
"""Sheet sizes common in the trade, mm (common practice)."""


@dataclass
class EntryReader:
    """Turns the entries of one file to parts.

    Attributes:
        place: where a path of keys stands in the file.
        units: unit of bare numbers, a key of `parts.lengths.UNITS`.
        faults: gathers what is wrong.
        alloys: the alloys that entries may name.
    """

    place: Callable[[Path], Place]
    units: str
    faults: FaultList
    alloys: Mapping[str, Alloy]

    def fault(self, path: Path, wrong: str, right: str) -> None:
        """Notes a fault."""
        self.faults.add(self.place(path), wrong, right)

    def length(self, text: Text, path: Path, or_zero: bool = False) -> float:
        """A length in mm, above zero or, with `or_zero`, not below; nan once a fault is noted."""
        found = self.coordinate(text, path)
        if found < 0 or (found == 0 and not or_zero):
            least = "zero or more" if or_zero else "a length above zero"
            self.fault(path, f"'{text}' is {'below zero' if found < 0 else 'zero'}", f"give {least}")
            return math.nan
        return found

    def coordinate(self, text: Text, path: Path) -> float:
        """A length in mm that may be below zero; nan once a fault is noted."""
        try:
            return _length(text, self.units)
        except ValueError as error:
            self.fault(path, *_halves(error))
            return math.nan

    def lengths(self, entry: BaseModel, path: Path, *keys: str) -> dict[str, float]:
        """The lengths of an entry by key, mm; one whose default is 0 may be zero."""
        optional = type(entry).model_fields
        return {
            key: self.length(getattr(entry, key), (*path, key), or_zero=optional[key].default == 0)
            for key in keys
        }

    def amount(self, parse: Callable[[Text], float], text: Text, path: Path) -> float:
        """A mass in kg or a volume in litres; nan once a fault is noted."""
        try:
            return parse(text)
        except ValueError as error:
            self.fault(path, *_halves(error))
            return math.nan

    def alloy(self, name: str, path: Path) -> Alloy | None:
        """The alloy called `name`; None once a fault is noted."""
        found = self.alloys.get(name)
        if found is None:
            self.fault(path, f"no alloy is called '{name}'", did_you_mean(name, self.alloys))
        return found


@lru_cache(maxsize=4096, typed=True)
def _length(text: Text, units: str) -> float:
    """`parse_length`, remembered: a catalogue says `1/8 in` over and over."""
    return parse_length(text, units)


def _halves(error: ValueError) -> tuple[str, str]:
    """A message's two halves: what is wrong, what would be right."""
    wrong, _, right = str(error).partition("; ")
    return wrong, right


def alloy_of(name: str, entry: AlloyEntry) -> Alloy:
    """The alloy an entry tells of."""

    def strength(told: StrengthEntry) -> Strength:
        return Strength(told.value, told.source)

    welded = tuple(Welded(c, strength(w.ultimate), strength(w.yields)) for c, w in entry.welded.items())
    return Alloy(
        name, entry.product, entry.density, entry.e, entry.g,
        strength(entry.ultimate), strength(entry.yields), welded, dict(entry.sources),
    )  # fmt: skip


_SIZES: dict[str, tuple[tuple[str, ...], Callable[..., Section]]] = {
    "rect": (("width", "height", "wall"), rect_tube),
    "square": (("side", "wall"), square_tube),
    "round": (("diameter", "wall"), round_tube),
    "angle": (("width", "height", "wall"), angle),
    "flat": (("width", "thickness"), flat_bar),
    "hat": (("width", "height", "wall", "crown"), hat_channel),
}
_ROUNDED = ("rect", "square", "angle", "hat")


def section_of(name: str, entry: SectionEntry, path: Path, reader: EntryReader) -> Section | None:
    """The section an entry tells of; None once a fault is noted."""
    needed, make = _SIZES[entry.kind]
    allowed = (*needed, "radius") if entry.kind in _ROUNDED else needed
    sizes: dict[str, float] = {}
    whole = True
    for key in ("width", "height", "side", "diameter", "wall", "thickness", "crown", "radius"):
        text = getattr(entry, key)
        if text is not None and key not in allowed:
            takes = ", ".join(allowed)
            reader.fault((*path, key), f"a {entry.kind} section has no {key}", f"its sizes are {takes}")
            whole = False
        elif text is not None:
            sizes[key] = reader.length(text, (*path, key), or_zero=key == "radius")
        elif key in needed:
            reader.fault((*path, key), f"the {key} of a {entry.kind} section is missing", f"add `{key}: ...`")
            whole = False
    alloy = reader.alloy(entry.alloy, (*path, "alloy"))
    if alloy is None or not whole or any(math.isnan(size) for size in sizes.values()):
        return None
    section = _made(reader, path, lambda: make(name, alloy=alloy, **sizes))
    return replace(section, stock_name=entry.stock) if section and entry.stock else section


def sheet_of(name: str, entry: SheetEntry, path: Path, reader: EntryReader) -> Sheet | None:
    """The sheet an entry tells of; None once a fault is noted."""
    alloy = reader.alloy(entry.alloy, (*path, "alloy"))
    thickness = reader.length(entry.thickness, (*path, "thickness"))
    sizes = STOCK_SIZES
    if entry.sizes is not None:
        told = [
            [reader.length(x, (*path, "sizes", i, j)) for j, x in enumerate(s)]
            for i, s in enumerate(entry.sizes)
        ]
        sizes = [(width, length) for width, length in told]
    if alloy is None or math.isnan(thickness) or any(math.isnan(side) for size in sizes for side in size):
        return None
    return _made(reader, path, lambda: Sheet.make(name, thickness, alloy, sizes))


def lid_of(name: str, entry: LidEntry, path: Path, reader: EntryReader) -> Lid | None:
    """The lid an entry tells of; None once a fault is noted."""
    sizes = reader.lengths(
        entry, path, "length", "width", "radius", "tolerance", "flange", "depth", "clearance", "thickness",
        "flange_thickness",
    )  # fmt: skip
    sizes["above"] = sizes.pop("flange_thickness")
    return _fitted(reader, name, entry, path, Lid.make, sizes, latches=entry.latches, hinge=entry.hinge)


def tray_of(name: str, entry: TrayEntry, path: Path, reader: EntryReader) -> Tray | None:
    """The tray an entry tells of; None once a fault is noted."""
    sizes = reader.lengths(
        entry, path, "length", "width", "radius", "tolerance", "flange", "depth", "clearance", "thickness",
        "room_above",
    )  # fmt: skip
    return _fitted(reader, name, entry, path, Tray.make, sizes)


def seat_of(name: str, entry: SeatEntry, path: Path, reader: EntryReader) -> Seat | None:
    """The seat an entry tells of; None once a fault is noted."""
    keys = ("length", "width", "height", "back_height", "back_thickness", "radius", "pivot_aft")
    sizes = reader.lengths(entry, path, *keys)
    return _fitted(reader, name, entry, path, Seat.make, sizes, swivels=entry.swivels)


def pedestal_of(name: str, entry: PedestalEntry, path: Path, reader: EntryReader) -> Pedestal | None:
    """The pedestal an entry tells of; None once a fault is noted."""
    keys = ("foot", "foot_thickness", "column", "height", "head", "head_thickness", "socket", "socket_depth")
    return _fitted(reader, name, entry, path, Pedestal.make, reader.lengths(entry, path, *keys))


def tank_of(name: str, entry: TankEntry, path: Path, reader: EntryReader) -> Tank | None:
    """The tank an entry tells of; None once a fault is noted, such as a capacity beyond its outside."""
    capacity = reader.amount(parse_volume, entry.capacity, (*path, "capacity"))
    tank = _boxy(reader, name, entry, path, Tank, contents=entry.contents, capacity=capacity)
    if tank is not None and capacity > tank.volume * 1e-6:
        reader.fault(
            (*path, "capacity"),
            f"it holds more than its outside measures allow, {tank.volume * 1e-6:.1f} L",
            "see to the capacity or the sizes",
        )
        return None
    return tank


def battery_of(name: str, entry: BatteryEntry, path: Path, reader: EntryReader) -> Battery | None:
    """The battery an entry tells of; None once a fault is noted."""
    return _boxy(reader, name, entry, path, Battery, volts=entry.volts, amp_hours=entry.amp_hours)


def box_of(name: str, entry: BoxEntry, path: Path, reader: EntryReader) -> Box | None:
    """The box-shaped fitting an entry tells of; None once a fault is noted."""
    return _boxy(reader, name, entry, path, Box)


def pump_of(name: str, entry: PumpEntry, path: Path, reader: EntryReader) -> Pump | None:
    """The pump an entry tells of; None once a fault is noted."""
    flow = None if entry.flow is None else reader.amount(parse_volume, entry.flow, (*path, "flow"))
    curve = tuple(
        (reader.length(head, (*path, "curve", i, 0), or_zero=True),
         reader.amount(parse_volume, litres, (*path, "curve", i, 1)))
        for i, (head, litres) in enumerate(entry.curve)
    )  # fmt: skip
    if any(math.isnan(value) for point in curve for value in point):
        return None
    if len(curve) == 1 or any(b[0] <= a[0] or b[1] >= a[1] for a, b in pairwise(curve)):
        right = "give two points or more, the head growing and the flow falling from one to the next"
        reader.fault((*path, "curve"), "this is no curve of a pump", right)
        return None
    facts = {"flow": flow, "curve": curve, "self_priming": entry.self_priming}
    return _round(reader, name, entry, path, Pump, **facts)


def valve_of(name: str, entry: ValveEntry, path: Path, reader: EntryReader) -> Valve | None:
    """The valve an entry tells of; None once a fault is noted."""
    bore = None if entry.bore is None else reader.length(entry.bore, (*path, "bore"))
    return _round(reader, name, entry, path, Valve, bore=bore)


def through_hull_of(
    name: str, entry: ThroughHullEntry, path: Path, reader: EntryReader
) -> ThroughHull | None:
    """The skin fitting an entry tells of; None once a fault is noted."""
    bore = reader.length(entry.bore, (*path, "bore"))
    return _round(reader, name, entry, path, ThroughHull, bore=bore)


def hose_of(name: str, entry: HoseEntry, path: Path, reader: EntryReader) -> Hose | None:
    """The hose an entry tells of; None once a fault is noted."""
    sizes = reader.lengths(entry, path, "inside", "outside", "bend_radius", "roughness")
    if any(math.isnan(size) for size in sizes.values()):
        return None
    if sizes["outside"] <= sizes["inside"]:
        reader.fault((*path, "outside"), "it is no wider outside than inside", "give its outside diameter")
        return None
    return Hose(name, **sizes, note=entry.note or "")


def drain_of(name: str, entry: RoundEntry, path: Path, reader: EntryReader) -> Drain | None:
    """The drain an entry tells of; None once a fault is noted."""
    return _round(reader, name, entry, path, Drain)


def _round(
    reader: EntryReader, name: str, entry: RoundEntry, path: Path, kind: Callable[..., T], **facts: Any
) -> T | None:
    def make(diameter: float, height: float, clear: Clear, **rest: Any) -> T:
        around = clear.around(diameter, diameter, height)
        return kind(blocks=(Block.cylinder(diameter, 0.0, height),), keep_out=around, **rest)

    sizes = reader.lengths(entry, path, "diameter", "height")
    clear = _clear(reader, entry.clear, (*path, "clear"))
    return _fitted(reader, name, entry, path, make, sizes, clear=clear, **facts)


def _boxy(
    reader: EntryReader, name: str, entry: BoxEntry, path: Path, kind: Callable[..., T], **facts: Any
) -> T | None:
    def make(length: float, width: float, height: float, radius: float, clear: Clear, **rest: Any) -> T:
        block = Block(Loop.rectangle(length, width, radius), (), 0.0, height)
        return kind(blocks=(block,), keep_out=clear.around(length, width, height), **rest)

    sizes = reader.lengths(entry, path, "length", "width", "height", "radius")
    clear = _clear(reader, entry.clear, (*path, "clear"))
    return _fitted(reader, name, entry, path, make, sizes, clear=clear, **facts)


def _clear(reader: EntryReader, entry: ClearEntry, path: Path) -> Clear:
    return Clear(**reader.lengths(entry, path, "above", "forward", "aft", "port", "starboard"))


def _fitted(
    reader: EntryReader,
    name: str,
    entry: Any,
    path: Path,
    make: Callable[..., T],
    sizes: dict[str, float],
    **facts: Any,
) -> T | None:
    """The fitting made with its sizes, mass and further facts, if nothing about them was a fault."""
    mass = reader.amount(parse_mass, entry.mass, (*path, "mass"))
    alloy = getattr(entry, "alloy", None)
    known = alloy is None or reader.alloy(alloy, (*path, "alloy")) is not None
    numbers = [mass, *sizes.values()]
    for fact in facts.values():
        numbers.extend(
            astuple(fact) if isinstance(fact, Clear) else [fact] if isinstance(fact, float) else []
        )
    for key in ("service", "ports"):
        points = _points(reader, entry, path, key)
        numbers.extend(value for point in points.values() for value in point)
        if points:
            facts = {**facts, key: points}
    if not known or any(math.isnan(number) for number in numbers):
        return None
    return _made(reader, path, lambda: make(name=name, mass=mass, note=entry.note or "", **sizes, **facts))


def _points(reader: EntryReader, entry: Any, path: Path, key: str) -> dict[str, Point]:
    """Points on a part by name, mm; nan where a fault is noted."""
    found = {}
    for name, told in getattr(entry, key, {}).items():
        at = (*path, key, name)
        x, y, z = (reader.coordinate(text, (*at, i)) for i, text in enumerate(told))
        found[name] = (x, y, z)
    return found


def _made(reader: EntryReader, path: Path, make: Callable[[], T]) -> T | None:
    """What `make` gives; its refusal becomes a fault on the entry, without the name the place has anyway."""
    try:
        return make()
    except ValueError as error:
        wrong, right = _halves(error)
        reader.fault(path, wrong.removeprefix(f"{path[-1]}: "), right)
        return None
