"""The packet's pages of wires: diagram, plan of the runs, schedule, fuse map, what to buy, the day."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from cutlists.afloat.leaf import Leaf as Told
from cutlists.drawing.drawing import letters_wide
from cutlists.electrics.buy import TITLE as BUY_TITLE
from cutlists.electrics.diagram import diagram_svg
from cutlists.electrics.leaves import wire_leaves
from cutlists.electrics.run_words import drawn_runs, run_words
from cutlists.electrics.spool_file import WireStock
from cutlists.electrics.words import CAUTIONS
from cutlists.packet.leaf import BODY, MM, Column, Leaf, table_of
from cutlists.packet.page import Page, table_pages
from cutlists.packet.paper import PaperSet
from cutlists.packet.runs_pages import runs_page
from model.electrics.report import ElectricsReport

if TYPE_CHECKING:
    from model.boat import Boat

SECTION = "Wires"
TITLE = 10.5
"""Room that the title of a table and the gap after it take, mm."""
WIDTHS: Mapping[str, tuple[float, ...]] = {
    "Circuits": (26.0, 16.0, 12.0, 26.0, 18.0, 15.0, 13.0, 16.0, 42.0),
    "Fuse map": (30.0, 14.0, 18.0, 32.0, 32.0, 18.0, 28.0),
    "Wires": (38.0, 32.0, 32.0, 14.0, 28.0, 22.0, 18.0),
    "To buy for the wires": (20.0, 38.0, 44.0, 14.0, 18.0, 18.0, 36.0),
}
"""Of the columns of tables, mm; others share the width evenly."""


@dataclass(frozen=True, eq=False)
class Wiring:
    """The wires, and what the shop buys them from: spools, and prices of fuses and terminals by name."""

    report: ElectricsReport
    stock: WireStock
    prices: Mapping[str, float]


def electrics_pages(
    boat: Boat, wiring: Wiring | None, papers: PaperSet, for_owner: bool = False
) -> Iterator[Page]:
    """The pages; none for a boat without wires. The owner is not told what to buy."""
    if wiring is None or wiring.report.electrics is None:
        return
    report = wiring.report
    drawings = papers.drawings

    def draw(leaf: Leaf) -> None:
        left, top, wide, high = drawings.room
        y = top
        for caution in CAUTIONS:
            y = leaf.paragraph(left, y, wide, caution) + 1.0
        leaf.drawing(diagram_svg(report), (left, y + 3.0, wide, top + high - y - 3.0))

    yield Page(SECTION, "One-line diagram", drawings, draw)
    if report.runs:
        yield runs_page(boat, drawn_runs(report), drawings, SECTION, "Runs of wire", run_words(report))
    told = wire_leaves(report, wiring.stock, wiring.prices)
    tables = [leaf for leaf in told if not (for_owner and leaf.title == BUY_TITLE)]
    while tables:
        count = next(n for n in range(len(tables), 0, -1) if n == 1 or _high(tables[:n], papers) < 1.0)
        yield from _table_page(tables[:count], papers)
        tables = tables[count:]


def _high(tables: Sequence[Told], papers: PaperSet) -> float:
    """What tables with their titles and notes take of a page's height."""
    _, _, wide, high = papers.lists.room
    found = 0.0
    for told in tables:
        table = table_of(_columns(told, papers), told.rows)
        found += float(table.wrap(1e6, 1e6)[1]) / MM + TITLE
        found += sum(1.0 + _note_high(note, wide) for note in told.notes)
    return found / high


def _note_high(note: str, wide: float) -> float:
    """About how high a note is, mm; errs on the high side."""
    return 4.1 * (1 + int(letters_wide(note, BODY / MM) / wide))


def _table_page(tables: Sequence[Told], papers: PaperSet) -> Iterator[Page]:
    """Several tables on one page, or one over as many as it takes."""
    if len(tables) == 1:
        (told,) = tables
        columns = _columns(told, papers)
        yield from table_pages(SECTION, told.title, papers.lists, columns, told.rows, told.notes)
        return

    def draw(leaf: Leaf) -> None:
        left, top, wide, _ = papers.lists.room
        y = top
        for told in tables:
            leaf.text(left, y + 4.0, told.title, 10.0, bold=True)
            y = leaf.table(table_of(_columns(told, papers), told.rows), left, y + 6.0) + 1.5
            for note in told.notes:
                y = leaf.paragraph(left, y, wide, note) + 1.0
            y += 3.0

    yield Page(SECTION, ", ".join(told.title for told in tables), papers.lists, draw)


def _columns(told: Told, papers: PaperSet) -> list[Column]:
    wide = papers.lists.room[2]
    widths = WIDTHS.get(told.title, (wide / len(told.head),) * len(told.head))
    share = min(1.0, wide / sum(widths))
    return [Column(head, width * share) for head, width in zip(told.head, widths, strict=True)]
