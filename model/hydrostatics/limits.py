"""What of a load case is not as it should be: freeboard, heel, trim, holes through the skin under water."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np

from model.clearance.words import length_told
from model.findings import Finding
from model.hydrostatics.afloat import WEIGHTLESS, CaseFound
from model.hydrostatics.plan import AfloatPlan


def case_findings(plan: AfloatPlan, found: Iterable[CaseFound], units: str) -> Iterator[Finding]:
    """What of each case is outside its limits; of the usual cases only water over the side.

    Args:
        plan: with the limits.
        found: the cases, the one that trims are measured from first.
        units: of the boat, for words.
    """
    every = list(found)
    for one in every:
        yield from _of_case(one, plan, every[0], units)
    yield from _drain_findings(every, plan, units)


def _of_case(one: CaseFound, plan: AfloatPlan, empty: CaseFound, units: str) -> Iterator[Finding]:
    name, place, limits = one.case.name, one.case.place, plan.limits
    where, lowest = one.lowest
    if one.rest is None and one.why == WEIGHTLESS:
        return
    if one.rest is None:
        wrong = f"case {name}: {one.why}"
        yield Finding("float", (), wrong, "take load off, or set it lower", None, place)
        return
    if one.freeboard <= 0.0:
        wrong = f"case {name}: water comes in over {lowest} at rest"
        cure = "take load off, or move it to the middle"
        yield Finding("float", (), wrong, cure, where, place, -one.freeboard)
        return
    if place is None:
        return
    if one.freeboard < limits.freeboard:
        wrong = f"case {name}: freeboard is {length_told(one.freeboard, units)} at {lowest}"
        cure = "take load off, or move it away from there"
        yield Finding("float", (), wrong, cure, where, place, limits.freeboard - one.freeboard)
    heel = abs(one.rest.heel)
    if heel > limits.heel:
        side = "port" if one.rest.heel > 0.0 else "starboard"
        wrong = f"case {name}: she heels {np.degrees(heel):.1f} degrees to {side}"
        cure = "move load to the other side, or lower"
        yield Finding("float", (), wrong, cure, None, place, heel - limits.heel, "rad")
    if empty.rest is not None and one is not empty:
        trim = one.rest.trim - empty.rest.trim
        if abs(trim) > limits.trim:
            end, other = ("bow", "aft") if trim < 0.0 else ("stern", "forward")
            wrong = f"case {name}: she goes down by the {end} {np.degrees(abs(trim)):.1f} degrees"
            short = abs(trim) - limits.trim
            yield Finding("float", (), wrong, f"move load {other}", None, place, short, "rad")


def _drain_findings(every: list[CaseFound], plan: AfloatPlan, units: str) -> Iterator[Finding]:
    """A finding for each hole through the skin that is under water at rest, with the cases in which it is."""
    for name in next((one.drains for one in every if one.drains), {}):
        under = {one.case.name: -one.drains[name] for one in every if one.drains and one.drains[name] < 0.0}
        if under:
            worst = max(under, key=lambda key: under[key])
            depth = length_told(under[worst], units)
            cases = "case" if len(under) == 1 else f"{len(under)} cases, most in case"
            wrong = f"it lies {depth} under water at rest in {cases} {worst}"
            cure = "set it higher, or give it a valve"
            yield Finding("float", (name,), wrong, cure, None, plan.place, under[worst])
