"""The list of checks: a new one is a function and a line in `CHECKS`.

A check is a function of a finished boat and what the shop asks, `f(boat, asked) -> Report`. The report says
what was looked at (`summary`) and what is wrong (`findings`); the rest of it is its own business. `athwart
check`, `athwart build`, the JSON and the pictures show the findings of every check that is listed here.
Imports of a check's own machinery belong into its function here, so that a list is cheap to read.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Protocol

from model.checks.asked import Asked
from model.findings import Finding

if TYPE_CHECKING:
    from model.boat import Boat


class Report(Protocol):
    """What a check found."""

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All that is wrong, worst first."""
        ...

    def summary(self) -> str | tuple[str, ...]:
        """What was looked at and how much of it, a line or several; told of a clean boat too."""
        ...


@dataclass(frozen=True)
class Check:
    """One check.

    Attributes:
        name: one word; reports are found by it.
        doing: shown while it runs, such as `measuring gaps`.
        run: makes the report.
        again: how much of one of its findings is left in another boat, where that is quicker than to run it:
            0 where it is gone, nan where none can tell. Given boat, what is asked, the finding, its report.
        quick: as `run`, with the same kinds and pieces told but not all the words, where that is quicker.
    """

    name: str
    doing: str
    run: Callable[[Boat, Asked], Report]
    again: Callable[[Boat, Asked, Finding, Any], float] | None = None
    quick: Callable[[Boat, Asked], Report] | None = None


def _fit(boat: Boat, asked: Asked) -> Report:
    """Gaps, lids and heights.

    Raises:
        BadInput: a pair is let off by the name of a piece that the boat has not.
    """
    from model.clearance.check import check_fit

    return check_fit(boat, asked.fit.clearances, asked.fit.heights)


def _fit_quick(boat: Boat, asked: Asked) -> Report:
    """The same without trying other ways to open lids."""
    from model.clearance.check import check_fit

    return check_fit(boat, asked.fit.clearances, asked.fit.heights, cures=False)


def _fit_again(boat: Boat, asked: Asked, finding: Finding, report: Any) -> float:
    """One gap, lid or height measured in another boat."""
    from model.clearance.again import still_short

    return still_short(boat, asked.fit, finding, report)


def _struts(boat: Boat, asked: Asked) -> Report:
    """Gas struts of lids."""
    from model.clearance.strut_check import check_struts

    return check_struts(boat)


def _float(boat: Boat, asked: Asked) -> Report:
    """Weight, trim, safe loading and drive."""
    from model.capacity.float_report import check_float

    return check_float(boat)


def _rods(boat: Boat, asked: Asked) -> Report:
    """Rods that lie in lockers and are passed into them."""
    from model.rods.check import check_rods

    return check_rods(boat)


def _strength(boat: Boat, asked: Asked) -> Report:
    """Frame and decks under people and gear."""
    from model.strength.check import check_strength

    return check_strength(boat)


def _access(boat: Boat, asked: Asked) -> Report:
    """Ways out for removable things, and reach of a hand."""
    from model.access.check import kept_access

    return kept_access(boat, asked.access)


def _water(boat: Boat, asked: Asked) -> Report:
    """Water that stands, and what wells hold."""
    from model.water.check import check_water

    return check_water(boat)


def _wires(boat: Boat, asked: Asked) -> Report:
    """Wires, fuses, battery hours."""
    from model.electrics.check import electrics_report

    return electrics_report(boat)


def _hoses(boat: Boat, asked: Asked) -> Report:
    """Hoses, pumps, and holes through the skin."""
    from model.hoses.check import hose_report

    return hose_report(boat)


def _hoses_again(boat: Boat, asked: Asked, finding: Finding, report: Any) -> float:
    """One skin fitting held against the water again."""
    from model.hoses.check import still_short

    return still_short(boat, finding)


def _ways(boat: Boat, asked: Asked) -> Report:
    """Runs of wire and hose against passages, lids and rods."""
    from model.ways.check import check_ways
    from model.ways.laid import laid_runs

    return check_ways(boat, laid_runs(boat), asked.access)


def _boxes(boat: Boat, asked: Asked) -> Report:
    """Insulated boxes and how long ice keeps in them."""
    from model.insulation.check import check_boxes

    return check_boxes(boat)


def _foam(boat: Boat, asked: Asked) -> Report:
    """Blocks of foam against the flotation rule."""
    from model.foam.check import check_foam

    return check_foam(boat)


CHECKS: tuple[Check, ...] = (
    Check("fit", "measuring gaps and opening lids", _fit, _fit_again, _fit_quick),
    Check("struts", "holding lids up", _struts),
    Check("float", "weighing her and setting her afloat", _float),
    Check("rods", "laying rods in lockers", _rods),
    Check("strength", "walking the decks", _strength),
    Check("access", "taking things out and reaching in", _access),
    Check("water", "draining every surface", _water),
    Check("wires", "leading wires and choosing fuses", _wires),
    Check("hoses", "leading hoses and setting pumps to work", _hoses, _hoses_again),
    Check("ways", "holding wires and hoses against what moves", _ways),
    Check("boxes", "measuring walls of boxes", _boxes),
    Check("foam", "fitting foam under decks", _foam),
    # a line for each further check, in the order in which they are to be told
)
