"""All checks of a boat run, and their findings as one list: by harm, none told twice."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from model.checks.asked import Asked
from model.checks.harm import by_harm, told_once
from model.checks.listed import CHECKS, Check, Report
from model.findings import Finding

if TYPE_CHECKING:
    from model.boat import Boat

Tell = Callable[[str], None]


@dataclass(frozen=True, eq=False)
class Checked:
    """What all checks of a boat came to.

    Attributes:
        reports: of each check by its name.
        findings: of the boat itself and of every check, the most harmful first, none twice.
        summary: what was looked at, a line for each kind of check.
    """

    reports: Mapping[str, Report]
    findings: tuple[Finding, ...]
    summary: tuple[str, ...]


def run_checks(
    boat: Boat,
    asked: Asked | None = None,
    tell: Tell = lambda _: None,
    checks: Sequence[Check] = CHECKS,
) -> Checked:
    """Runs every check.

    Args:
        boat: a finished boat.
        asked: what the shop asks; the usual unless given.
        tell: hears what is being done.
        checks: those to run.
    """
    wanted = asked or Asked()
    reports: dict[str, Report] = {}
    for check in checks:
        tell(check.doing)
        reports[check.name] = check.run(boat, wanted)
    found = [*boat.findings, *(f for report in reports.values() for f in report.findings)]
    placed = [_placed(finding, boat) for finding in told_once(found)]
    lines = tuple(line for report in reports.values() for line in _lines(report.summary()))
    return Checked(reports, tuple(by_harm(placed)), lines)


def _placed(finding: Finding, boat: Boat) -> Finding:
    """The finding with its line of the boat file, where any of its pieces has one."""
    if finding.place is not None:
        return finding
    places = (boat.place(name) for name in finding.pieces)
    return replace(finding, place=next((place for place in places if place is not None), None))


def _lines(told: str | tuple[str, ...]) -> tuple[str, ...]:
    return (told,) if isinstance(told, str) else told
