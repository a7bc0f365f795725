"""Weight, trim, safe loading, foam and drive of a boat in one report, with what is wrong with them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from model.capacity.boat_rules import RulesFound, boat_rules
from model.capacity.drive import DriveFound, drive_found
from model.capacity.loading import Loading
from model.clearance.words import length_told
from model.findings import Finding
from model.hydrostatics.afloat import CaseFound, Floating, all_cases, before_refit
from model.hydrostatics.limits import case_findings
from model.mass.doubts import weight_findings
from model.mass.weigh import Weights, weigh
from parts.amounts import POUND, format_mass

if TYPE_CHECKING:
    from model.boat import Boat


@dataclass(frozen=True, eq=False)
class FloatReport:
    """How heavy a boat is, how she floats, and what she may carry.

    Attributes:
        units: of the boat, for people.
        weights: by piece and group.
        before: as she floated before the refit, nobody aboard.
        cases: load cases afloat.
        rules: loading, powering and flotation by the rules.
        drive: the electric drive, where there is one.
        findings: all that is wrong.
    """

    units: str
    weights: Weights
    before: CaseFound
    cases: tuple[CaseFound, ...]
    rules: RulesFound
    drive: DriveFound | None
    findings: tuple[Finding, ...]

    def summary(self) -> tuple[str, ...]:
        """What was weighed and floated, a line each."""
        mass = format_mass(self.weights.after.mass, self.units)
        pieces = f"{len(self.weights.pieces)} pieces weighed"
        lines = [f"{pieces}: {mass} with nobody aboard, the hull {self.weights.how}"]
        afloat = [one for one in self.cases if one.rest is not None]
        if afloat:
            low = min(afloat, key=lambda one: one.freeboard)
            heel = max(abs(one.rest.heel) for one in afloat if one.rest is not None)
            free = f"least freeboard {length_told(low.freeboard, self.units)} in {low.case.name}"
            tilt = f"greatest heel {np.degrees(heel):.1f} degrees"
            lines.append(f"{len(self.cases)} load cases afloat: {free}, {tilt}")
        if self.rules.applies:
            most = format_mass(self.rules.after.weight * POUND, self.units)
            lines.append(f"safe loading worked out: {most} in all; the capacity plate in the boat stands")
        return tuple(lines)


def check_float(boat: Boat) -> FloatReport:
    """The report of a boat."""
    weights = weigh(boat)
    floating = Floating.of(boat)
    cases = all_cases(boat, weights, floating)
    rules = boat_rules(boat, weights, floating)
    drive = drive_found(boat, boat.afloat.drive) if boat.afloat.drive is not None else None
    findings = [
        *case_findings(boat.afloat, cases, boat.units),
        *_capacity_findings(boat, rules, cases),
        *weight_findings(boat, weights),
    ]
    if isinstance(drive, Finding):
        findings.append(drive)
        drive = None
    before = before_refit(boat, weights, floating)
    return FloatReport(boat.units, weights, before, cases, rules, drive, tuple(findings))


def _capacity_findings(boat: Boat, rules: RulesFound, cases: tuple[CaseFound, ...]) -> Iterator[Finding]:
    """Load cases, the motor and foam against the plate or the rules, whichever gives less."""
    if rules.applies:
        for one in cases:
            if one.case.place is not None:
                yield from _of_case(boat, rules, one)
        yield from _power(boat, rules)
    if boat.afloat.foam is not None and rules.room < rules.flotation.total:
        wrong = f"foam: {rules.flotation.total:.1f} ft3 are needed and there is room for {rules.room:.1f}"
        cure = "leave room free under a deck, or take weight off"
        yield Finding("capacity", (), wrong, cure, None, boat.afloat.place)


def _of_case(boat: Boat, rules: RulesFound, one: CaseFound) -> Iterator[Finding]:
    plate, after = boat.afloat.plate, rules.after
    carried = one.loaded.load.mass - rules.boat_mass
    most, by = after.weight * POUND, "the loading rule"
    if plate is not None and plate.mass is not None and plate.mass <= most:
        most, by = plate.mass, "the capacity plate"
    if carried > most:
        told, limit = (format_mass(mass, boat.units) for mass in (carried, most))
        wrong = f"case {one.case.name}: persons, motor and gear are {told}, more than the {limit} of {by}"
        yield Finding(
            "capacity", (), wrong, "leave something ashore", None, one.case.place, carried - most, "kg"
        )
    persons, by = _most_persons(boat, after)
    if persons is not None and one.loaded.persons > persons:
        wrong = f"case {one.case.name}: {one.loaded.persons} persons, more than the {persons} of {by}"
        yield Finding("capacity", (), wrong, "take fewer", None, one.case.place)


def _most_persons(boat: Boat, after: Loading) -> tuple[int | None, str]:
    plate = boat.afloat.plate
    ruled = after.persons
    if plate is not None and plate.persons is not None and (ruled is None or plate.persons <= ruled):
        return plate.persons, "the capacity plate"
    return ruled, "the loading rule"


def _power(boat: Boat, rules: RulesFound) -> Iterator[Finding]:
    outboard, plate = boat.afloat.outboard, boat.afloat.plate
    if outboard is None:
        return
    most, by = rules.powering.power, "the powering rule"
    if plate is not None and plate.power is not None and plate.power <= most:
        most, by = plate.power, "the capacity plate"
    if outboard.power > most:
        wrong = f"the outboard of {outboard.power:g} hp is more than the {most:g} hp of {by}"
        yield Finding("capacity", (), wrong, "use a smaller one", None, boat.afloat.place)
