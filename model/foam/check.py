"""The check of foam: blocks that fit, and whether they are as much as the flotation rule asks for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from model.capacity.boat_rules import RulesFound, boat_rules
from model.findings import Finding
from model.foam.plan import CUBIC_FOOT, FoamPlan, foam_plan
from model.foam.spread import Spread, spread_of
from model.hydrostatics.afloat import Floating
from model.insulation.plan import box_foam_volume
from model.mass.weigh import weigh
from parts.amounts import POUND, format_mass

if TYPE_CHECKING:
    from model.boat import Boat


@dataclass(frozen=True, eq=False)
class FoamReport:
    """Blocks of foam against what is asked.

    Attributes:
        units: of the boat.
        plan: the blocks; None where the boat file asks for none.
        boxes: foam in the walls of insulated boxes, mm3; it lifts as well.
        needed: by the flotation rule, mm3; None where the rule does not apply to her.
        machinery, persons: of it for motor and battery, and for persons and gear, mm3.
        spread: how much of the blocks lies where these belong.
        findings: what is wrong.
    """

    units: str
    plan: FoamPlan | None
    boxes: float
    needed: float | None
    findings: tuple[Finding, ...]
    machinery: float = 0.0
    persons: float = 0.0
    spread: Spread = field(default_factory=lambda: Spread(0.0, 0.0))

    @property
    def volume(self) -> float:
        """All foam, mm3."""
        return (self.plan.volume if self.plan else 0.0) + self.boxes

    @property
    def spare(self) -> float | None:
        """More than needed, mm3; below zero where it is short."""
        return None if self.needed is None else self.volume - self.needed

    def summary(self) -> tuple[str, ...]:
        """How many blocks, what they lift, and what is needed."""
        if self.plan is None:
            return ()
        count, lift = len(self.plan.blocks), format_mass(self.plan.lift, self.units)
        line = f"{count} blocks of foam fit: {volume_told(self.plan.volume, self.units)}, they lift {lift}"
        if self.boxes > 0.0:
            line += f"; {volume_told(self.boxes, self.units)} more in the walls of boxes"
        if self.needed is not None:
            line += f"; {volume_told(self.needed, self.units)} needed by the flotation rule"
        return (line,)


def volume_told(volume: float, units: str) -> str:
    """A volume of foam in cubic feet where the boat is in inches or feet, else in litres."""
    return f"{volume / CUBIC_FOOT:.2f} ft3" if units in ("in", "ft") else f"{volume * 1e-6:.0f} litres"


def check_foam(boat: Boat) -> FoamReport:
    """The report of a boat; an empty one where its file asks for no blocks."""
    plan = foam_plan(boat)
    if plan is None:
        return FoamReport(boat.units, None, 0.0, None, ())
    rules = boat_rules(boat, weigh(boat), Floating.of(boat))
    report = FoamReport(boat.units, plan, box_foam_volume(boat), None, (), spread=spread_of(boat, plan))
    if rules.applies:
        needed = needed_volume(rules, plan.settings.density)
        share = needed / rules.flotation.total if rules.flotation.total > 0.0 else 0.0
        parts = share * rules.flotation.machinery, share * rules.flotation.persons
        report = replace(report, needed=needed, machinery=parts[0], persons=parts[1])
    return replace(report, findings=tuple(_findings(report, plan)))


def needed_volume(rules: RulesFound, density: float) -> float:
    """What the rule asks for, mm3, in foam of a density: the lift that it was worked out to."""
    lift = rules.flotation.total * rules.lift * POUND
    from model.capacity.flotation import WATER

    per_foot = WATER * POUND - density * 1e-9 * CUBIC_FOOT
    return lift / per_foot * CUBIC_FOOT


def _findings(report: FoamReport, plan: FoamPlan) -> Iterator[Finding]:
    place = plan.settings.place
    short = report.spare
    if short is not None and short < 0.0:
        told = [volume_told(v, report.units) for v in (report.needed or 0.0, report.volume)]
        wrong = f"foam: {told[0]} are needed by the flotation rule and what fits is {told[1]}"
        cure = "thinner boards, a smaller `bilge` or `channel`, fewer decks in `leave`, or less weight"
        yield Finding("foam", (), wrong, cure, None, place, -short * 1e-6, "litre")
    if plan.near_fuel and not plan.settings.fuel_proof:
        names = ", ".join(plan.near_fuel)
        cure = "use foam that its maker tells to stand fuel and set `fuel_proof: true`, or `leave` that deck"
        yield Finding("foam", plan.near_fuel, f"foam lies under one deck with {names}", cure, None, place)
