"""What the workshop has to say of a boat, put into sections for the page."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from dataclasses import asdict, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.preview.changes import change_of
from app.preview.tables import (
    Lists,
    Weighed,
    finding_rows,
    lists_of,
    saw_table,
    sheet_table,
    weighed,
    weight_table,
)
from app.preview.values import Named, Values, named, shown
from app.preview.wire import as_json
from cutlists.hull_lines import hull_lines
from parts.faults import Fault
from parts.yamlfile import Document

if TYPE_CHECKING:
    from cutlists.shop_file import Shop
    from model.boat import Boat
    from model.hull import Hull


def weights_of(boat: Boat) -> tuple[Weighed, dict[str, Any]]:
    """What a boat weighs and how she lies, with its table: it comes before the longer lists."""
    found = weighed(boat)
    return found, {"weights": weight_table(found).plain()}


def tables_of(
    boat: Boat, shop: Shop, before: Lists | None, known: Weighed | None = None
) -> tuple[Lists, dict[str, Any]]:
    """The lists of a boat, its other tables, and what was changed since the lists before."""
    lists = lists_of(boat, shop, known)
    return lists, {
        "saw": saw_table(lists).plain(),
        "sheets": sheet_table(lists).plain(),
        "change": change_of(before, lists) if before else None,
    }


def line_points(hull: Hull) -> list[list[list[float]]]:
    """The hull's own lines, points in mm."""
    return [[[round(float(v), 1) for v in point] for point in line.points] for line in hull_lines(hull)]


def merged_findings(boat: Boat, told: str | None) -> list[dict[str, Any]]:
    """The boat's own findings, then those told of the boat before, marked as such.

    Args:
        boat: as it is now; its checks are still to be made.
        told: the rows that are shown, as JSON.
    """
    own = finding_rows(boat.findings)
    seen = {as_json(row) for row in own}
    before = [{**row, "old": True} for row in (json.loads(told) if told else [])]
    plain = [{key: value for key, value in row.items() if key != "old"} for row in before]
    return own + [old for old, row in zip(before, plain, strict=True) if as_json(row) not in seen]


def dimension_rows(document: Document, values: Values, units: str) -> list[dict[str, Any]]:
    """Every named dimension as a page is told; what is no number is told as none."""
    return [_dimension(row, units) for row in named(document, values)]


def _dimension(row: Named, units: str) -> dict[str, Any]:
    told = asdict(row)
    for key in ("value", "least", "greatest"):
        told[key] = told[key] if math.isfinite(told[key]) else None
    ends = [shown(replace(row, value=end), units) for end in (row.least, row.greatest)]
    return {**told, "shown": shown(row, units), "ends": ends}


def fault_rows(faults: Sequence[Fault], path: Path, lines: Sequence[str]) -> list[dict[str, Any]]:
    """Faults as a page is told, each with the line of the boat file that it is about.

    Args:
        faults: of the file or of moved values.
        path: the boat file.
        lines: of it.
    """
    return [_fault(fault, path, lines) for fault in faults]


def _fault(fault: Fault, path: Path, lines: Sequence[str]) -> dict[str, Any]:
    place = fault.place
    own = place.file == str(path)
    line = lines[place.line - 1] if own and place.line and place.line <= len(lines) else ""
    return {
        "file": Path(place.file).name,
        "line": place.line,
        "key": place.key,
        "wrong": fault.wrong,
        "right": fault.right,
        "text": line.strip()[:200],
    }
