"""Labels to stick on the pieces: mark, which of how many, length, cuts, where it goes, and a code to scan."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from cutlists.packet.leaf import BOLD, MM, PLAIN, Leaf, fonts_ready
from cutlists.packet.order import natural
from cutlists.packet.paper import Paper
from cutlists.saw_list import SawList, end_words
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.boat import Boat
    from model.panel import Panel
    from model.strip import Strip

Tell = Callable[[str], None]
INSET = 1.8
"""Clear border of a label, mm."""


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """A sheet of labels, mm: how many across and down, the size of one, the upper left corner, the pitch."""

    name: str
    paper: Paper
    across: int
    down: int
    width: float
    height: float
    left: float
    top: float
    step_x: float
    step_y: float

    @property
    def count(self) -> int:
        """Labels on it."""
        return self.across * self.down


LETTER, A4 = Paper("letter", 215.9, 279.4), Paper("A4", 210.0, 297.0)
SHEETS = {
    sheet.name: sheet
    for sheet in (
        LabelSheet("letter-30", LETTER, 3, 10, 66.7, 25.4, 4.8, 12.7, 69.8, 25.4),
        LabelSheet("letter-10", LETTER, 2, 5, 101.6, 50.8, 4.0, 12.7, 106.3, 50.8),
        LabelSheet("A4-24", A4, 3, 8, 70.0, 37.0, 0.0, 0.5, 70.0, 37.0),
        LabelSheet("A4-21", A4, 3, 7, 63.5, 38.1, 7.2, 15.1, 66.0, 38.1),
    )
}
"""Sheets as office shops sell them, by labels on a sheet (common practice)."""


@dataclass(frozen=True, slots=True)
class Label:
    """What one label says; `code` is what its square code holds: the piece's name."""

    mark: str
    count: str
    size: str
    cuts: tuple[str, ...]
    code: str


def labels_of(boat: Boat, saw: SawList, marks: Sequence[str] = ()) -> list[Label]:
    """A label for every piece of tube and sheet, by mark; of some marks only where they are given.

    Raises:
        KeyError: a mark that the boat has not.
    """
    found = [*_saw_labels(boat, saw), *_sheet_labels(boat)]
    known = {label.mark for label in found}
    for mark in marks:
        if mark not in known:
            raise KeyError(mark)
    wanted = set(marks) or known
    return sorted((label for label in found if label.mark in wanted), key=lambda label: natural(label.mark))


def _saw_labels(boat: Boat, saw: SawList) -> Iterator[Label]:
    for row in saw.rows:
        ends = [f"{cut.end}: {end_words(row.section, cut)}" for cut in (row.cuts.end_a, row.cuts.end_b)]
        for number, name in enumerate(row.names, 1):
            length = format_length(row.length, boat.units, saw.shop.denominator)
            yield Label(
                row.mark,
                f"{number} of {row.quantity}",
                f"{length}  {row.section.name}",
                (*ends,),
                name,
            )


def _sheet_labels(boat: Boat) -> Iterator[Label]:
    groups: dict[str, list[str]] = {}
    pieces: dict[str, Panel | Strip] = {panel.name: panel for panel in boat.panels}
    pieces |= {strip.name: strip for strip in boat.strips}
    for name in pieces:
        groups.setdefault(boat.marks[name], []).append(name)
    for mark, names in groups.items():
        for number, name in enumerate(names, 1):
            piece = pieces[name]
            wide, high = (format_length(side, boat.units) for side in piece.cut_extents)
            yield Label(
                mark, f"{number} of {len(names)}", f"{wide} x {high}", (piece.sheet.name, piece.role), name
            )


def write_labels(
    path: Path, labels: Sequence[Label], sheet: LabelSheet, start: int = 1, tell: Tell = lambda _: None
) -> int:
    """Write labels as PDF, the first on place `start` of its sheet; returns the number of sheets.

    Raises:
        ValueError: there is no such place.
        OSError: the file cannot be written.
    """
    from reportlab.pdfgen.canvas import Canvas

    if not 1 <= start <= sheet.count:
        raise ValueError(f"a sheet has places 1 to {sheet.count}")
    fonts_ready()
    canvas = Canvas(str(path), pagesize=(sheet.paper.width * MM, sheet.paper.height * MM), invariant=1)
    canvas.setTitle("Labels")
    for number, label in enumerate(labels, start - 1):
        place = number % sheet.count
        if place == 0 and number > start - 1:
            canvas.showPage()
        tell(f"label {label.mark}")
        row, column = divmod(place, sheet.across)
        corner = (sheet.left + column * sheet.step_x, sheet.top + row * sheet.step_y)
        _draw(Leaf(canvas, sheet.paper), label, corner, sheet)
    canvas.save()
    return -(-(len(labels) + start - 1) // sheet.count)


def _draw(leaf: Leaf, label: Label, corner: tuple[float, float], sheet: LabelSheet) -> None:
    from reportlab.pdfbase.pdfmetrics import stringWidth

    left, top = corner[0] + INSET, corner[1] + INSET
    wide, high = sheet.width - 2 * INSET, sheet.height - 2 * INSET
    side = min(high, wide * 0.3)
    _square_code(leaf, label.code, (left + wide - side, top + (high - side) / 2, side))
    room = wide - side - 1.5
    size = min(17.0, high * 0.72)
    y = top + size * 0.31
    counted = min(room * 0.45, stringWidth(label.count, PLAIN, 8.0) / MM)
    _fitted(leaf, left, y, label.mark, size, room - counted - 2.0, bold=True)
    _fitted(leaf, left + room, y, label.count, 8.0, counted, right=True)
    lines = [(label.size, True), *((words, False) for words in label.cuts), (label.code, False)]
    step = (top + high - y) / len(lines)
    letters = min(8.0, step * 2.3)
    for words, bold in lines:
        y += step
        _fitted(leaf, left, y - 0.5, words, letters, room, bold)


def _fitted(
    leaf: Leaf,
    x: float,
    y: float,
    words: str,
    size: float,
    room: float,
    bold: bool = False,
    right: bool = False,
) -> None:
    """A line of lettering made smaller where it would not fit."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    wide = stringWidth(words, BOLD if bold else PLAIN, size) / MM
    leaf.text(x, y, words, min(size, size * room / max(wide, 1e-6)), bold, "right" if right else "left")


def _square_code(leaf: Leaf, words: str, place: tuple[float, float, float]) -> None:
    """A QR code (ISO/IEC 18004) of the words: left, top and side, mm."""
    from reportlab.graphics import renderPDF
    from reportlab.graphics.barcode.qr import QrCodeWidget
    from reportlab.graphics.shapes import Drawing

    left, top, side = place
    widget = QrCodeWidget(words, barLevel="M", barBorder=2, barWidth=side * MM, barHeight=side * MM)
    drawing = Drawing(side * MM, side * MM)
    drawing.add(widget)
    renderPDF.draw(drawing, leaf.canvas, left * MM, (leaf.paper.height - top - side) * MM)
