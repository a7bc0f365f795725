"""Pages that carry several drawings side by side."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from cutlists.packet.leaf import Leaf
from cutlists.packet.page import Page
from cutlists.packet.paper import Paper

_SCALE = re.compile(r"[,;] 1 : \d+(?=[<,;])")
GAP = 4.0
"""Between two drawings, mm."""


@dataclass(frozen=True, eq=False, slots=True)
class Cell:
    """A drawing made for its place: `draw(width, height)` gives SVG of that size, mm.

    `share` is the part of a column's height it takes, 1 or 0.5; `fits` says that the drawing has a size of
    its own and is made to fit its place.
    """

    draw: Callable[[float, float], str]
    share: float = 1.0
    fits: bool = False
    changed: bool = False


def file_cell(path: Path) -> Cell:
    """A drawing that the build has written already; made to fit, it has no longer the scale it tells."""
    return Cell(lambda _width, _height: _SCALE.sub("", path.read_text(encoding="utf-8")), fits=True)


def grid_pages(
    section: str, title: str, paper: Paper, cells: Sequence[Cell], columns: int, rows: int = 1
) -> Iterator[Page]:
    """The drawings in their order, filling columns from the top, columns from the left.

    Args:
        section: see `Page`.
        title: of each page.
        paper: drawn on.
        cells: the drawings.
        columns: on a page.
        rows: whole drawings in a column; one with a share of 0.5 takes half of one.
    """
    pages: list[list[tuple[Cell, int, float]]] = [[]]
    column, used = 0, 0.0
    for cell in cells:
        if used + cell.share > rows + 1e-9:
            column, used = column + 1, 0.0
            if column == columns:
                pages.append([])
                column = 0
        pages[-1].append((cell, column, used))
        used += cell.share
    left, top, wide, high = paper.room
    width, height = (wide - GAP * (columns - 1)) / columns, high / rows
    for number, own in enumerate(pages, 1):
        if not own:
            continue

        def draw(leaf: Leaf, own: list[tuple[Cell, int, float]] = own) -> None:
            for cell, at, down in own:
                room = (left + at * (width + GAP), top + down * height, width, cell.share * height - GAP)
                leaf.drawing(cell.draw(room[2], room[3]), room, true_size=not cell.fits)

        name = title if len(pages) == 1 else f"{title} ({number} of {len(pages)})"
        yield Page(section, name, paper, draw, any(cell.changed for cell, _, _ in own))
