"""Writes what was found of rods beside the other lists of a build."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from cutlists.rods.rod_tables import rod_csv, rod_length_csv
from model.rods.check import RodReport
from model.rods.table import Rebuild, rod_lengths

if TYPE_CHECKING:
    from model.boat import Boat


def write_rods(
    boat: Boat, report: object, folder: Path, rebuild: Rebuild, tell: Callable[[str], None] = lambda _: None
) -> None:
    """`rods.csv` where lockers are marked for rods, and `rod-lengths.csv` where the boat asks for a table.

    Args:
        boat: the finished boat.
        report: of the check of rods; anything else writes nothing.
        folder: an existing folder.
        rebuild: builds a boat from a document, for the table.
        tell: hears what is being done.
    """
    if not isinstance(report, RodReport) or not report.places:
        return
    (folder / "rods.csv").write_text(rod_csv(report), encoding="utf-8", newline="")
    tables = rod_lengths(boat, rebuild, tell=tell)
    if tables:
        text = rod_length_csv(tables, boat.units)
        (folder / "rod-lengths.csv").write_text(text, encoding="utf-8", newline="")
