"""The cut plans, the buy list and the boat afloat as tables beside the view."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from app.preview.tables import Table
from cutlists.afloat.leaves import leaves
from cutlists.sticks.cut_words import Marking, left_over, source, summary
from cutlists.sticks.stick_table import marks_of
from parts.lengths import format_length

if TYPE_CHECKING:
    from cutlists.buy_list import BuyList
    from cutlists.nests.records import NestPlan
    from cutlists.plans import Plans
    from cutlists.sticks.records import StickPlan
    from model.boat import Boat
    from model.capacity.float_report import FloatReport


def plan_sections(plans: Plans, units: str, denominator: int) -> dict[str, dict[str, Any]]:
    """The plans as sections: sticks, nests, buy."""
    return {
        "sticks": stick_table(plans.sticks, Marking(units, denominator)).plain(),
        "nests": nest_table(plans.nests, units).plain(),
        "buy": buy_table(plans.buy).plain(),
    }


def stick_table(plan: StickPlan, marking: Marking) -> Table:
    """Every stick of tube with the marks cut from it, from its left end."""
    rows = []
    for stock in plan.stocks:
        for stick in stock.sticks:
            names = tuple(placed.name for placed in stick.placed)
            cells = (
                f"{stock.stock} {stick.number}",
                source(stick, marking),
                " ".join(marks_of(stick)),
                left_over(stick, marking),
                f"{100.0 * stick.used / stick.length:.0f} %",
            )
            rows.append((f"{stock.stock} {stick.number}", names, cells))
    heads = ("stick", "cut from", "marks from the left", "left", "used")
    foot = "; ".join(line for stock in plan.stocks for line in summary(stock, marking)[:1])
    return Table(heads, (4,), (), tuple(rows), foot)


def nest_table(plan: NestPlan, units: str) -> Table:
    """Every sheet with the marks cut from it."""
    rows = []
    for material in plan.materials:
        for number, nest in enumerate(material.sheets, start=1):
            names = tuple(placed.piece.name for placed in nest.placements)
            marks = sorted({placed.piece.mark for placed in nest.placements}, key=lambda m: (len(m), m))
            rest = nest.rest
            left = (
                f"{format_length(rest[2] - rest[0], units)} x {format_length(rest[3] - rest[1], units)}"
                if rest
                else ""
            )
            cells = (
                f"{material.sheet} {number}",
                nest.stock.label,
                " ".join(marks),
                left,
                f"{100 * nest.used:.0f} %",
            )
            rows.append((cells[0], names, cells))
    heads = ("sheet", "cut from", "marks", "largest left", "used")
    return Table(heads, (4,), (), tuple(rows), "quick nests; a build takes its time over them")


def buy_table(found: BuyList) -> Table:
    """What to buy, with costs as far as prices are known."""
    rows = tuple(
        (
            f"{line.name} {line.size}",
            (),
            (
                line.name,
                line.size,
                str(line.need),
                str(line.on_hand or ""),
                str(line.buy or ""),
                "no price" if line.wants_price else "" if line.cost is None else f"{line.cost:.2f}",
            ),
        )
        for line in found.lines
    )
    heads = ("what", "size", "need", "here", "buy", "cost")
    return Table(heads, (2, 3, 4, 5), (), rows, f"total {found.total_words()}")


def afloat_section(boat: Boat, report: FloatReport) -> list[dict[str, Any]]:
    """The boat's weight and how she floats: tables with titles and notes."""
    return [
        {"title": leaf.title, "head": leaf.head, "rows": leaf.rows, "notes": leaf.notes}
        for leaf in leaves(boat, report)
    ]
