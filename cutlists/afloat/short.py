"""The numbers a builder asks for, on one leaf: each with its limit and where it comes from."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from cutlists.afloat.leaf import Leaf
from cutlists.afloat.measures import Measures
from model.capacity.float_report import FloatReport
from model.hydrostatics.afloat import CaseFound

if TYPE_CHECKING:
    from model.boat import Boat

Row = tuple[str, str, str, str]
HEAD = ("", "found", "limit", "from")
REST = "load cases at rest"


def short_leaf(boat: Boat, report: FloatReport) -> Leaf:
    """Everything in short."""
    measures = Measures(boat.units)
    rows = [*_weight_rows(report, measures), *_case_rows(boat, report, measures)]
    if report.rules.applies:
        rows += _rule_rows(boat, report, measures)
    if report.drive is not None:
        half = next(run for run in report.drive.runs if run.share == 0.5)
        kept = f"{100 * report.drive.drive.reserve:.0f} % kept back"
        rows.append(("electric drive at half thrust", f"{half.hours:.1f} h", "", f"an estimate, {kept}"))
    notes = ("The working of each stands in afloat.txt, every piece in weights.csv.",)
    return Leaf("In short", HEAD, tuple(rows), notes)


def _weight_rows(report: FloatReport, measures: Measures) -> Iterator[Row]:
    weights = report.weights
    yield "weight before the refit", measures.mass(weights.before.mass), "", f"hull {weights.how}"
    yield "weight with the refit", measures.mass(weights.after.mass), "", "pieces by solid and material"
    x, y, z = (float(v) for v in weights.after.centre)
    yield "its centre from the transom", measures.length(x), "", "nobody aboard"
    if abs(y) > 1.0:
        side = "port" if y > 0.0 else "starboard"
        yield f"its centre off to {side}", measures.length(abs(y)), "", "nobody aboard"
    yield "its centre above the baseline", measures.length(z), "", "nobody aboard"


def _case_rows(boat: Boat, report: FloatReport, measures: Measures) -> Iterator[Row]:
    lost = [one.case.name for one in report.cases if one.rest is None]
    for name in lost:
        yield f"case {name}", "no rest", "", REST
    found = [one for one in report.cases if one.rest is not None]
    if not found:
        return
    limits = boat.afloat.limits
    low = min(found, key=lambda one: one.freeboard)
    asked = f"at least {measures.length(limits.freeboard)}"
    yield "least freeboard", measures.length(low.freeboard), asked, low.case.name
    listed = max(found, key=_heel)
    yield "greatest heel", f"{np.degrees(_heel(listed)):.1f} deg", _most(limits.heel), listed.case.name
    first = found[0]
    moved = max(found, key=lambda one: abs(_trim(one) - _trim(first)))
    change = math.degrees(_trim(moved) - _trim(first))
    told = f"{abs(change):.1f} deg by the {'bow' if change < 0.0 else 'stern'}"
    yield "greatest change of trim", told, _most(limits.trim), moved.case.name
    tender = min(found, key=lambda one: one.rest.gm if one.rest else math.inf)
    height = tender.rest.gm if tender.rest else 0.0
    yield "least GM", measures.length(height), "", tender.case.name
    flooded = [one for one in found if one.curve is not None and one.curve.flooding is not None]
    if flooded:
        wet = min(flooded, key=lambda one: one.curve.flooding or 0.0 if one.curve else 0.0)
        angle = wet.curve.flooding if wet.curve else None
        yield "water comes in from a heel of", f"{np.degrees(angle or 0.0):.0f} deg", "", wet.case.name


def _rule_rows(boat: Boat, report: FloatReport, measures: Measures) -> Iterator[Row]:
    rules, plate = report.rules, boat.afloat.plate
    weight = f"plate {measures.mass(plate.mass)}" if plate and plate.mass else ""
    yield "persons, motor and gear", measures.pounds(rules.after.weight), weight, "33 CFR 183.35"
    persons = f"plate {plate.persons}" if plate and plate.persons else ""
    shown = "by test" if rules.after.persons is None else f"{rules.after.persons}"
    tested = ", test asked for" if rules.after.needs_test else ""
    yield "persons", shown, persons, f"33 CFR 183.41{tested}"
    power = f"plate {plate.power:g} hp" if plate and plate.power else ""
    yield "outboard, at most", f"{rules.powering.power:g} hp", power, "33 CFR 183.53"
    yield "flotation foam needed", measures.cubic_feet(rules.flotation.total), "", "33 CFR 183 Subpart G"
    yield "room for foam under decks", measures.cubic_feet(rules.room), "", "the model"


def _heel(one: CaseFound) -> float:
    return abs(one.rest.heel) if one.rest is not None else 0.0


def _trim(one: CaseFound) -> float:
    return one.rest.trim if one.rest is not None else 0.0


def _most(radians: float) -> str:
    return f"at most {math.degrees(radians):g} deg"
