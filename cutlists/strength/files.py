"""Writes the `strength/` folder of a build."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from cutlists.scene import Scene
from cutlists.strength.picture import NAMES, use_pictures
from cutlists.strength.table import use_csv, use_rows
from cutlists.strength.working import working
from model.strength.check import StrengthReport

if TYPE_CHECKING:
    from model.boat import Boat


IN_BUILD = ("frame-plan", "sheet-plan")
"""The pictures that every build holds; `athwart strength -o` draws the others too."""


def write_strength(
    report: StrengthReport,
    boat: Boat,
    folder: Path,
    tell: Callable[[str], None] = lambda _: None,
    scene: Scene | None = None,
    pictures: Sequence[str] = NAMES,
) -> list[Path]:
    """Writes `uses.csv`, `working.txt` and pictures into an existing folder.

    Args:
        report: what was found.
        boat: the boat.
        folder: where to.
        tell: hears what is being drawn.
        scene: of the boat, where it is at hand.
        pictures: which.

    Returns:
        the files.

    Raises:
        OSError: a file could not be written.
    """
    written = [folder / "uses.csv", folder / "working.txt"]
    rows = use_rows(report, boat.marks)
    written[0].write_text(use_csv(rows), encoding="utf-8", newline="")
    written[1].write_text(working(report, boat), encoding="utf-8")
    for name, data in use_pictures(report, boat, scene, pictures):
        tell(f"drawing {name}")
        (folder / name).write_bytes(data)
        written.append(folder / name)
    return written
