"""The packet's pages of hoses: diagram, the runs in the boat, tables with cautions."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from cutlists.hoses.leaves import leaves, run_words
from cutlists.hoses.schematic import schematic
from cutlists.packet.leaf import Leaf
from cutlists.packet.page import Page
from cutlists.packet.paper import PaperSet
from cutlists.packet.runs_pages import runs_page
from cutlists.packet.stacked import stacked_pages
from model.hoses.check import CAUTIONS, HoseReport

if TYPE_CHECKING:
    from model.boat import Boat

SECTION = "Hoses"
CASE = 22.0
"""Width of the column of a load case, mm."""

WIDTHS: dict[str, tuple[float, ...]] = {
    "Hoses": (32.0, 25.0, 27.0, 16.0, 14.0, 17.0, 17.0, 13.0, 25.0),
    "Pumps": (34.0, 24.0, 28.0, 18.0, 18.0, 22.0, 20.0, 18.0),
    "Wells": (30.0, 20.0, 26.0, 30.0, 28.0, 20.0, 28.0),
}


def hose_pages(boat: Boat, report: HoseReport | None, papers: PaperSet) -> Iterator[Page]:
    """The pages; none for a boat without hoses. What to buy stands in the buy list."""
    if report is None or not report.hoses:
        return

    def draw(leaf: Leaf) -> None:
        left, top, wide, high = papers.drawings.room
        y = top
        for caution in CAUTIONS:
            y = leaf.paragraph(left, y, wide, caution) + 1.0
        leaf.drawing(schematic(report, boat.title), (left, y + 3.0, wide, top + high - y - 3.0))

    yield Page(SECTION, "What leads to what", papers.drawings, draw)
    runs = [hose.run for hose in report.hoses if hose.run is not None]
    if runs:
        yield runs_page(boat, runs, papers.drawings, SECTION, "Runs of hose", run_words(report))
    tables = leaves(report, ())
    if report.remarks:
        tables[0] = replace(
            tables[0], notes=(*tables[0].notes, *(f"{r[0].upper()}{r[1:]}." for r in report.remarks))
        )
    cases = 0 if report.waters is None or not report.waters.known else len(report.waters.told)
    skin = (24.0, 44.0, *[CASE] * cases, 18.0, 17.0, 18.0, 34.0)
    yield from stacked_pages(SECTION, papers.lists, tables, {**WIDTHS, "Through the skin": skin})
