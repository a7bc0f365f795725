"""The nests in short: what to buy and how well it is used, for a terminal and as text and CSV."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

from cutlists.nests.records import MaterialNest, NestPlan, SheetNest
from parts.lengths import format_fraction

if TYPE_CHECKING:
    from rich.table import Table

CAUTION = "Measure each sheet before cutting it. Cut edges are sharp; follow the cutter's own rules."
COLUMNS = (
    "sheet",
    "number",
    "cut from",
    "price",
    "pieces",
    "used %",
    "rest length",
    "rest width",
    "rest length mm",
    "rest width mm",
    "marks",
)
"""Headings of the CSV file; the rest is the largest rectangle left."""


def nest_table(plan: NestPlan, units: str = "in") -> Table:
    """The sheets for a terminal, at most 100 columns wide, with a line on each material below them."""
    from rich.table import Table

    caption = "\n".join([*summary(plan), CAUTION])
    table = Table(title="Sheet nests", caption=caption, width=100, header_style="bold", pad_edge=False)
    table.add_column("sheet", overflow="fold", max_width=16)
    table.add_column("no", justify="right", no_wrap=True)
    table.add_column("cut from", overflow="fold", max_width=22)
    table.add_column("price", justify="right", no_wrap=True)
    table.add_column("pieces", justify="right", no_wrap=True)
    table.add_column("used", justify="right", no_wrap=True)
    table.add_column("largest left", justify="right", no_wrap=True)
    table.add_column("marks", overflow="ellipsis", no_wrap=True, ratio=1)
    for material in plan.materials:
        for number, nest in enumerate(material.sheets, start=1):
            table.add_row(
                material.sheet,
                str(number),
                nest.stock.label,
                _price(nest),
                str(len(nest.placements)),
                f"{100 * nest.used:.1f} %",
                _rest(nest, units),
                " ".join(_marks(nest)),
            )
    return table


def summary(plan: NestPlan) -> list[str]:
    """A line on each material: what it comes to, and how close to the least possible that is."""
    found = [_summed(material) for material in plan.materials]
    if plan.cut_short:
        found.append(f"Seed {plan.seed}; stopped by the clock, so another run may come out otherwise.")
    else:
        found.append(f"Seed {plan.seed}; the same every time.")
    return found + [f"Note: {note}." for note in plan.notes]


def _summed(material: MaterialNest) -> str:
    bought = [nest for nest in material.sheets if not nest.stock.is_offcut]
    offcuts = len(material.sheets) - len(bought)
    parts = [f"{len(bought)} to buy"] + [f"{offcuts} from offcuts"] * bool(offcuts)
    cost = _cost(material, material.cost)
    close = (
        "no plan costs less" if material.is_least else f"none can be below {_cost(material, material.bound)}"
    )
    return (
        f"{material.sheet}: {', '.join(parts)}, {cost}, {100 * material.used:.1f} % used; "
        f"{close} (by {material.why})"
    )


def _cost(material: MaterialNest, amount: float) -> str:
    return f"{amount:.2f}" if material.priced else f"{amount:.2f} m2"


def _price(nest: SheetNest) -> str:
    if nest.stock.is_offcut:
        return "on hand"
    return "" if nest.stock.price is None else f"{nest.stock.price:.2f}"


def _rest(nest: SheetNest, units: str) -> str:
    if nest.rest is None:
        return ""
    sides = (nest.rest[2] - nest.rest[0], nest.rest[3] - nest.rest[1])
    if units in ("in", "ft"):
        return " x ".join(format_fraction(side) for side in sides)
    return " x ".join(f"{side:.0f}" for side in sides)


def _marks(nest: SheetNest) -> list[str]:
    return sorted((p.piece.mark for p in nest.placements), key=lambda mark: (len(mark), mark))


def nests_text(plan: NestPlan, units: str = "in") -> str:
    """The table as plain text."""
    from rich.console import Console

    out = io.StringIO()
    Console(file=out, width=100, color_system=None, legacy_windows=False).print(nest_table(plan, units))
    return "\n".join(line.rstrip() for line in out.getvalue().splitlines()) + "\n"


def nests_csv(plan: NestPlan, denominator: int = 16) -> str:
    """The sheets as CSV, one a row."""
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\r\n")
    rows.writerow(COLUMNS)
    for material in plan.materials:
        for number, nest in enumerate(material.sheets, start=1):
            sides = () if nest.rest is None else (nest.rest[2] - nest.rest[0], nest.rest[3] - nest.rest[1])
            rest = [format_fraction(side, denominator) for side in sides] or ["", ""]
            exact = [f"{side:.1f}" for side in sides] or ["", ""]
            used, marks = f"{100 * nest.used:.2f}", " ".join(_marks(nest))
            start = [material.sheet, number, nest.stock.label, _price(nest), len(nest.placements), used]
            rows.writerow([*start, *rest, *exact, marks])
    return out.getvalue()
