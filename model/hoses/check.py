"""The hoses of a boat in one report: how they lie, what flows, what comes through the skin, what is wrong."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

from model.findings import Finding
from model.hoses.judge import SKIN, Judge
from model.hoses.lay import PREFIX, HoseFound, lay
from model.hoses.lines import Line, lines_of
from model.hoses.plan import PlumbingPlan
from model.hoses.remarks import remarks_of
from model.hoses.skins import SkinFitting, skins_of
from model.hoses.waters import Waters, waters_of
from model.hoses.wells import WellFound, wells_of
from model.hoses.words import flow_told, time_told
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.boat import Boat

CAUTIONS = (
    "A hole through the skin can sink her. Codes where she is built and used come first; shut every valve "
    "when she lies unwatched, look at hoses and clamps every season, and do not trust a pump to keep her up.",
    "Flows are worked out from curves of usual pumps and smooth new hose, at the voltage the pump is rated "
    "at; weed, low voltage and old hose leave less. Time a bucket before relying on them.",
    "Heights over the water are those at rest, in the load cases of the file; waves, people to one side and "
    "a swamped boat bring every fitting lower.",
)


@dataclass(frozen=True, eq=False)
class HoseReport:
    """The plumbing of a boat.

    Attributes:
        units: of the boat, for people.
        asked: what the file says; None where it tells of no hoses, and all else is empty.
        waters: about her at rest; None likewise.
        hoses: as they lie, in the order of the file.
        lines: pumps with their hoses.
        wells: that hoses lead to or from.
        skins: holes through the skin, those deepest in the water first.
        remarks: what is worth knowing and not wrong.
        findings: what is wrong.
    """

    units: str
    asked: PlumbingPlan | None
    waters: Waters | None
    hoses: tuple[HoseFound, ...]
    lines: tuple[Line, ...]
    wells: tuple[WellFound, ...]
    skins: tuple[SkinFitting, ...]
    remarks: tuple[str, ...]
    findings: tuple[Finding, ...]

    def summary(self) -> tuple[str, ...]:
        """What was looked at; nothing of a boat without hoses."""
        return tuple(self._lines()) if self.asked is not None else ()

    def _lines(self) -> Iterator[str]:
        whole = format_length(sum(hose.to_cut for hose in self.hoses), self.units)
        below = sum(1 for skin in self.skins if skin.wants == "must")
        yield (
            f"{len(self.hoses)} hoses laid, {whole} in all; {len(self.skins)} holes through the skin, "
            f"{below} of them under water in some load case"
        )
        for line in self.lines:
            if line.least is not None:
                share = f", {100.0 * line.least.flow / line.rated:.0f} % of its rating" if line.rated else ""
                yield f"{line.name} brings {flow_told(line.least.flow, self.units)}{share}"
        for well in self.wells:
            if well.turnover is not None:
                yield f"{well.name} is filled anew in {time_told(well.turnover)}"


def check_hoses(boat: Boat) -> HoseReport:
    """The report of a boat; worked out anew at each call."""
    asked = boat.hoses
    if asked is None:
        return HoseReport(boat.units, None, None, (), (), (), (), (), ())
    waters = waters_of(boat)
    laid = lay(boat, asked, waters)
    lines = lines_of(boat, laid, waters)
    wells = wells_of(boat, laid, lines, waters)
    skins = skins_of(boat, asked, waters)
    findings = tuple(Judge(boat, asked, waters).findings(laid, lines, wells, skins))
    remarks = tuple(remarks_of(boat, asked, waters, laid, lines, wells, skins))
    return HoseReport(boat.units, asked, waters, laid, lines, wells, skins, remarks, findings)


def still_short(boat: Boat, finding: Finding) -> float:
    """How far a skin fitting without a valve is under water in another boat, mm.

    0 where it is not any more; nan for findings of any other kind, which take a whole report.
    """
    asked = boat.hoses
    if asked is None or finding.kind != SKIN:
        return math.nan
    name = finding.pieces[0].removeprefix(PREFIX)
    found = next((s for s in skins_of(boat, asked, waters_of(boat)) if s.name == name), None)
    if found is None or found.least is None:
        return math.nan
    return 0.0 if found.shut else max(0.0, -found.least[0])


_REPORTS: WeakKeyDictionary[Boat, HoseReport] = WeakKeyDictionary()


def hose_report(boat: Boat) -> HoseReport:
    """The report of a boat, worked out once and kept as long as the boat is."""
    if boat not in _REPORTS:
        _REPORTS[boat] = check_hoses(boat)
    return _REPORTS[boat]
