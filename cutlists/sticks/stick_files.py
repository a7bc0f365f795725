"""Everything a shop gets of the stick plan, as named files."""

from __future__ import annotations

from collections.abc import Iterator

from cutlists.file_names import file_names
from cutlists.sticks.cut_words import Marking
from cutlists.sticks.records import StickPlan
from cutlists.sticks.stick_svg import stick_svg
from cutlists.sticks.stick_table import cuts_csv, sticks_csv
from cutlists.sticks.stick_text import stick_text


def stick_files(plan: StickPlan, units: str = "in", denominator: int = 16) -> Iterator[tuple[str, bytes]]:
    """Names and contents: the plan as text, sticks and cuts as CSV, a picture for each stick.

    Args:
        plan: the sticks.
        units: of lengths in pictures and text.
        denominator: fractions are of 1 / this inch.
    """
    marking = Marking(units, denominator)
    yield "sticks.txt", ("\n".join(stick_text(plan, marking)) + "\n").encode()
    yield "sticks.csv", sticks_csv(plan, denominator).encode()
    yield "cuts.csv", cuts_csv(plan, denominator).encode()
    names = file_names((stock.stock for stock in plan.stocks), "tube")
    for stock in plan.stocks:
        for stick in stock.sticks:
            yield f"{names[stock.stock]}-{stick.number}.svg", stick_svg(stock, stick, marking).encode()
