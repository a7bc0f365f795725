"""The `strength:` entry of a boat file to numbers; every fault is noted at its line."""

from __future__ import annotations

import math

from model.boatfile.numbers import Key, Numbers
from model.boatfile.strength_schema import StrengthEntry
from model.layout.records import Layout
from model.strength.settings import StrengthSettings
from parts.amounts import parse_mass
from parts.faults import did_you_mean

_PLAIN = (
    "jump", "slam", "gear_density", "member_limit", "sheet_limit", "sheet_held", "ultimate_margin",
    "yield_margin", "sheet_welded",
)  # fmt: skip

HEAVIEST = 1000.0
"""A person or the gear of a locker above this, kg, is a slip of the pen."""


def read_strength(entry: StrengthEntry, numbers: Numbers, layout: Layout, *path: Key) -> StrengthSettings:
    """The settings of an entry that stands at `path`; faults are noted in `numbers`."""
    lockers = sorted({name for plan in layout.lockers.values() for name in (plan.base, plan.name)})
    for name in entry.gear:
        if name not in lockers:
            numbers.fault((*path, "gear", name), f"there is no locker '{name}'", did_you_mean(name, lockers))
    return StrengthSettings(
        person=_mass(entry.person, numbers, *path, "person"),
        foot=numbers.positive(entry.foot, *path, "foot"),
        most_sag=numbers.positive(entry.most_sag, *path, "most_sag"),
        bracket_span=numbers.positive(entry.bracket_span, *path, "bracket_span"),
        gear={name: _mass(mass, numbers, *path, "gear", name) for name, mass in entry.gear.items()},
        **{key: getattr(entry, key) for key in _PLAIN},
    )


def _mass(value: str | int | float, numbers: Numbers, *path: Key) -> float:
    """A mass above zero, kg; nan, with the fault noted, where it is none."""
    try:
        found = parse_mass(value)
    except ValueError as error:
        wrong, _, right = str(error).partition("; ")
        numbers.fault(path, wrong, right)
        return math.nan
    if found > HEAVIEST:
        numbers.fault(path, f"{value} is more than {HEAVIEST:.0f} kg", "give the mass of one, with its unit")
        return math.nan
    return found
