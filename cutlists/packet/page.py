"""Pages of a PDF: what each shows, and the writing of all with head and foot."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from cutlists.packet.leaf import BODY, MM, PLAIN, Column, Leaf, fonts_ready, split_table, table_of
from cutlists.packet.paper import FOOT, MARGIN, Paper

if TYPE_CHECKING:
    from reportlab.platypus import Flowable

Tell = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Stamp:
    """What every page carries besides its number."""

    boat: str
    revision: str
    date: str
    units: str
    marking: str


@dataclass(frozen=True, eq=False, slots=True)
class Page:
    """A page: under which section it stands, its title, its paper, and how it is drawn.

    Attributes:
        section: a word for the contents, such as `Saw list`.
        title: at its head.
        paper: drawn on.
        draw: draws it into the paper's room.
        changed: whether it shows a piece that the last revision did not have so.
    """

    section: str
    title: str
    paper: Paper
    draw: Callable[[Leaf], None]
    changed: bool = False


def write_pages(
    path: Path, pages: Sequence[Page], stamp: Stamp, tell: Tell = lambda _: None, what: str = "shop packet"
) -> None:
    """Write the pages as one PDF with an outline of their sections; `what` they are stands in its title.

    Raises:
        OSError: the file cannot be written.
    """
    from reportlab.pdfgen.canvas import Canvas

    fonts_ready()
    canvas = Canvas(str(path), invariant=1, pageCompression=1)
    canvas.setTitle(f"{stamp.boat}: {what}, revision {stamp.revision}")
    canvas.setCreator("Athwart")
    section = ""
    for number, page in enumerate(pages, 1):
        tell(f"page {number} of {len(pages)}: {page.title}")
        canvas.setPageSize((page.paper.width * 72 / 25.4, page.paper.height * 72 / 25.4))
        leaf = Leaf(canvas, page.paper)
        key = f"page{number}"
        canvas.bookmarkPage(key)
        if page.section != section:
            section = page.section
            canvas.addOutlineEntry(section, key, level=0)
        _frame(leaf, page, stamp, f"page {number} of {len(pages)}")
        page.draw(leaf)
        canvas.showPage()
    canvas.save()


def _frame(leaf: Leaf, page: Page, stamp: Stamp, count: str) -> None:
    paper = page.paper
    right, foot = paper.width - MARGIN, paper.height - MARGIN
    leaf.text(MARGIN, MARGIN + 4.0, page.title, 12.0, bold=True)
    if page.changed:
        leaf.text(right, MARGIN + 4.0, f"changed in revision {stamp.revision}", 9.0, bold=True, side="right")
    leaf.lines([(MARGIN, MARGIN + 6.0), (right, MARGIN + 6.0)], 0.35)
    leaf.lines([(MARGIN, foot - FOOT + 3.0), (right, foot - FOOT + 3.0)], 0.2)
    told = f"{stamp.boat}, revision {stamp.revision}, {stamp.date}. {stamp.units}; {stamp.marking}."
    leaf.text(MARGIN, foot, told, 7.0)
    leaf.text(right, foot, count, 7.0, side="right")


def table_pages(
    section: str,
    title: str,
    paper: Paper,
    columns: Sequence[Column],
    rows: Sequence[Sequence[str]],
    notes: Sequence[str] = (),
    size: float = 7.5,
    changed: frozenset[str] = frozenset(),
) -> Iterator[Page]:
    """A table over as many pages as it takes.

    Args:
        section: see `Page`.
        title: of each page.
        paper: drawn on.
        columns: with their widths, mm.
        rows: words of each cell.
        notes: paragraphs above the table on its first page.
        size: of the lettering, pt.
        changed: first cells of rows that make their page a changed one.
    """
    left, top, wide, high = paper.room
    above = sum(words_height(note, wide) + 1.5 for note in notes)
    table = table_of(columns, rows, size)
    parts = split_table(table, high, high - above)
    marked = bool(changed & {row[0].split()[0] for row in rows if row and row[0]})

    for number, part in enumerate(parts, 1):
        told = notes if number == 1 else ()

        def draw(leaf: Leaf, part: Flowable = part, told: Sequence[str] = told) -> None:
            y = top
            for note in told:
                y = leaf.paragraph(left, y, wide, note) + 1.5
            leaf.table(part, left, y)

        name = title if len(parts) == 1 else f"{title} ({number} of {len(parts)})"
        yield Page(section, name, paper, draw, marked)


def words_height(words: str, width: float, size: float = BODY) -> float:
    """Height of a wrapped paragraph, mm."""
    from reportlab.lib.styles import ParagraphStyle
    from reportlab.platypus import Paragraph

    fonts_ready()
    style = ParagraphStyle("words", fontName=PLAIN, fontSize=size, leading=size * 1.35)
    return float(
        Paragraph(words.replace("&", "&amp;").replace("<", "&lt;"), style).wrap(width * MM, 1e6)[1] / MM
    )
