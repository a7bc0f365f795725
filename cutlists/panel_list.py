"""What to cut from sheet: pieces grouped by mark, as CSV, as a workbook and for the terminal."""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from model.blank import blank_size
from model.panel import Panel
from model.strip import Strip
from parts.lengths import format_fraction

if TYPE_CHECKING:
    from rich.table import Table

COLUMNS = (
    "mark",
    "quantity",
    "sheet",
    "width",
    "length",
    "width mm",
    "length mm",
    "area m2",
    "mass kg",
    "total kg",
    "holes",
    "bends",
    "twist mm",
    "role",
    "pieces",
)
"""Headings of the CSV file and the workbook. Masses: of one piece, and of all with its mark."""

CAUTION = "Sizes: least rectangle round a piece, to 1/16 in. Check one piece before cutting all."


@dataclass(frozen=True, slots=True)
class PanelRow:
    """All pieces with one mark: the numbers of one laid flat, mm, m2 and kg, and where they go.

    `twist` is the greatest gap of a quad's diagonals where a rolled piece was laid flat, mm; None for a
    flat one.
    """

    mark: str
    quantity: int
    sheet: str
    width: float
    length: float
    area: float
    mass: float
    holes: int
    bends: int
    twist: float | None
    role: str
    names: tuple[str, ...]

    @property
    def total(self) -> float:
        """Mass of all pieces with the mark, kg."""
        return self.mass * self.quantity

    def cells(self) -> list[str | float | int | None]:
        """The row as written to files, under `COLUMNS`."""
        return [
            self.mark,
            self.quantity,
            self.sheet,
            format_fraction(self.width),
            format_fraction(self.length),
            round(self.width, 2),
            round(self.length, 2),
            round(self.area, 4),
            round(self.mass, 3),
            round(self.total, 3),
            self.holes,
            self.bends,
            None if self.twist is None else round(self.twist, 3),
            self.role,
            "; ".join(self.names),
        ]


def panel_rows(panels: Sequence[Panel | Strip], marks: Mapping[str, str]) -> list[PanelRow]:
    """One row for each mark, in the order the marks first appear.

    Args:
        panels: all pieces cut from sheet.
        marks: the mark of each piece by its name.
    """
    groups: dict[str, list[Panel | Strip]] = {}
    for piece in panels:
        groups.setdefault(marks[piece.name], []).append(piece)
    return [_row(mark, pieces) for mark, pieces in groups.items()]


def _row(mark: str, pieces: list[Panel | Strip]) -> PanelRow:
    first = pieces[0]
    width, length = blank_size(first.cut_outline)
    return PanelRow(
        mark=mark,
        quantity=len(pieces),
        sheet=first.sheet.name,
        width=width,
        length=length,
        area=first.area * 1e-6,
        mass=first.mass,
        holes=len(first.cut_holes),
        bends=len(first.bend_lines),
        twist=first.flattening.twist if isinstance(first, Strip) else None,
        role=", ".join(sorted({piece.role for piece in pieces})),
        names=tuple(piece.name for piece in pieces),
    )


def write_panel_csv(path: Path, rows: Sequence[PanelRow]) -> None:
    """The list as CSV (UTF-8, a heading line)."""
    with path.open("w", newline="", encoding="utf-8") as file:
        out = csv.writer(file)
        out.writerow(COLUMNS)
        out.writerows(["" if cell is None else cell for cell in row.cells()] for row in rows)


def write_panel_workbook(path: Path, rows: Sequence[PanelRow]) -> None:
    """The list as an XLSX workbook, with totals below it."""
    from openpyxl import Workbook
    from openpyxl.styles import Alignment, Font, PatternFill
    from openpyxl.utils import get_column_letter

    book = Workbook()
    page = book.active
    assert page is not None
    page.title = "Panels"
    page.append(list(COLUMNS))
    for row in rows:
        page.append(row.cells())
    last = len(rows) + 1
    if rows:
        count, total = (get_column_letter(COLUMNS.index(name) + 1) for name in ("quantity", "total kg"))
        page.append(["all"])
        page[f"{count}{last + 1}"] = f"=SUM({count}2:{count}{last})"
        page[f"{total}{last + 1}"] = f"=SUM({total}2:{total}{last})"
        for cell in page[last + 1]:
            cell.font = Font(bold=True)
    page.append([])
    page.append([CAUTION])
    for cell in page[1]:
        cell.font = Font(bold=True, color="FFFFFF")
        cell.fill = PatternFill("solid", fgColor="2F4A55")
        cell.alignment = Alignment(vertical="center", wrap_text=True)
    for number, width in enumerate((8, 9, 20, 13, 13, 11, 11, 9, 9, 9, 7, 7, 9, 14, 60), start=1):
        page.column_dimensions[get_column_letter(number)].width = width
    page.freeze_panes = "A2"
    page.auto_filter.ref = f"A1:{get_column_letter(len(COLUMNS))}{last}"
    book.save(path)


def panel_table(rows: Sequence[PanelRow]) -> Table:
    """The list for a terminal, at most 100 columns wide; names beyond the first are counted."""
    from rich.table import Table

    table = Table(title="Sheet pieces", caption=CAUTION, width=100, header_style="bold", pad_edge=False)
    table.add_column("mark", no_wrap=True)
    table.add_column("qty", justify="right", no_wrap=True)
    table.add_column("sheet", overflow="fold", max_width=16)
    table.add_column("width x length", justify="right", no_wrap=True)
    table.add_column("mm", justify="right", no_wrap=True)
    table.add_column("kg", justify="right", no_wrap=True)
    table.add_column("twist", justify="right", no_wrap=True)
    table.add_column("pieces", overflow="ellipsis", no_wrap=True, ratio=1)
    for row in rows:
        more = f" +{len(row.names) - 1}" if len(row.names) > 1 else ""
        table.add_row(
            row.mark,
            str(row.quantity),
            row.sheet,
            f"{format_fraction(row.width)} x {format_fraction(row.length)}",
            f"{row.width:.1f} x {row.length:.1f}",
            f"{row.total:.2f}",
            "" if row.twist is None else f"{row.twist:.2f}",
            row.names[0] + more,
        )
    return table
