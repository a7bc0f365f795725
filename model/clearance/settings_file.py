"""The `clearances:` part of a shop file as settings; what cannot be is told with its line."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from typing import Any

from model.boatfile.clearance_schema import ClearanceEntry
from model.clearance.exempt import exemptions
from model.clearance.height_limits import HeightLimits
from model.clearance.settings import KINDS, USUAL, ClearanceSettings, GapRule
from parts.checked import Path
from parts.faults import FaultList, Place, did_you_mean
from parts.lengths import parse_length

NOTHING = "none"
"""What a limit of heights says to ask nothing."""


@dataclass(frozen=True)
class FitSettings:
    """What a shop asks of clearances and heights."""

    clearances: ClearanceSettings = field(default_factory=ClearanceSettings)
    heights: HeightLimits = field(default_factory=HeightLimits)


def fit_settings(
    entry: ClearanceEntry,
    units: str,
    place: Callable[[Path], Place],
    fitting_kinds: Iterable[str],
    faults: FaultList,
) -> FitSettings:
    """The settings of a shop file.

    Args:
        entry: as read.
        units: of bare numbers.
        place: where a path of keys below `clearances` stands in the file.
        fitting_kinds: kinds of fittings of the catalogue that a gap may name.
        faults: gathers unknown kinds, and lengths that are none or below zero.
    """
    reader = _Reader(units, place, faults)
    kinds = sorted({*KINDS, *fitting_kinds})
    rules = []
    for i, gap in enumerate(entry.gaps):
        for k, kind in enumerate(gap.between):
            if kind not in kinds:
                faults.add(
                    place(("gaps", i, "between", k)), f"unknown kind '{kind}'", did_you_mean(kind, kinds)
                )
        rules.append(GapRule(gap.between[0], gap.between[1], reader.length(gap.least, "gaps", i, "least")))
    exempt = exemptions(
        entry.exempt,
        lambda value, i: reader.length(value, "exempt", i, "least"),
        lambda i: place(("exempt", i, "between")),
    )
    slack = ClearanceSettings().slack
    if entry.weld_overlap is not None:
        slack = reader.length(entry.weld_overlap, "weld_overlap")
    wanted = ClearanceSettings(rules=(*USUAL, *rules), exempt=exempt, slack=slack)
    return FitSettings(wanted, _limits(entry, reader))


def _limits(entry: ClearanceEntry, reader: _Reader) -> HeightLimits:
    given: dict[str, float | None] = {}
    for key in type(entry.heights).model_fields:
        value = getattr(entry.heights, key)
        if value == NOTHING:
            given[key] = None
        elif value is not None:
            given[key] = reader.length(value, "heights", key)
    return replace(HeightLimits(), **given)


class _Reader:
    """Reads lengths, noting what is wrong."""

    def __init__(self, units: str, place: Callable[[Path], Place], faults: FaultList) -> None:
        self.units, self.place, self.faults = units, place, faults

    def length(self, value: Any, *path: str | int) -> float:
        """A length that is not below zero, mm; nan, with the fault noted, where it is none."""
        try:
            found = parse_length(value, self.units)
        except ValueError as error:
            wrong, _, right = str(error).partition("; ")
            self.faults.add(self.place(path), wrong, right)
            return math.nan
        if found < 0.0:
            self.faults.add(self.place(path), f"{value} is below zero", "give 0 or more")
        return found
