"""Rows of text in columns that fit a terminal of 100 letters."""

from __future__ import annotations

from collections.abc import Sequence

WIDTH = 100
GAP = 2


def columns(head: Sequence[str], rows: Sequence[Sequence[str]], right: Sequence[int] = ()) -> list[str]:
    """Lines of at most `WIDTH` letters, the head first; what is too long is cut with `..`, widest first.

    Args:
        head: a heading for each column.
        rows: a text for each column; control characters are shown as spaces.
        right: columns that end at their right edge, for numbers.
    """
    table = [[_plain(text) for text in row] for row in (head, *rows)]
    widths = [max(len(row[i]) for row in table) for i in range(len(head))]
    while sum(widths) + GAP * (len(widths) - 1) > WIDTH:
        widths[widths.index(max(widths))] -= 1
    return [_line(row, widths, right) for row in table]


def _line(row: Sequence[str], widths: Sequence[int], right: Sequence[int]) -> str:
    cells = []
    for place, (text, width) in enumerate(zip(row, widths, strict=True)):
        cut = text if len(text) <= width else text[: width - 2] + ".."
        cells.append(cut.rjust(width) if place in right else cut.ljust(width))
    return (" " * GAP).join(cells).rstrip()


def _plain(text: str) -> str:
    return "".join(letter if letter.isprintable() else " " for letter in text)
