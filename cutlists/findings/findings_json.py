"""What is wrong with a boat as JSON: each finding with its numbers, its words and its picture.

Lengths in mm, angles in degrees, points in the boat's frame: x forward from the transom, y to port, z up.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from model.checks.words import short_told, where_told

if TYPE_CHECKING:
    from model.boat import Boat
    from model.checks.run import Checked
    from model.findings import Finding

FORMAT = "athwart-findings"
VERSION = 1
"""Raised when a reader of the older form would misread the newer."""


def findings_json(boat: Boat, checked: Checked, pictures: Mapping[int, str] | None = None) -> str:
    """The findings of a boat as JSON text, in the order of harm.

    Args:
        boat: the boat.
        checked: what its checks came to.
        pictures: file of each finding's picture by the finding's number, which counts from 1.
    """
    shown = pictures or {}
    data = {
        "format": FORMAT,
        "version": VERSION,
        "boat": {"name": boat.name, "title": boat.title, "shown_in": boat.units},
        "looked_at": list(checked.summary),
        "findings": [
            {"number": k, **finding_data(finding, boat.units), "picture": shown.get(k)}
            for k, finding in enumerate(checked.findings, 1)
        ],
    }
    return json.dumps(data, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def finding_data(finding: Finding, units: str) -> dict[str, Any]:
    """One finding as plain dictionaries and lists."""
    place = finding.place
    at = None if finding.where is None else [round(float(v), 3) + 0.0 for v in finding.where]
    return {
        "kind": finding.kind,
        "pieces": list(finding.pieces),
        "what": finding.what,
        "short": _short(finding, units),
        "where": None if at is None else {"point": at, "told": where_told(finding, units)},
        "cure": finding.cure,
        "dimension": None if finding.dimension is None else _dimension(*finding.dimension),
        "from": place and {"file": Path(place.file).name, "line": place.line, "key": place.key},
    }


def _dimension(name: str, value: float) -> dict[str, Any]:
    """The one dimension that cures it: mm, or degrees of a named angle."""
    return {"name": name, "value": round(value, 3)}


def _short(finding: Finding, units: str) -> dict[str, Any] | None:
    value, measure = finding.short, finding.measure
    if value is None or not math.isfinite(value):
        return None
    if measure == "rad":
        value, measure = math.degrees(value), "degree"
    return {"value": round(float(value), 3), "measure": measure, "told": short_told(finding, units)}
