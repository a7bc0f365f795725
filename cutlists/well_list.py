"""What wells, boxes and trays hold, and where water that is let stand would stand: a table for the shop."""

from __future__ import annotations

from typing import TYPE_CHECKING

from model.water.wells import GALLON, LITRE, holds
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.boat import Boat

HEAD = [
    "name", "kind", "floor", "overflow", "rim", "litres to overflow", "US gal to overflow", "litres to rim",
    "US gal to rim", "measured by",
]  # fmt: skip


def well_rows(boat: Boat) -> list[list[str | float]]:
    """Rows of `wells.csv`, heading first; heights above the baseline."""
    rows: list[list[str | float]] = [list(HEAD)]
    for well in holds(boat):
        over = "" if well.overflow is None else format_length(well.overflow, boat.units)
        rows.append([
            well.name,
            well.kind,
            format_length(well.floor, boat.units),
            over,
            format_length(well.rim, boat.units),
            *_volumes(well.to_overflow),
            *_volumes(well.to_rim),
            "closed form" if well.exact else "levels",
        ])  # fmt: skip
    return rows


def _volumes(volume: float | None) -> tuple[str | float, str | float]:
    """Litres and US gallons; nothing where there is no volume to tell."""
    return ("", "") if volume is None else (round(volume / LITRE, 2), round(volume / GALLON, 2))
