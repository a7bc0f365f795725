"""The named dimensions and angles of a boat file as people move them: rows to show, and values put in."""

from __future__ import annotations

import copy
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from parts.expressions import DimensionsError, ExpressionError, evaluate, names_in, resolve
from parts.lengths import UNITS, format_fraction, format_length, parse_angle
from parts.yamlfile import Document

Values = Mapping[str, str]
"""Texts by name that stand in place of the file's own."""

GROUPS = ("dimensions", "angles")
LONGEST = 200
"""Letters of a value that a page may send."""

STEPS = {"in": 25.4 / 16, "ft": 25.4 / 16, "mm": 1.0, "cm": 1.0, "m": 1.0}
"""What a slider moves by at least, mm: what the shop can mark."""
ANGLE_STEP = 0.5
"""Degrees."""
ROOM = 0.25
"""A dimension without limits slides by this share of itself each way."""
LEAST_ROOM = 75.0
"""And by this at least, mm."""


@dataclass(frozen=True)
class Named:
    """A named dimension or angle as it stands.

    Attributes:
        name: of the dimension.
        kind: "length" or "angle".
        text: as written, or as put in its place.
        value: mm or degrees; nan where it cannot be read.
        least, greatest: where the slider ends, mm or degrees.
        limited: whether the file sets those ends.
        step: what the slider moves by, mm or degrees.
        note: what the file says of it.
        before: the file's own text where another stands in its place.
        follows: names of other dimensions that it is worked out from.
    """

    name: str
    kind: str
    text: str
    value: float
    least: float
    greatest: float
    limited: bool
    step: float
    note: str
    before: str | None
    follows: tuple[str, ...]


def path_of(document: Document, name: str) -> tuple[str, ...] | None:
    """Keys that lead to the value of a named dimension or angle; None where the file has none."""
    for group in GROUPS:
        entries = document.data.get(group)
        if isinstance(entries, dict) and name in entries:
            return (group, name, "value") if isinstance(entries[name], dict) else (group, name)
    return None


def text_in(document: Document, name: str) -> str | None:
    """The value of a named dimension or angle as the file has it."""
    path = path_of(document, name)
    if path is None:
        return None
    value: Any = document.data
    for key in path:
        value = value.get(key) if isinstance(value, dict) else None
    return None if value is None else str(value)


def with_values(document: Document, values: Values) -> Document:
    """The document with other values of its named dimensions; its lines stay those of the file."""
    data = dict(document.data)
    for group in GROUPS:
        if isinstance(data.get(group), dict):
            data[group] = copy.copy(data[group])
    for name, text in values.items():
        path = path_of(document, name)
        if path is None:
            continue
        group = data[path[0]]
        put = _plain(text)
        group[name] = {**group[name], "value": put} if len(path) == 3 else put
    return replace(document, data=data)


def _plain(text: str) -> str | int | float:
    """A number as the file's reader would give it, or the text itself."""
    try:
        number = float(text)
    except ValueError:
        return text
    if not math.isfinite(number) or "_" in text:
        return text
    return int(number) if number.is_integer() and "e" not in text.lower() else number


def text_of(document: Document, name: str, value: float) -> str:
    """A slider's place, mm or degrees, as it is written into the file, in marks of the shop."""
    path = path_of(document, name)
    if path is not None and path[0] == "angles":
        return f"{round(value / ANGLE_STEP) * ANGLE_STEP:g}"
    units = _units(document)
    if units in ("in", "ft"):
        marked = format_fraction(value).removesuffix('"')
        return marked if units == "in" else f"{marked} in"
    return f"{round(value, 1) / UNITS[units]:.6g}"


def named(document: Document, values: Values) -> list[Named]:
    """Every named dimension and angle of the document with `values` in place, in the file's order."""
    changed = with_values(document, values)
    texts = dict(_entries(changed, "dimensions"))
    lengths = _lengths(texts, _units(document))
    found = [
        _row(document, "length", name, text, lengths.get(name, math.nan), lengths)
        for name, text in texts.items()
    ]
    for name, text in _entries(changed, "angles"):
        try:
            degrees = math.degrees(parse_angle(text))
        except ValueError:
            degrees = math.nan
        found.append(_row(document, "angle", name, text, degrees, lengths))
    return found


def _lengths(texts: Mapping[str, Any], units: str) -> dict[str, float]:
    """Every length that can be worked out, mm; those that are faulty or lean on a faulty one are left out."""
    sound = dict(texts)
    while sound:
        try:
            return resolve(sound, units)
        except DimensionsError as error:
            faulty = {name for name in error.by_name if name in sound}
            if not faulty:
                return {}
            sound = {name: text for name, text in sound.items() if name not in faulty}
    return {}


def _entries(document: Document, group: str) -> Iterator[tuple[str, Any]]:
    entries = document.data.get(group)
    for name, entry in entries.items() if isinstance(entries, dict) else ():
        yield name, entry.get("value") if isinstance(entry, dict) else entry


def _row(
    document: Document, kind: str, name: str, text: Any, value: float, lengths: Mapping[str, float]
) -> Named:
    entry = document.data["dimensions" if kind == "length" else "angles"][name]
    told = entry if isinstance(entry, dict) else {}
    own = text_in(document, name)
    ends = [_end(told.get(key), kind, lengths, _units(document)) for key in ("least", "greatest")]
    room = max(LEAST_ROOM if kind == "length" else 15.0, abs(value) * ROOM) if math.isfinite(value) else 0.0
    least, greatest = (
        end if end is not None else value + way * room for end, way in zip(ends, (-1, 1), strict=True)
    )
    return Named(
        name=name,
        kind=kind,
        text=str(text),
        value=value,
        least=least,
        greatest=greatest,
        limited=None not in ends,
        step=STEPS[_units(document)] if kind == "length" else ANGLE_STEP,
        note=str(told.get("note") or ""),
        before=own if own is not None and str(text) != own else None,
        follows=tuple(sorted(_follows(text))) if kind == "length" else (),
    )


def _follows(text: Any) -> set[str]:
    try:
        return names_in(text)
    except ExpressionError:
        return set()


def _end(text: Any, kind: str, lengths: Mapping[str, float], units: str) -> float | None:
    """A limit in mm or degrees; None where there is none that can be read."""
    if text is None:
        return None
    try:
        return evaluate(text, lengths, units) if kind == "length" else math.degrees(parse_angle(text))
    except ValueError:
        return None


def _units(document: Document) -> str:
    units = document.data.get("units", "in")
    return units if isinstance(units, str) and units in UNITS else "in"


def shown(row: Named, units: str) -> str:
    """The value for reading, such as `16-3/8"` or `135 deg`."""
    if not math.isfinite(row.value):
        return ""
    return format_length(row.value, units) if row.kind == "length" else f"{row.value:g} deg"
