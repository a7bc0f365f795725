"""The packet's pages of wires: diagram, plan of the runs, schedule, fuse map, the day."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from cutlists.electrics.diagram import diagram_svg
from cutlists.electrics.leaves import wire_leaves
from cutlists.electrics.run_words import drawn_runs, run_words
from cutlists.electrics.words import CAUTIONS
from cutlists.packet.leaf import Leaf
from cutlists.packet.page import Page
from cutlists.packet.paper import PaperSet
from cutlists.packet.runs_pages import runs_page
from cutlists.packet.stacked import stacked_pages
from model.electrics.report import ElectricsReport

if TYPE_CHECKING:
    from model.boat import Boat

SECTION = "Wires"
DAY = ("Current over the day", "Batteries")
"""Tables that stay together."""
WIDTHS: Mapping[str, tuple[float, ...]] = {
    "Circuits": (26.0, 16.0, 12.0, 26.0, 18.0, 15.0, 13.0, 16.0, 42.0),
    "Fuse map": (30.0, 14.0, 18.0, 32.0, 32.0, 18.0, 28.0),
    "Wires": (38.0, 32.0, 32.0, 14.0, 28.0, 22.0, 18.0),
    "Runs": (9.0, 28.0, 28.0, 18.0, 30.0, 18.0, 13.0, 16.0, 26.0),
}
"""Of the columns of tables, mm; others share the width evenly."""


def electrics_pages(boat: Boat, report: ElectricsReport | None, papers: PaperSet) -> Iterator[Page]:
    """The pages; none for a boat without wires. What to buy stands in the buy list."""
    if report is None or report.electrics is None:
        return
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
    tables = list(wire_leaves(report))
    day = [leaf for leaf in tables if leaf.title in DAY]
    yield from stacked_pages(SECTION, papers.lists, [leaf for leaf in tables if leaf not in day], WIDTHS)
    yield from stacked_pages(SECTION, papers.lists, day, WIDTHS)
