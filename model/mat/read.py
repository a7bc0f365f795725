"""The `mat:` entry of a boat file to numbers; every fault is noted at its line."""

from __future__ import annotations

import math

from model.boatfile.mat_schema import MatEntry, MatSheetEntry
from model.boatfile.numbers import Key, Numbers
from model.mat.settings import PLAIN_SHEET, MatSettings, MatSheet

_ABOVE_ZERO = ("thickness", "edge_gap", "pitch", "groove_width")
_NOT_BELOW = ("reveal", "lid_gap", "radius", "least_width", "margin", "spacing")


def read_mat(entry: MatEntry, numbers: Numbers, *path: Key) -> MatSettings | None:
    """The settings of an entry that stands at `path`; None where a fault was noted in `numbers`."""
    before = len(numbers.faults)
    lengths = {key: numbers.positive(getattr(entry, key), *path, key) for key in _ABOVE_ZERO}
    lengths |= {key: numbers.not_negative(getattr(entry, key), *path, key) for key in _NOT_BELOW}
    over = None if entry.overhang is None else numbers.not_negative(entry.overhang, *path, "overhang")
    offset = numbers.length(entry.offset, *path, "offset")
    if lengths["groove_width"] >= lengths["pitch"]:
        numbers.fault(
            (*path, "groove_width"), "the grooves are wider than their pitch", "make it less than `pitch`"
        )
    sheets = [_sheet(name, own, numbers, *path, "sheets", name) for name, own in entry.sheets.items()]
    if len(numbers.faults) > before:
        return None
    return MatSettings(
        **lengths,
        overhang=over,
        offset=offset,
        direction=entry.direction,
        side_faces=entry.side_faces,
        sheets=tuple(sheet for sheet in sheets if sheet is not None) or (PLAIN_SHEET,),
        leave_out=tuple(entry.leave_out),
        line=tuple(entry.line),
    )


def _sheet(name: str, entry: MatSheetEntry, numbers: Numbers, *path: Key) -> MatSheet | None:
    length, width = (numbers.positive(getattr(entry, key), *path, key) for key in ("length", "width"))
    first = numbers.not_negative(entry.first, *path, "first")
    if not all(math.isfinite(value) for value in (length, width, first)):
        return None
    if entry.grooved and entry.turns == "quarter" and "turns" in entry.model_fields_set:
        numbers.fault(
            (*path, "turns"),
            "a grooved sheet has a direction of its own",
            "write half or none, or leave it out",
        )
    turns = "half" if entry.grooved and entry.turns == "quarter" else entry.turns
    return MatSheet(name, length, width, entry.grooved, first, turns, entry.price)
