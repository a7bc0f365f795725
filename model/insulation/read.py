"""The `boxes:` entry of a boat file to numbers; every fault is noted at its line."""

from __future__ import annotations

import math
from collections.abc import Mapping

from model.boatfile.boxes_schema import BoxEntry
from model.boatfile.numbers import Key, Numbers
from model.insulation.settings import FOAMS, BoxAsked
from model.layout.records import Layout
from parts.amounts import parse_mass, parse_temperature
from parts.faults import did_you_mean

LEAST, MOST = 0.01, 1.0
"""Conductivities of what may be called insulation, W/(m K)."""


def read_boxes(entries: Mapping[str, BoxEntry], numbers: Numbers, layout: Layout) -> tuple[BoxAsked, ...]:
    """What a file's `boxes:` asks, box by box."""
    known = {plan.base: plan for plan in layout.lockers.values()}
    known |= {plan.name.partition(".")[2]: plan for plan in layout.lockers.values()}
    sound = not len(numbers.faults)
    found = []
    for name, entry in entries.items():
        path: tuple[Key, ...] = ("boxes", name)
        plan = known.get(name)
        if plan is None and sound:
            boxes = [own for own, locker in known.items() if locker.kind == "box"]
            numbers.fault(path, f"there is no locker '{name}'", did_you_mean(name, boxes or list(known)))
        elif plan is not None and plan.kind != "box":
            numbers.fault(path, f"locker '{name}' is a {plan.kind}", "give it `kind: box` and `insulation`")
        elif plan is not None and (plan.floor is None or plan.open_sides):
            numbers.fault(path, f"box '{name}' is open", "give it a floor and walls on all sides")
        found.append(_asked(name, entry, numbers, *path))
    return tuple(found)


def _asked(name: str, entry: BoxEntry, numbers: Numbers, *path: Key) -> BoxAsked:
    foam = entry.foam
    conductivity = FOAMS[foam] if isinstance(foam, str) else float(foam)
    if not LEAST <= conductivity <= MOST:
        wrong = f"{conductivity:g} is no conductivity of foam"
        numbers.fault((*path, "foam"), wrong, f"give W/(m K), {LEAST:g} to {MOST:g}, or {', '.join(FOAMS)}")
    return BoxAsked(
        name,
        foam if isinstance(foam, str) else f"of {conductivity:g} W/(m K)",
        conductivity,
        numbers.not_negative(entry.lid, *path, "lid"),
        None if entry.top is None else numbers.not_negative(entry.top, *path, "top"),
        entry.gasket,
        entry.rim,
        numbers.not_negative(entry.tape, *path, "tape"),
        tuple(_mass(value, numbers, *path, "ice", k) for k, value in enumerate(entry.ice)),
        tuple(_degrees(value, numbers, *path, "outside", k) for k, value in enumerate(entry.outside)),
        numbers.document.place(path),
    )


def _mass(value: str | int | float, numbers: Numbers, *path: Key) -> float:
    try:
        return parse_mass(value)
    except ValueError as error:
        wrong, _, right = str(error).partition("; ")
        numbers.fault(path, wrong, right)
        return math.nan


def _degrees(value: str | int | float, numbers: Numbers, *path: Key) -> float:
    try:
        found = parse_temperature(value)
    except ValueError as error:
        wrong, _, right = str(error).partition("; ")
        numbers.fault(path, wrong, right)
        return math.nan
    if not 0.0 < found <= 60.0:
        numbers.fault(path, f"{value} is no temperature at which ice melts in a boat", "give 1 C to 60 C")
    return found
