"""The sticks in short, one a row: for a terminal and as CSV; and every cut as CSV."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from cutlists.sticks.cut_words import Marking, edge, left_over, makes, other_edge, source, summary
from cutlists.sticks.records import Cut, Stick, StickPlan, StockPlan
from parts.lengths import format_fraction

if TYPE_CHECKING:
    from rich.table import Table

STICK_COLUMNS = (
    "section", "stick", "cut from", "length mm", "price", "pieces", "shared mitres", "saved mm", "used %",
    "left", "left mm", "keep", "marks from the left",
)  # fmt: skip
CUT_COLUMNS = (
    "section", "stick", "cut", "makes", "at", "at mm", "long point on", "short point at", "short point at mm",
    "blade", "mitre deg", "tilt deg", "saw", "stick lies", "past the saw",
)  # fmt: skip
"""Headings; places are measured from the left end of the whole stick."""


def stick_table(plan: StickPlan, marking: Marking) -> Table:
    """The sticks for a terminal, at most 100 columns wide, with lines on each section below them."""
    from rich.table import Table
    from rich.text import Text

    told = [line for stock in plan.stocks for line in summary(stock, marking)]
    table = Table(
        title="Sticks", caption=Text("\n".join(told)), caption_justify="left", width=100,
        header_style="bold", pad_edge=False,
    )  # fmt: skip
    table.add_column("section", overflow="fold", max_width=22)
    for name in ("no", "cut from", "pieces", "used", "left"):
        right = name in ("no", "pieces", "used")
        table.add_column(name, justify="right" if right else "left", no_wrap=True, overflow="ellipsis")
    table.add_column("marks", overflow="ellipsis", no_wrap=True, ratio=1)
    for stock in plan.stocks:
        for stick in stock.sticks:
            cells = (stock.stock, str(stick.number), source(stick, marking), str(len(stick.placed)))
            share = f"{_share(stick):.0f} %"
            told_cells = (*cells, share, left_over(stick, marking), " ".join(marks_of(stick)))
            table.add_row(*(Text(cell) for cell in told_cells))
    return table


def _share(stick: Stick) -> float:
    return 100.0 * stick.used / stick.length


def marks_of(stick: Stick) -> list[str]:
    """Marks of the pieces from left to right."""
    return [placed.piece.mark for placed in stick.placed]


def sticks_csv(plan: StickPlan, denominator: int = 16) -> str:
    """The sticks as CSV (RFC 4180), one a row."""
    rows = [_stick_row(stock, stick, denominator) for stock in plan.stocks for stick in stock.sticks]
    return _csv([STICK_COLUMNS, *rows])


def _stick_row(stock: StockPlan, stick: Stick, denominator: int) -> tuple[str | int, ...]:
    return (
        stock.stock, stick.number, "buy" if stick.is_bought else stick.label, f"{stick.length:.1f}",
        "" if stick.price is None else f"{stick.price:.2f}", len(stick.placed),
        sum(placed.shares for placed in stick.placed), f"{stick.saved:.1f}", f"{_share(stick):.1f}",
        format_fraction(stick.offcut, denominator), f"{stick.offcut:.1f}", "yes" if stick.kept else "no",
        " ".join(marks_of(stick)),
    )  # fmt: skip


def cuts_csv(plan: StickPlan, denominator: int = 16) -> str:
    """Every cut as CSV, one a row, in the order to make them."""
    rows = [
        (stock.stock, stick.number, number, *_cut_row(stock, cut, denominator))
        for stock in plan.stocks
        for stick in stock.sticks
        for number, cut in enumerate(stick.cuts, start=1)
    ]
    return _csv([CUT_COLUMNS, *rows])


def _cut_row(stock: StockPlan, cut: Cut, denominator: int) -> tuple[str, ...]:
    short = other_edge(stock.pieces.section, cut)
    setting = cut.setting
    return (
        makes(cut), format_fraction(cut.at, denominator), f"{cut.at:.1f}", edge(cut),
        "" if short is None else format_fraction(short, denominator), "" if short is None else f"{short:.1f}",
        "right of the mark" if cut.blade > 0 else "left of the mark",
        f"{math.degrees(setting.mitre) + 0.0:.2f}", f"{math.degrees(setting.tilt) + 0.0:.2f}", setting.saw,
        setting.lies or "as drawn", "; ".join(setting.flags),
    )  # fmt: skip


def _csv(rows: Iterable[Sequence[object]]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="\r\n").writerows(rows)
    return out.getvalue()
