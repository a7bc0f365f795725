"""A table with a title and notes, and how it is laid out in 100 columns of text."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.table import Table

WIDTH = 100
GAP = 2


@dataclass(frozen=True)
class Leaf:
    """One table.

    Attributes:
        title: above it.
        head: a heading for each column.
        rows: texts, as many as headings.
        notes: below it: limits, sources, working.
    """

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...] = ()


def leaf_lines(leaf: Leaf) -> Iterator[str]:
    """A leaf as lines of at most 100 letters; columns of numbers end at their right edge."""
    yield leaf.title
    yield "-" * len(leaf.title)
    table = [leaf.head, *leaf.rows]
    widths = [max(len(row[i]) for row in table) for i in range(len(leaf.head))]
    while sum(widths) + GAP * (len(widths) - 1) > WIDTH:
        widths[widths.index(max(widths))] -= 1
    right = {i for i in range(1, len(leaf.head)) if _is_numeric([row[i] for row in leaf.rows])}
    for row in table:
        cells = [
            _cut(text, width).rjust(width) if i in right else _cut(text, width).ljust(width)
            for i, (text, width) in enumerate(zip(row, widths, strict=True))
        ]
        yield (" " * GAP).join(cells).rstrip()
    for note in leaf.notes:
        yield from textwrap.wrap(
            note, WIDTH, initial_indent="  ", subsequent_indent="  ", break_on_hyphens=False
        )


def leaf_table(leaf: Leaf) -> Table:
    """A leaf for the terminal, at most 100 columns wide."""
    from rich.table import Table
    from rich.text import Text

    caption = Text("\n".join(leaf.notes), justify="left") if leaf.notes else None
    table = Table(
        title=leaf.title,
        caption=caption,
        caption_justify="left",
        width=WIDTH,
        header_style="bold",
        pad_edge=False,
    )
    for i, name in enumerate(leaf.head):
        numeric = i > 0 and _is_numeric([row[i] for row in leaf.rows])
        table.add_column(name, justify="right" if numeric else "left")
    for row in leaf.rows:
        table.add_row(*(Text(cell) for cell in row))
    return table


def _is_numeric(cells: Sequence[str]) -> bool:
    """Whether three in four of the cells that say anything begin with a number."""
    told = [cell for cell in cells if cell]
    return sum(cell.lstrip("-+").startswith(tuple("0123456789")) for cell in told) * 4 >= 3 * len(told)


def _cut(text: str, width: int) -> str:
    return text if len(text) <= width else text[: width - 2] + ".."
