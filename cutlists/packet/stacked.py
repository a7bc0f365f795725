"""Pages that carry several short tables, one below the other, each with its title and notes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from cutlists.afloat.leaf import Leaf as Told
from cutlists.drawing.drawing import letters_wide
from cutlists.packet.leaf import BODY, MM, Column, Leaf, table_of
from cutlists.packet.page import Page, table_pages
from cutlists.packet.paper import Paper

TITLE = 10.5
"""Room that the title of a table and the gap after it take, mm."""

Widths = Mapping[str, Sequence[float]]


def stacked_pages(section: str, paper: Paper, tables: Sequence[Told], widths: Widths) -> Iterator[Page]:
    """As many tables to a page as there is room for; one that needs more is split over several.

    Args:
        section: see `Page`.
        paper: drawn on.
        tables: in their order.
        widths: of the columns of a table by its title, mm; narrowed together where they are too wide.
    """
    left = list(tables)
    while left:
        count = next(n for n in range(len(left), 0, -1) if n == 1 or _fit(left[:n], paper, widths))
        if count == 1:
            told = left[0]
            columns = _columns(told, paper, widths)
            yield from table_pages(section, told.title, paper, columns, told.rows, told.notes)
        else:
            yield _page(section, paper, left[:count], widths)
        left = left[count:]


def _page(section: str, paper: Paper, tables: Sequence[Told], widths: Widths) -> Page:
    def draw(leaf: Leaf) -> None:
        left, top, wide, _ = paper.room
        y = top
        for told in tables:
            leaf.text(left, y + 4.0, told.title, 10.0, bold=True)
            y = leaf.table(table_of(_columns(told, paper, widths), told.rows), left, y + 6.0) + 1.5
            for note in told.notes:
                y = leaf.paragraph(left, y, wide, note) + 1.0
            y += 3.0

    return Page(section, ", ".join(told.title for told in tables), paper, draw)


def _fit(tables: Sequence[Told], paper: Paper, widths: Widths) -> bool:
    """Whether tables with their titles and notes go on one page."""
    _, _, wide, high = paper.room
    found = 0.0
    for told in tables:
        table = table_of(_columns(told, paper, widths), told.rows)
        found += float(table.wrap(1e6, 1e6)[1]) / MM + TITLE
        # about how high a note is; errs on the high side
        found += sum(1.0 + 4.1 * (1 + int(letters_wide(note, BODY / MM) / wide)) for note in told.notes)
    return found < high


def _columns(told: Told, paper: Paper, widths: Widths) -> list[Column]:
    wide = paper.room[2]
    own = widths.get(told.title, (wide / len(told.head),) * len(told.head))
    share = min(1.0, wide / sum(own))
    return [Column(head, width * share) for head, width in zip(told.head, own, strict=True)]
