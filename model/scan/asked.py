"""What is asked of a scan, and what is known beforehand of how it lies."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from model.geometry import Array

HALVES = ("port", "starboard")
POINTS = ("transom", "bow", "port", "starboard")
LINES = ("keel", "chine", "gunwale")


@dataclass(frozen=True, eq=False)
class Asked:
    """Lengths in mm, directions and points in the file's own axes and unit.

    Attributes:
        lines: names from the keel up to the gunwale.
        stations: where to survey, from the transom; None for as the lines need.
        spacing: of the stations, where these are not listed; None likewise.
        units: of the file; None to find out.
        length, beam: of the hull, where told.
        up: direction that points up.
        level: `keel`: the after half of the keel lies level; `up`: what `up` says is upright.
        points: named points: transom (its foot on the centreline), bow, and the gunwales port and starboard.
        half: the side that the scan holds, which is mirrored.
        outside: thickness of the sheet, where the outside was scanned.
        keel_height: of the keel by the transom over the baseline.
    """

    lines: tuple[str, ...] = LINES
    stations: tuple[float, ...] | None = None
    spacing: float | None = None
    units: str | None = None
    length: float | None = None
    beam: float | None = None
    up: Array | None = None
    level: Literal["keel", "up"] = "keel"
    points: Mapping[str, Array] = field(default_factory=dict)
    half: Literal["port", "starboard"] | None = None
    outside: float = 0.0
    keel_height: float = 0.0
