"""The leaves of the sheet: weight, load cases, righting arms, safe loading, foam, drive."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from cutlists.afloat.leaf import Leaf
from cutlists.afloat.measures import Measures
from cutlists.afloat.rule_leaves import foam_leaf, loading_leaf
from cutlists.afloat.short import short_leaf
from model.capacity.drive import GRAVITY, PER_MASS, DriveFound
from model.capacity.float_report import FloatReport
from model.hydrostatics.afloat import FORWARD_STATION, CaseFound
from model.mass.lump import Total

if TYPE_CHECKING:
    from model.boat import Boat
    from model.hydrostatics.plan import Limits

CAUTIONS = (
    "This is not a survey and not approved engineering. It is arithmetic on a hull measured by hand; local "
    "codes and the judgement of those licensed to give it come first.",
    "The capacity plate in the boat stands, whatever is worked out here: never load past it. A refit that "
    "adds weight takes it off what may be carried.",
    "The rules were read in copies and summaries; those in force govern, and flotation is shown by a test in "
    "the water, not by a sum.",
    "Arms are for still water with nothing shifting. Wakes, wind, people who stand up and water on deck are "
    "not in them: stay well inside.",
)
ANGLES = (5, 10, 20, 30)
"""Degrees of heel at which arms are told."""


def leaves(boat: Boat, report: FloatReport) -> Iterator[Leaf]:
    """Every leaf that has something to tell."""
    measures = Measures(boat.units)
    yield short_leaf(boat, report)
    yield weight_leaf(report, measures)
    yield cases_leaf(report, boat.afloat.limits, measures)
    yield arms_leaf(report, measures)
    if report.rules.applies:
        yield loading_leaf(boat, report.rules, measures)
        yield foam_leaf(report.rules, measures)
    if report.drive is not None:
        yield drive_leaf(report.drive, report, measures)


def weight_leaf(report: FloatReport, measures: Measures) -> Leaf:
    """Masses and centres by group, before and after the refit."""
    weights = report.weights
    rows = [_weight_row("before the refit", weights.before, measures)]
    for name, found in weights.groups.items():
        rows.append(_weight_row(_SHOWN.get(name, name), found, measures))
    rows.append(_weight_row("the refit's own pieces", weights.refit, measures))
    rows.append(_weight_row("after the refit", weights.after, measures))
    notes = [
        f"Hull {weights.how}. Tanks and wells are empty; people, fuel and gear belong to the load cases.",
        "Pieces by solid and material, fittings by the catalogue; welds, rivets and paint are not counted.",
    ]
    if "mat" in weights.groups:
        notes.append("Mat by the area it lies on at 150 kg/m3, an assumption.")
    head = ("", "mass", "from transom", "to port", "up")
    return Leaf("Weight with nobody aboard", head, tuple(rows), tuple(notes))


_SHOWN = {"removed": "taken out", "aboard": "always aboard"}


def _weight_row(name: str, found: Total, measures: Measures) -> tuple[str, ...]:
    if not np.isfinite(found.centre).all():
        return name, measures.mass(found.mass), "", "", ""
    return (name, measures.mass(found.mass), *(measures.length(float(v)) for v in found.centre))


def cases_leaf(report: FloatReport, limits: Limits, measures: Measures) -> Leaf:
    """Each load case at rest."""
    rows = [_case_row(one, measures) for one in (report.before, *report.cases)]
    asked = (
        f"Asked at rest: freeboard {measures.length(limits.freeboard)} or more, heel {_whole(limits.heel)}"
        f" degrees or less, trim within {_whole(limits.trim)} degrees of the first case."
    )
    usual = all(one.case.place is None for one in report.cases)
    notes = [
        asked,
        "Trim is degrees bow up of the lines as surveyed, heel degrees to port (P) or starboard (S); free is"
        f" the least freeboard; drafts at the transom and at {100 * FORWARD_STATION:.0f} % of the length.",
        "Equilibrium on true volumes of the outside of the skin; GM with free surfaces taken off.",
    ]
    if usual:
        notes.append("The file names no load cases; these are the usual ones, persons at 185 lb (84 kg).")
    head = ("case", "mass", "trim", "heel", "draft aft", "forward", "free", "at stem", "GM")
    return Leaf("Afloat", head, tuple(rows), tuple(notes))


def _whole(radians: float) -> str:
    return f"{math.degrees(radians):g}"


def _case_row(one: CaseFound, measures: Measures) -> tuple[str, ...]:
    mass = measures.mass(one.loaded.load.mass)
    if one.rest is None:
        return one.case.name, mass, "no rest", "", "", "", "", "", ""
    heel = one.rest.heel
    side = "" if abs(heel) < 5e-4 else " P" if heel > 0.0 else " S"
    lengths = (one.draft_aft, one.draft_forward, one.freeboard, one.freeboard_forward, one.rest.gm)
    return (
        one.case.name,
        mass,
        measures.degrees(one.rest.trim),
        measures.degrees(abs(heel)) + side,
        *(measures.length(value) for value in lengths),
    )


def arms_leaf(report: FloatReport, measures: Measures) -> Leaf:
    """Righting arms of each case until water comes in."""
    rows = []
    for one in report.cases:
        curve = one.curve
        if curve is None:
            lowest = one.lowest[1].removeprefix("the ")
            rows.append((one.case.name, "", *("" for _ in ANGLES), "", "", "at rest", lowest))
            continue
        arms = [
            measures.length(float(np.interp(math.radians(a), curve.heels, curve.arms)))
            if curve.heels[0] <= math.radians(a) <= curve.heels[-1]
            else ""
            for a in ANGLES
        ]
        most, at = curve.greatest
        flooding = measures.degrees(curve.flooding) if curve.flooding is not None else "not by 80"
        rows.append(
            (
                one.case.name,
                curve.side,
                *arms,
                measures.length(most),
                measures.degrees(at),
                flooding,
                curve.floods_at.removeprefix("the "),
            )
        )
    head = ("case", "side", *(f"at {a}" for a in ANGLES), "greatest", "at", "floods", "over")
    notes = ("Righting arms in degrees of heel from upright, to the side she lists to or lies lower on.",)
    return Leaf("Righting arms", head, tuple(rows), notes)


def drive_leaf(found: DriveFound, report: FloatReport, measures: Measures) -> Leaf:
    """Thrust and how long a charge lasts."""
    drive = found.drive
    rows = tuple(
        (f"{100 * run.share:.0f} %", measures.force(run.thrust), f"{run.amps:.1f} A", f"{run.hours:.1f} h")
        for run in found.runs
    )
    heaviest = max(one.loaded.load.mass for one in report.cases)
    share = drive.thrust / (heaviest * GRAVITY)
    notes = (
        f"{found.series} in series, {found.strings} beside each other: {drive.volts:g} V,"
        f" {found.amp_hours:.0f} Ah, {measures.mass(found.mass)}; {100 * drive.reserve:.0f} % kept back.",
        f"Full thrust is {100 * share:.1f} % of the heaviest case's weight; {100 * PER_MASS:.0f} % is common"
        " practice.",
        "An estimate: draws between measured points, or by thrust to the power 1.5; capacity falls with the"
        " draw (Peukert), cold and age. Lead wears fast below half its charge.",
    )
    return Leaf("Electric drive", ("thrust", "force", "draw", "lasts"), rows, notes)
