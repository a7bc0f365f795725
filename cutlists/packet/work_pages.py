"""The packet's pages of work: a checklist to tick by hand, and the chart of its days."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from cutlists.drawing.drawing import Drawing
from cutlists.packet.leaf import Column, Leaf
from cutlists.packet.page import Page, table_pages
from cutlists.packet.paper import PaperSet
from cutlists.work.cautions import CAUTIONS
from cutlists.work.chart import draw_chart, parts_of
from cutlists.work.standing import Standing
from cutlists.work.tables import checklist_rows, orders_in_short, told_changes, told_pauses

if TYPE_CHECKING:
    from cutlists.work.records import Slot

SECTION = "Work"
ROWS = 52
"""Rows of the chart on a page, so that names can be read from an arm's length."""
CHECKLIST = (
    Column("done", 15.0),
    Column("task", 38.0),
    Column("do", 72.0),
    Column("h", 10.0, "right"),
    Column("planned", 18.0),
    Column("only after", 20.0),
    Column("h spent", 15.0),
)


def work_pages(standing: Standing | None, papers: PaperSet) -> Iterator[Page]:
    """Every task in the order of the plan with a box to tick, then the chart; nothing without a plan."""
    if standing is None or not standing.plan.all_tasks:
        return
    plan = standing.plan
    done = f" {len(plan.done)} tasks are done already." if plan.done else ""
    notes = (
        *CAUTIONS,
        f"{plan.summary()[0].removeprefix('work: ')}.{done} `Only after` names lines of this list. "
        "A star marks the longest chain: what is late there makes the whole late.",
        *told_changes(standing),
        *filter(None, [orders_in_short(standing)]),
        *told_pauses(standing),
    )
    rows = list(checklist_rows(standing))
    yield from table_pages(SECTION, "Order of work", papers.lists, CHECKLIST, rows, notes, size=7.0)
    left, top, wide, high = papers.drawings.room
    parts = list(parts_of(plan.slots, ROWS))
    for number, part in enumerate(parts, 1):

        def draw(leaf: Leaf, part: Sequence[Slot] = part) -> None:
            drawing = Drawing(wide, high, "Chart of work")
            draw_chart(drawing, plan, part)
            leaf.drawing(drawing.svg(), (left, top, wide, high), true_size=True)

        name = "Chart of work" if len(parts) == 1 else f"Chart of work ({number} of {len(parts)})"
        yield Page(SECTION, name, papers.drawings, draw)
