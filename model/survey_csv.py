"""A survey as a CSV file: one measured point a row.

Columns: `station`, `side` (port, starboard, both), `line`, `half_breadth`, `height`, and `x` where a point
does not stand at its station. A point between two lines is named by both, from the lower up: `chine>gunwale`.
Rows that begin with # are notes.

    station,side,line,half_breadth,height
    24,both,keel,0,3-1/2
    24,both,chine,26-1/4,5-1/4
    24,both,chine>gunwale,30-1/8,16
"""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

from model.survey import Survey, SurveyPoint
from parts.faults import FaultList, Place, did_you_mean
from parts.lengths import parse_length

COLUMNS = ("station", "side", "line", "half_breadth", "height")
OPTIONAL = ("x",)
LARGEST = 2_000_000
"""Bytes; a survey is a few thousand."""


def read_survey(path: Path, name: str, lines: Sequence[str], units: str, faults: FaultList) -> Survey:
    """The survey in the CSV file at `path`, which messages call `name`; bare numbers are in `units`.

    Every row that cannot be read is a fault and is left out.
    """
    text = _text(path, name, faults)
    return Survey(tuple(lines), () if text is None else _points(text, name, lines, units, faults))


def _text(path: Path, name: str, faults: FaultList) -> str | None:
    place = Place(name, None, "")
    try:
        if path.stat().st_size > LARGEST:
            faults.add(place, f"the file is larger than {LARGEST / 1e6:.0f} MB", "give a survey as CSV")
            return None
        return path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        faults.add(
            place, f"the survey cannot be read ({error.strerror})", "give the CSV file beside the boat file"
        )
    except UnicodeDecodeError as error:
        faults.add(place, f"the text is not UTF-8 (byte {error.start})", "save the file as UTF-8")
    return None


def _points(
    text: str, name: str, lines: Sequence[str], units: str, faults: FaultList
) -> tuple[SurveyPoint, ...]:
    reader = csv.reader(text.splitlines())
    columns: dict[str, int] | None = None
    points: list[SurveyPoint] = []
    try:
        for row in reader:
            if not any(cell.strip() for cell in row) or row[0].lstrip().startswith("#"):
                continue
            if columns is None:
                columns = _columns(row, Place(name, reader.line_num, ""), faults)
                if columns is None:
                    return ()
                continue
            cells = {key: row[i].strip() if i < len(row) else "" for key, i in columns.items()}
            point = _point(cells, lines, units, name, reader.line_num, faults)
            points.extend([] if point is None else [point])
    except csv.Error as error:
        faults.add(
            Place(name, reader.line_num, ""), f"this is not CSV ({error})", "one row a line, commas between"
        )
    if columns is None:
        faults.add(Place(name, None, ""), "the file has no rows", f"begin with the row {','.join(COLUMNS)}")
    return tuple(points)


def _columns(row: Sequence[str], place: Place, faults: FaultList) -> dict[str, int] | None:
    """Where each column stands; None if one is missing."""
    found: dict[str, int] = {}
    for i, cell in enumerate(row):
        column = cell.strip().lower().replace(" ", "_").replace("-", "_")
        if column not in COLUMNS + OPTIONAL:
            faults.add(place, f"unknown column '{cell.strip()}'", did_you_mean(column, COLUMNS + OPTIONAL))
        elif column in found:
            faults.add(place, f"the column '{column}' stands twice", "keep one")
        else:
            found[column] = i
    missing = [column for column in COLUMNS if column not in found]
    for column in missing:
        faults.add(place, f"the column '{column}' is missing", f"the first row is {','.join(COLUMNS)}")
    return None if missing else found


def _point(
    cells: Mapping[str, str], lines: Sequence[str], units: str, name: str, row: int, faults: FaultList
) -> SurveyPoint | None:
    before = len(faults.faults)
    place = Place(name, row, cells["line"])
    numbers: dict[str, Any] = {}
    for column in ("station", "half_breadth", "height", "x"):
        if column == "x" and not cells.get("x"):
            continue
        try:
            numbers[column] = parse_length(cells[column], units)
        except ValueError as error:
            faults.add(Place(name, row, column), *_wrong_length(cells[column], error))
    side = cells["side"].lower()
    if side not in ("port", "starboard", "both"):
        faults.add(Place(name, row, "side"), f"'{cells['side']}' is no side", "write port, starboard or both")
    line = split_name(cells["line"], lines, place, faults)
    if len(faults.faults) > before or line is None:
        return None
    return SurveyPoint(
        numbers["station"],
        side,  # type: ignore[arg-type]  # one of the three, as tested
        *line,
        numbers["half_breadth"],
        numbers["height"],
        numbers.get("x"),
        place,
    )


def _wrong_length(text: str, error: ValueError) -> tuple[str, str]:
    if not text:
        return "the length is missing", "write it like 26-1/4"
    wrong, _, right = str(error).partition("; ")
    return wrong, right


def split_name(
    text: str, lines: Sequence[str], place: Place, faults: FaultList
) -> tuple[str, str | None] | None:
    """A line's name, or those of the two lines a point lies between; None with a fault if unknown."""
    low, mark, high = (part.strip() for part in text.partition(">"))
    for word in (low, high) if mark else (low,):
        if word not in lines:
            faults.add(place, f"unknown line '{word}'", did_you_mean(word, lines))
            return None
    if not mark:
        return low, None
    if lines.index(high) != lines.index(low) + 1:
        pairs = ", ".join(f"{a}>{b}" for a, b in pairwise(lines))
        faults.add(
            place, f"'{low}' and '{high}' are not neighbours, the lower first", f"write one of {pairs}"
        )
        return None
    return low, high
