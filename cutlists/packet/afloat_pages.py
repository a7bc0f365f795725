"""The packet's page of weight, trim and what the boat may carry."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from cutlists.afloat.leaves import CAUTIONS
from cutlists.afloat.short import short_leaf
from cutlists.packet.leaf import Column
from cutlists.packet.page import Page, table_pages
from cutlists.packet.paper import PaperSet
from model.capacity.float_report import FloatReport

if TYPE_CHECKING:
    from model.boat import Boat

SECTION = "Weights"
COLUMNS = (
    Column("", 58.0),
    Column("found", 38.0, "right"),
    Column("limit", 34.0),
    Column("from", 56.0),
)


def afloat_pages(
    boat: Boat, report: FloatReport | None, papers: PaperSet, working: bool = True
) -> Iterator[Page]:
    """What a builder asks of a boat afloat, with the cautions that go with it; nothing without a report.

    `working` says where the working is to be found.
    """
    if report is None:
        return
    leaf = short_leaf(boat, report)
    notes = (*CAUTIONS, *(leaf.notes if working else ()))
    # What is found is set to the right and its limit to the left: they need something between them.
    rows = [
        (what, found, f"\N{NO-BREAK SPACE}\N{NO-BREAK SPACE}{limit}", source)
        for what, found, limit, source in leaf.rows
    ]
    yield from table_pages(SECTION, "Afloat", papers.lists, COLUMNS, rows, notes)
