"""Sheet pieces with their dimensions, the nests, and the mat."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from cutlists.bevel_cards import bevel_cards
from cutlists.drawing.panel_drawing import panel_svg
from cutlists.packet.grid import Cell, file_cell, grid_pages
from cutlists.packet.leaf import Column
from cutlists.packet.order import natural
from cutlists.packet.page import Page, table_pages
from cutlists.packet.paper import PaperSet
from cutlists.packet.saw_pages import folder_pages
from cutlists.panel_list import CAUTION, panel_rows
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.boat import Boat
    from model.panel import Panel
    from model.strip import Strip

SECTION = "Sheet"
NESTS = "Nests"
MAT = "Mat"
LARGE = 700.0
"""A piece longer than this has a column of the page to itself, mm."""
BEVEL_COLUMNS = (Column("mark", 14.0), Column("piece and edge", 52.0), Column("bevel", 120.0))
COLUMNS = (
    Column("mark", 14.0),
    Column("no", 8.0, "right"),
    Column("sheet", 30.0),
    Column("width", 20.0, "right"),
    Column("length", 22.0, "right"),
    Column("kg", 13.0, "right"),
    Column("goes", 78.0),
)


def sheet_pages(
    boat: Boat, papers: PaperSet, denominator: int, changed: frozenset[str] = frozenset()
) -> Iterator[Page]:
    """The list of sheet pieces, then the drawing of each mark."""
    pieces: dict[str, list[Panel | Strip]] = {}
    every: list[Panel | Strip] = [*boat.panels, *boat.strips]
    for piece in every:
        pieces.setdefault(boat.marks[piece.name], []).append(piece)
    rows = sorted(panel_rows(every, boat.marks), key=lambda row: natural(row.mark))
    told = [
        (row.mark, str(row.quantity), row.sheet, format_length(row.width, boat.units, denominator),
         format_length(row.length, boat.units, denominator), f"{row.total:.2f}", ", ".join(row.names))
        for row in rows
    ]  # fmt: skip
    yield from table_pages(SECTION, "Sheet pieces", papers.lists, COLUMNS, told, (CAUTION,), changed=changed)
    cells = []
    for row in rows:
        own = pieces[row.mark]
        share = 1.0 if max(own[0].cut_extents) > LARGE else 0.5
        draw = partial(_drawn, own[0], row.mark, len(own), boat.units, denominator)
        cells.append(Cell(draw, share, changed=row.mark in changed))
    yield from grid_pages(SECTION, "Sheet pieces, each from its lower left corner", papers.drawings, cells, 2)


def _drawn(
    piece: Panel | Strip, mark: str, count: int, units: str, denominator: int, width: float, height: float
) -> str:
    return panel_svg(piece, mark, count, (width, height), units, denominator)


def bevel_pages(boat: Boat, papers: PaperSet) -> Iterator[Page]:
    """The bevel of every sheet edge along the hull; nothing where none meets it."""
    rows = [
        (card.mark, f"{card.run.name}\nedge {card.edge}", card.told(boat.units)) for card in bevel_cards(boat)
    ]
    if rows:
        note = (
            "Degrees from square at each distance along the edge, from its after end: above zero the face "
            "reaches further out than the underside. Try each on a scrap before cutting the piece."
        )
        yield from table_pages(SECTION, "Bevels along the hull", papers.lists, BEVEL_COLUMNS, rows, (note,))


def nest_pages(folder: Path, papers: PaperSet) -> Iterator[Page]:
    """The pictures of nests that the build has written."""
    yield from folder_pages(folder / "nests", NESTS, "Nests: what to cut from each sheet", papers, 2, 1)


def mat_pages(folder: Path, papers: PaperSet) -> Iterator[Page]:
    """The whole deck's mat on a page, then its sheets, then its pieces; nothing where there is none."""
    mat = folder / "mat"
    sets = (
        ("Mat: the whole deck", [mat / "mat-deck.svg"], 1, 1),
        ("Mat: what to cut from each sheet", list(mat.glob("mat-sheet-*.svg")), 2, 2),
        ("Mat: pieces", [p for p in mat.glob("*.svg") if not p.name.startswith("mat-")], 2, 2),
    )
    for title, files, columns, rows in sets:
        there = sorted((path for path in files if path.exists()), key=lambda path: natural(path.name))
        cells = [file_cell(path) for path in there]
        yield from grid_pages(MAT, title, papers.drawings, cells, columns, rows)
