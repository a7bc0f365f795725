"""What to cut from mat: pieces by mark, sheets to buy, areas to glue; as CSV, text and for a terminal."""

from __future__ import annotations

import csv
import io
import textwrap
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from cutlists.mats.nest import MatNest
from model.mat.build import Matting
from model.mat.piece import MatPiece
from parts.lengths import format_fraction

if TYPE_CHECKING:
    from rich.table import Table

COLUMNS = (
    "mark", "quantity", "along", "across", "along mm", "across mm", "area m2", "total m2",
    "grooves", "first groove", "first groove mm", "holes", "pieces",
)  # fmt: skip
"""Headings of the list; along and across the grooves; the first groove is told from the low edge."""

SHEET_COLUMNS = ("sheet", "size", "mark", "turned", "x mm", "y mm", "piece")
"""Headings of the list of places: low corner of the piece's outline from the sheet's low corner."""

CAUTIONS = (
    "Try every piece dry, a straightedge along the grooves over each lid and step, before anything is glued. "
    "Decks are built to the weld, not to the drawing: cut one piece of each mark first.",
    "Hinges, latches, drains and wiring are not in the model. Cut round them, and keep limber holes, drains "
    "and inspection plates free.",
    "Primer and contact adhesive give off fumes that burn: fuel and batteries out, the boat aired, and the "
    "maker's data sheet followed.",
    "Mat makes a deck less slippery, not safe; wet, icy or worn it lets go. It adds weight to lids: look to "
    "their stays.",
)


_LEAST_STRIP = 5.0
"""A groove whose middle is nearer an edge than this is told of, mm."""


@dataclass(frozen=True, slots=True)
class MatRow:
    """All pieces with one mark; sizes in mm, the area of one in m2."""

    mark: str
    quantity: int
    along: float
    across: float
    area: float
    grooves: int
    first_groove: float | None
    holes: int
    names: tuple[str, ...]

    def cells(self) -> list[str | float | int]:
        """The row as written to files, under `COLUMNS`."""
        first = self.first_groove
        return [
            self.mark, self.quantity, format_fraction(self.along), format_fraction(self.across),
            round(self.along, 2), round(self.across, 2), round(self.area, 4),
            round(self.area * self.quantity, 4), self.grooves,
            "" if first is None else format_fraction(first), "" if first is None else round(first, 2),
            self.holes, "; ".join(self.names),
        ]  # fmt: skip


def mat_rows(matting: Matting) -> list[MatRow]:
    """One row for each mark, in the order the marks first appear."""
    return [_row(mark, pieces) for mark, pieces in by_mark(matting).items()]


def by_mark(matting: Matting) -> dict[str, list[MatPiece]]:
    """The pieces of each mark, in the order the marks first appear."""
    found: dict[str, list[MatPiece]] = {}
    for piece in matting.pieces:
        found.setdefault(matting.marks[piece.name], []).append(piece)
    return found


def _row(mark: str, pieces: Sequence[MatPiece]) -> MatRow:
    first = pieces[0]
    along, across = first.extents
    _, y0, _, y1 = first.outline.bounds
    count = len(first.lines.between(y0, y1)) if first.lines else 0
    names = tuple(piece.name for piece in pieces)
    area, holes = first.area * 1e-6, len(first.holes)
    return MatRow(mark, len(pieces), along, across, area, count, first.first_groove, holes, names)


def mat_csv(rows: Sequence[MatRow]) -> str:
    """The list as CSV with a heading line."""
    return _csv([COLUMNS, *(row.cells() for row in rows)])


def places_csv(nest: MatNest) -> str:
    """Where every piece lies on its sheet, as CSV with a heading line."""
    rows: list[Sequence[object]] = [SHEET_COLUMNS]
    for number, one in enumerate(nest.sheets, start=1):
        for laid in one.laid:
            x, y = laid.polygon.bounds[:2]
            turn = 90 * laid.quarters
            name = f"{one.sheet.name}, {one.label}" if one.label else one.sheet.name
            rows.append((number, name, laid.mark, turn, round(x, 1), round(y, 1), laid.piece.name))
    return _csv(rows)


def _csv(rows: Sequence[Sequence[object]]) -> str:
    stream = io.StringIO()
    csv.writer(stream).writerows(rows)
    return stream.getvalue()


def mat_notes(matting: Matting, nest: MatNest) -> str:
    """Areas, sheets to buy, what is left bare and what does not come out even, and cautions, as text."""
    lines = ["Mat", "===", "", *totals(matting, nest), ""]
    lines += [f"NOT CUT: {name}: {why}" for name, why in nest.left_over.items()]
    lines += [
        f"{name}: its grooves would stand wider than the sheet's; they cannot meet its neighbours'"
        for name in nest.loose_phase
    ]
    lines += [
        f"{piece.name}: a groove falls {close:.1f} mm from its edge and leaves a thin strip; move `offset`"
        for piece in matting.pieces
        if (close := piece.closest_groove()) is not None and close < _LEAST_STRIP
    ]
    lines += [f"bare: {bare.surface}: {bare.why}" for bare in matting.bare]
    lines += ["", "Cautions", ""]
    for caution in CAUTIONS:
        lines += textwrap.wrap(caution, 96, initial_indent="- ", subsequent_indent="  ")
    return "\n".join(lines) + "\n"


def totals(matting: Matting, nest: MatNest) -> list[str]:
    """Pieces, area to glue, sheets by size, waste, and their price where it is known."""
    pieces, marks = len(matting.pieces), len(set(matting.marks.values()))
    found = [f"{pieces} pieces of {marks} marks, {matting.area * 1e-6:.2f} m2 to glue"]
    new = [one for one in nest.sheets if not one.label]
    for name, count in Counter(one.sheet.name for one in new).items():
        found.append(f"{count} x {name}")
    if len(new) < len(nest.sheets):
        found.append(f"{len(nest.sheets) - len(new)} on hand")
    if new:
        used = sum(one.used for one in new)
        found.append(f"{nest.bought * 1e-6:.2f} m2 bought, {100 * (1 - used / nest.bought):.0f} % left over")
    if new and all(one.sheet.price is not None for one in new):
        found.append(f"price of the sheets {nest.cost:.2f}")
    return found


def mat_table(rows: Sequence[MatRow], caption: str = "") -> Table:
    """The list for a terminal, at most 100 columns wide."""
    from rich.table import Table

    table = Table(title="Mat pieces", caption=caption or None, width=100, header_style="bold", pad_edge=False)
    for name in ("mark", "qty", "along x across", "mm", "m2", "first groove"):
        table.add_column(name, justify="left" if name == "mark" else "right", no_wrap=True)
    table.add_column("pieces", overflow="ellipsis", no_wrap=True, ratio=1)
    for row in rows:
        more = f" +{len(row.names) - 1}" if len(row.names) > 1 else ""
        table.add_row(
            row.mark,
            str(row.quantity),
            f"{format_fraction(row.along)} x {format_fraction(row.across)}",
            f"{row.along:.1f} x {row.across:.1f}",
            f"{row.area * row.quantity:.3f}",
            "" if row.first_groove is None else f"{row.first_groove:.1f}",
            row.names[0] + more,
        )
    return table
