"""The saw list as tables and drawings, the sticks, and the cuts by saw setting."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import partial
from pathlib import Path

from cutlists.packet.grid import Cell, file_cell, grid_pages
from cutlists.packet.leaf import Column
from cutlists.packet.order import natural
from cutlists.packet.page import Page, table_pages
from cutlists.packet.paper import PaperSet
from cutlists.piece_drawing import piece_svg
from cutlists.saw_list import SawList, SawRow, end_words, lies
from cutlists.saw_tables import CAUTION
from model.end_cut import EndCut

SECTION = "Saw list"
STICKS = "Sticks"
SAW_COLUMNS = (
    Column("mark", 13.0),
    Column("no", 7.0, "right"),
    Column("long", 20.0, "right"),
    Column("mm", 15.0, "right"),
    Column("end A", 31.0),
    Column("end B", 31.0),
    Column("goes", 70.0),
)
SETTING_COLUMNS = (
    Column("section", 34.0),
    Column("lies", 16.0),
    Column("mitre", 18.0, "right"),
    Column("tilt", 18.0, "right"),
    Column("ends", 14.0, "right"),
    Column("marks and ends", 86.0),
)


def saw_pages(saw: SawList, papers: PaperSet, changed: frozenset[str] = frozenset()) -> Iterator[Page]:
    """Tables by section, the settings, then the drawing of each mark."""
    for section, rows in saw.by_section.items():
        told = [_row(row, saw) for row in rows]
        title = f"Saw list: {section}"
        notes = (CAUTION,) if section == next(iter(saw.by_section)) else ()
        yield from table_pages(SECTION, title, papers.lists, SAW_COLUMNS, told, notes, changed=changed)
    note = "All ends that one setting of the saw makes, so that it is set once. Tilt is of the blade."
    settings = list(_settings(saw.rows))
    yield from table_pages(SECTION, "Saw settings", papers.lists, SETTING_COLUMNS, settings, (note,))
    cells = [Cell(partial(_piece, row, saw), fits=True, changed=row.mark in changed) for row in saw.rows]
    yield from grid_pages(SECTION, "Pieces to saw", papers.lists, cells, columns=2, rows=5)


def _piece(row: SawRow, saw: SawList, _width: float, _height: float) -> str:
    return piece_svg(row, saw.shop)


def _row(row: SawRow, saw: SawList) -> tuple[str, ...]:
    past = f"\nPAST THE SAW: {'; '.join(row.flags)}" if row.flags else ""
    mirror = f"\n{row.mirror_note}" if row.mirror else ""
    drill = f"\ndrill {'; '.join(hole.words(saw.shop) for hole in row.holes)}" if row.holes else ""
    return (
        row.mark,
        str(row.quantity),
        saw.shop.marked(row.length),
        f"{row.length:.1f}",
        end_words(row.section, row.cuts.end_a),
        end_words(row.section, row.cuts.end_b),
        ", ".join(row.names) + mirror + drill + past,
    )


def _settings(rows: Sequence[SawRow]) -> Iterator[tuple[str, ...]]:
    """A row for each setting of each section, the square cuts first."""
    groups: dict[tuple[str, str, float, float], list[tuple[str, int]]] = {}
    for row in rows:
        for cut in (row.cuts.end_a, row.cuts.end_b):
            groups.setdefault(_setting(row, cut), []).append((f"{row.mark}{cut.end}", row.quantity))
    for (section, how, mitre, tilt), ends in sorted(groups.items()):
        count = sum(quantity for _, quantity in ends)
        told = ", ".join(name if quantity == 1 else f"{name} x{quantity}" for name, quantity in ends)
        angles = (f"{mitre:.2f}" if mitre else "-", f"{tilt:.2f}" if tilt else "-")
        yield section, how, *angles, str(count), told


def _setting(row: SawRow, cut: EndCut) -> tuple[str, str, float, float]:
    if cut.is_square:
        return row.section.name, "square", 0.0, 0.0
    mitre, tilt = (round(abs(math.degrees(a)), 2) for a in (cut.mitre, cut.bevel))
    return row.section.name, lies(row.section, cut.face), mitre, tilt if cut.is_compound else 0.0


def stick_pages(folder: Path, papers: PaperSet) -> Iterator[Page]:
    """The pictures of sticks that the build has written; nothing where there are none."""
    yield from folder_pages(folder / "sticks", STICKS, "Sticks: what to cut from each", papers, 1, 1)


def folder_pages(
    folder: Path, section: str, title: str, papers: PaperSet, columns: int, rows: int
) -> Iterator[Page]:
    """Pages with the SVG drawings of a folder of the build, in the order of their names and numbers."""
    files = sorted(folder.glob("*.svg"), key=lambda path: natural(path.name))
    cells = [file_cell(path) for path in files]
    yield from grid_pages(section, title, papers.drawings, cells, columns, rows)
