"""The gas struts that a boat file asks for: chosen or as given, and whether they hold their lids."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from model.clearance.lids import HungLid, hung_lids
from model.clearance.strut import GRAVITY, HOLDS_FROM, SHUT_BY, StrutPlan, strut_plan
from model.clearance.words import length_told
from model.findings import Finding
from parts.amounts import format_force

if TYPE_CHECKING:
    from model.boat import Boat

NEAR = math.radians(1.0)
"""A lid that holds from this much later on is taken to hold."""


@dataclass(frozen=True, eq=False)
class StrutFound:
    """The struts of one lid; `plan` is None where none fit, `finding` what is wrong with them."""

    lid: HungLid
    plan: StrutPlan | None
    finding: Finding | None


@dataclass(frozen=True, eq=False)
class StrutReport:
    """The struts of a boat."""

    struts: tuple[StrutFound, ...]
    units: str

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Struts that do not fit, do not hold their lid, or push it open."""
        return tuple(one.finding for one in self.struts if one.finding is not None)

    def summary(self) -> tuple[str, ...]:
        """A line for each lid on struts."""
        return tuple(_line(one, self.units) for one in self.struts)


def check_struts(boat: Boat) -> StrutReport:
    """The struts of every lid that is to have some."""
    found = [_found(lid, boat) for lid in hung_lids(boat) if lid.plan.way.strut is not None]
    return StrutReport(tuple(found), boat.units)


def _found(lid: HungLid, boat: Boat) -> StrutFound:
    asked = lid.plan.way.strut
    assert asked is not None
    plan = strut_plan(lid, asked)
    told = _none_fits(lid) if plan is None else _wrong(lid, plan, boat.units)
    if told is None:
        return StrutFound(lid, plan, None)
    what, cure, short = told
    place = boat.document.place(asked.path)
    where = lid.centre if plan is None else plan.on_lid
    return StrutFound(lid, plan, Finding("strut", (lid.name,), what, cure, where, place, short, "N"))


def _none_fits(lid: HungLid) -> tuple[str, str, None]:
    asked = lid.plan.way.strut
    assert asked is not None
    given = [key for key in ("stroke", "on_lid", "on_frame") if getattr(asked, key) is not None]
    what = "no gas strut fits between lid and frame, holds it open and lets it stay shut"
    if given:
        return what, f"leave out {' and '.join(f'`{key}`' for key in given)} to have them chosen", None
    return what, "hinge it on a longer way out, take more struts, or leave `strut` out", None


def _wrong(lid: HungLid, plan: StrutPlan, units: str) -> tuple[str, str, float] | None:
    """What is wrong with struts whose force was given, what would do, and by how much force it is out, N."""
    asked = lid.plan.way.strut
    assert asked is not None
    if asked.force is None:
        return None
    chosen = strut_plan(lid, replace(asked, force=None))
    do = (
        f"take struts of {format_force(chosen.force, units)}" if chosen else "take other eyes, or none at all"
    )
    out = abs(chosen.force - plan.force) if chosen else math.nan
    if plan.holds_from > min(HOLDS_FROM, lid.plan.opens) + NEAR:
        reach = f"only from {math.degrees(plan.holds_from):.0f} degrees up"
        held = "nowhere" if math.isinf(plan.holds_from) else reach
        return f"its struts of {format_force(plan.force, units)} hold it up {held}", do, out
    if plan.hand_closed < SHUT_BY * lid.mass * GRAVITY / 2.0:
        push = format_force(max(-plan.hand_closed, 0.0), units)
        return f"its struts of {format_force(plan.force, units)} push it open from shut, by {push}", do, out
    return None


def _line(one: StrutFound, units: str) -> str:
    plan = one.plan
    if plan is None:
        return f"{one.lid.name}: no gas strut fits"
    force, shut, opened = (format_force(v, units) for v in (plan.force, plan.hand_closed, plan.hand_open))
    count = f"{plan.count} struts" if plan.count > 1 else "1 strut"
    return (
        f"{one.lid.name}: {count} of {force}, stroke {length_told(plan.stroke, units)}; "
        f"{shut} at its edge lifts it, {opened} starts it to close"
    )
