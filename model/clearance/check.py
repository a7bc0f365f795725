"""Everything that is asked of a boat's clearances, in one report."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from model.clearance.bodies import Body, boat_bodies
from model.clearance.exempt import check_exempt
from model.clearance.height_limits import HeightLimits
from model.clearance.heights import HeightFound, height_findings, heights
from model.clearance.report import ClearanceReport, clearance_findings
from model.clearance.settings import ClearanceSettings
from model.clearance.swing import LidSwing, lid_swings
from model.findings import Finding
from parts.faults import FaultList

if TYPE_CHECKING:
    from model.boat import Boat


@dataclass(frozen=True, eq=False)
class FitReport:
    """What was measured in a boat and what came of it.

    Attributes:
        clearances: every piece against every other.
        swings: every lid through its opening.
        heights: what a body meets.
        findings: all that is wrong, by harm: overlaps, lids that do not open, short gaps, heights.
    """

    clearances: ClearanceReport
    swings: tuple[LidSwing, ...]
    heights: tuple[HeightFound, ...]
    findings: tuple[Finding, ...]

    def summary(self) -> tuple[str, ...]:
        """What was checked, a line for each kind of check."""
        blocked = sum(s.finding is not None for s in self.swings)
        wrong = sum(h.wrong for h in self.heights)
        return (
            self.clearances.summary(),
            f"{_things(len(self.swings), 'lid')} opened: {_count(blocked, 'stopped')}",
            f"{_things(len(self.heights), 'height')} measured: {_count(wrong, 'outside limits')}",
        )


def check_fit(
    boat: Boat,
    settings: ClearanceSettings | None = None,
    limits: HeightLimits | None = None,
    more: Iterable[Body] = (),
    cures: bool = True,
) -> FitReport:
    """All clearances of a boat: pieces, lids and heights.

    Args:
        boat: the boat.
        settings: gaps asked for.
        limits: heights asked for.
        more: further bodies, such as runs of hose and wire.
        cures: whether other ways to open a lid that is stopped are tried.

    Raises:
        BadInput: a pair is let off by the name of a piece that is not there.
    """
    bodies = [*boat_bodies(boat), *more]
    report = clearance_findings(boat, _with_own(boat, settings, bodies), bodies=bodies)
    swings = tuple(lid_swings(boat, bodies, cures))
    found = tuple(heights(boat, limits, bodies))
    overlaps = [c.finding for c in report.clashes if c.nearness.shared is not None]
    short = [c.finding for c in report.clashes if c.nearness.shared is None]
    stopped = sorted((s for s in swings if s.finding), key=lambda s: s.clear_to / s.opens)
    told = [s.finding for s in stopped if s.finding is not None]
    return FitReport(report, swings, found, (*overlaps, *told, *short, *height_findings(found, boat)))


def _with_own(boat: Boat, settings: ClearanceSettings | None, bodies: Sequence[Body]) -> ClearanceSettings:
    """The settings with the pairs that the boat file lets off; names that are not there are refused."""
    asked, faults = settings or ClearanceSettings(), FaultList()
    names = [body.name for body in bodies]
    check_exempt(asked.exempt, names, faults, patterns=False)
    check_exempt(boat.exempt, names, faults)
    faults.raise_if_any()
    return replace(asked, exempt=(*asked.exempt, *boat.exempt))


def _things(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def _count(number: int, word: str) -> str:
    return f"none {word}" if number == 0 else f"{number} {word}"
