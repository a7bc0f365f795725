"""Rods as rows: each locker with what lies in it, and lengths as two dimensions are moved."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from parts.lengths import format_length

if TYPE_CHECKING:
    from model.rods.check import RodPlace, RodReport
    from model.rods.table import RodCell, RodLengths

LYING = (
    "locker",
    "rod",
    "length",
    "length mm",
    "butt x mm",
    "butt y mm",
    "butt z mm",
    "tip x mm",
    "tip y mm",
    "tip z mm",
    "told",
)
"""A row for each rod; places of its ends in the boat: forward of the transom, to port, up."""

MOVED = ("locker", "angle", "degrees", "offset", "offset at", "offset mm", "lies", "lies mm", "passes",
         "passes mm", "told")  # fmt: skip


def rod_csv(report: RodReport) -> str:
    """A CSV (RFC 4180) of what lies where: the longest of each locker, then the rods of the list."""
    rows = [row for place in report.places for row in _place_rows(place, report.units)]
    return _csv(LYING, rows)


def rod_length_csv(tables: Iterable[RodLengths], units: str) -> str:
    """A CSV of rod lengths: the boat as it is first, then each pair of values."""
    rows = [
        _cell_row(table, cell, units, "as it is" if cell is table.now else cell.why)
        for table in tables
        for cell in (table.now, *table.cells)
    ]
    return _csv(MOVED, rows)


def rod_length_lines(table: RodLengths, units: str, passes: bool) -> tuple[list[str], list[list[str]]]:
    """A heading and rows for the terminal: offsets across, angles down, lengths that lie or pass in."""
    offsets = list(dict.fromkeys(cell.offset for cell in table.cells))
    angles = list(dict.fromkeys(cell.angle for cell in table.cells))
    by_value = {(cell.angle, cell.offset): cell for cell in table.cells}
    head = [table.angle or ""] + [
        "" if offset is None else format_length(offset, units) for offset in offsets
    ]
    rows = [
        ["" if angle is None else f"{math.degrees(angle):.1f}"]
        + [_told(by_value[angle, offset], units, passes) for offset in offsets]
        for angle in angles
    ]
    return head, rows


def _told(cell: RodCell, units: str, passes: bool) -> str:
    length = cell.passes if passes else cell.lies
    if cell.why:
        return "no boat"
    return "none" if length is None else format_length(length, units)


def _place_rows(place: RodPlace, units: str) -> Iterable[list[str | float]]:
    name = place.place.told
    if place.lying is not None:
        ends = place.lying.pose.end_points(place.lying.rod).ravel()
        by = "the longest that lies there, held by " + ", ".join(place.lying.held_by)
        yield [name, "longest", *_both(place.lying.length, units), *_rounded(ends), by]
    for passing in place.passings:
        ends = passing.pose.end_points(place.rod).ravel()
        by = f"the longest passed in {passing.side}, where it is tightest, held by " + ", ".join(
            passing.held_by
        )
        yield [name, "longest", *_both(passing.length, units), *_rounded(ends), by]
    for stowed in place.stowed:
        row: list[str | float] = [name, stowed.rod.name, *_both(stowed.rod.length, units)]
        if stowed.pose is None:
            yield [*row, "", "", "", "", "", "", "no place found beside the others"]
        else:
            yield [*row, *_rounded(stowed.pose.end_points(stowed.rod).ravel()), "lies here among the others"]


def _cell_row(table: RodLengths, cell: RodCell, units: str, told: str) -> list[str | float]:
    angle = "" if cell.angle is None else round(math.degrees(cell.angle), 2)
    offset = ["", ""] if cell.offset is None else _both(cell.offset, units)
    lies, passes = (["", ""] if v is None else _both(v, units) for v in (cell.lies, cell.passes))
    return [table.locker, table.angle or "", angle, table.offset or "", *offset, *lies, *passes, told]


def _both(length: float, units: str) -> list[str | float]:
    return [format_length(length, units), round(length, 1)]


def _rounded(values: Iterable[float]) -> list[str | float]:
    return [round(float(value), 1) for value in values]


def _csv(head: Sequence[str], rows: Iterable[Sequence[str | float]]) -> str:
    text = io.StringIO()
    out = csv.writer(text)
    out.writerow(head)
    out.writerows(rows)
    return text.getvalue()
