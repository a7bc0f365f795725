"""Uses as rows: every member, bay of sheet and foot on bare sheet, the worst first."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence

from model.geometry import Array
from model.strength.bays import BayUse
from model.strength.check import StrengthReport
from model.strength.records import ONE, FootUse, MemberUse

HEAD = (
    "piece", "mark", "kind", "use", "limited by", "load", "x mm", "y mm", "z mm", "beside a weld",
    "allowed N/mm2", "N N", "V y N", "V z N", "torque Nmm", "M y Nmm", "M z Nmm", "sag mm", "span mm",
)  # fmt: skip


def use_rows(report: StrengthReport, marks: Mapping[str, str]) -> list[list[str | float]]:
    """Heading and rows, the greatest use first; what does not apply is left empty."""
    rows = [
        *(_member(use, marks) for use in report.members),
        *(_bay(use) for use in report.bays),
        *(_foot(use) for use in report.feet),
    ]
    rows.sort(key=lambda row: (-float(row[3]), str(row[0])))
    return [list(HEAD), *rows]


def use_csv(rows: Sequence[Sequence[str | float]]) -> str:
    """The rows as CSV."""
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(rows)
    return text.getvalue()


def _spot(where: Array) -> list[float]:
    return [round(float(v), 1) for v in where]


def _member(use: MemberUse, marks: Mapping[str, str]) -> list[str | float]:
    force, sag = use.force, use.sag
    tail: list[str | float] = [round(sag.sag, 2), round(sag.span, 1)] if sag else ["", ""]
    return [
        use.name, marks.get(use.name, ""), "member", round(use.use, 3), use.limit, force.case,
        *_spot(force.where), "yes" if force.soft else "no", round(force.allowed, 1),
        *(round(float(v), 1) for v in force.resultants), *tail,
    ]  # fmt: skip


def _bay(use: BayUse) -> list[str | float]:
    bay = use.bay
    return [
        bay.name, "", f"bay, {bay.shape}", round(use.use, 3), use.limit, ONE, *_spot(bay.where),
        "", "", "", "", "", "", "", "", round(use.stood.sag, 2), round(min(bay.width, bay.length), 1),
    ]  # fmt: skip


def _foot(use: FootUse) -> list[str | float]:
    return [
        use.name, "", "foot on bare sheet", round(use.use, 3), "sheet", "", *_spot(use.where),
        "", "", round(-use.force, 1), "", "", "", "", "", "", "",
    ]  # fmt: skip
