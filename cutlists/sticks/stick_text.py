"""The stick plan in text that fits 100 columns: each stick as a bar, its cuts under it by saw setting."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import groupby, pairwise

from cutlists.sticks.cut_words import (
    CAUTIONS,
    HOW,
    LIES,
    Marking,
    edge,
    facts,
    heading,
    pieces_of,
    summary,
)
from cutlists.sticks.end_classes import slope
from cutlists.sticks.records import Cut, Placed, Stick, StickPlan, StockPlan
from cutlists.sticks.saw_setting import ALMOST
from model.geometry import Array

WIDTH = 98
"""Of the bars; the lines round them keep within 100 columns."""
LEGEND = (
    'F3> 14-3/16" far: the right end of F3 is marked at 14-3/16" on the far edge, the blade right of it.',
    "<F3: its left end, the blade left of the mark. F3>F7: one cut makes the ends of both.",
    "Bars: / and \\ are slants seen from above, far edge up (from the near side where only that shows them); "
    "dots are what is left.",
)


def stick_text(plan: StickPlan, marking: Marking) -> list[str]:
    """The whole plan as lines, none longer than 100 columns."""
    told = [line for stock in plan.stocks for line in summary(stock, marking)]
    return ["Stick plan", "", *wrapped(told), "", *stick_pictures(plan, marking)]


def stick_pictures(plan: StickPlan, marking: Marking) -> list[str]:
    """Every stick with its cuts, and how to read them, as lines none longer than 100 columns."""
    lines = [
        line
        for stock in plan.stocks
        for stick in stock.sticks
        for line in (*stick_lines(stock, stick, marking), "")
    ]
    return lines + wrapped([HOW, LIES, *LEGEND, *CAUTIONS])


def wrapped(lines: Sequence[str]) -> list[str]:
    """The lines, those that are too long broken, with the rest set in."""
    import textwrap

    found = []
    for line in lines:
        indent = " " * (len(line) - len(line.lstrip()) + 2)
        found += textwrap.wrap(line, 100, subsequent_indent=indent, break_on_hyphens=False)
    return found


def stick_lines(stock: StockPlan, stick: Stick, marking: Marking) -> list[str]:
    """One stick: what it is, the bar, the cuts."""
    return [
        *wrapped([heading(stock, stick, marking), f"  {facts(stick, marking)}"]),
        *bar(stick),
        *_cut_lines(stick, marking),
    ]


def slant(m: Array) -> str:
    r"""A cut of slope `(2,)` as a stroke: `|`, `/` or `\`."""
    seen = m[0] if abs(m[0]) > math.tan(ALMOST) else m[1]
    if abs(seen) <= math.tan(ALMOST):
        return "|"
    return "\\" if seen > 0 else "/"


def _stroke(placed: Placed, side: str) -> str:
    return slant(slope(placed.normal("left" if side == "left" else "right")))


def bar(stick: Stick) -> list[str]:
    """The stick to scale, as near as the marks allow, broken into lines where it is too long for one."""
    parts = [_joint(one, other, stick) for one, other in pairwise(stick.placed)]
    strokes = [_stroke(stick.placed[0], "left"), *parts, _stroke(stick.placed[-1], "right")]
    marks = [placed.piece.mark for placed in stick.placed]
    lengths = [placed.piece.length for placed in stick.placed]
    rest = max(0.0, stick.length - stick.placed[-1].end)
    room = WIDTH - sum(len(stroke) for stroke in strokes) - 1
    cells = _widths([*lengths, rest], [*(len(mark) for mark in marks), 1], room)
    words = [mark.center(cell) for mark, cell in zip(marks, cells, strict=False)]
    dots = "." * cells[-1] + "|" if rest > 0.0 else ""
    return list(
        _lines([stroke + word for stroke, word in zip(strokes, words, strict=False)], strokes[-1] + dots)
    )


def _joint(one: Placed, other: Placed, stick: Stick) -> str:
    """The strokes between two neighbours: one where one cut makes both ends."""
    right, left = _stroke(one, "right"), _stroke(other, "left")
    if other.shares or right == left == "|":
        return right
    parted = any(cut.what == "part" and cut.at == one.end for cut in stick.cuts)
    return f"{right}|{left}" if parted else right + left


def _widths(lengths: Sequence[float], least: Sequence[int], room: int) -> list[int]:
    """Columns for each length, none below its least, all of them in the room where that can be."""
    scale = room / max(1e-9, sum(lengths))
    for _ in range(60):
        found = [max(low, int(length * scale + 0.5)) for length, low in zip(lengths, least, strict=True)]
        if sum(found) <= room:
            return found
        scale *= 0.95
    return list(least)


def _lines(cells: Sequence[str], end: str) -> Iterator[str]:
    line = ""
    for cell in [*cells, end]:
        if line and len(line) + len(cell) > WIDTH:
            yield line
            line = ""
        line += cell
    yield line


def _cut_lines(stick: Stick, marking: Marking) -> Iterator[str]:
    """The cuts in their order, those with one setting and one lie together."""
    numbered = list(enumerate(stick.cuts, start=1))
    for (_, lies), group in groupby(numbered, key=lambda pair: (pair[1].setting.key, pair[1].setting.lies)):
        cuts = list(group)
        setting = cuts[0][1].setting
        flags = f" ({'; '.join(setting.flags)})" if setting.flags else ""
        yield from wrapped([f"  {setting.saw}{', ' + lies if lies else ''}{flags}"])
        yield from _columns([_told(number, cut, marking) for number, cut in cuts])


def _told(number: int, cut: Cut, marking: Marking) -> str:
    told = f"{number:>2} {pieces_of(cut)} {marking.tape(cut.at)}"
    side = edge(cut)
    return f"{told} {side}" if side else told


def _columns(cells: Sequence[str]) -> Iterator[str]:
    """Cells side by side, as many as fit a line, aligned."""
    wide = max(len(cell) for cell in cells) + 2
    per_line = max(1, (WIDTH - 4) // wide)
    for at in range(0, len(cells), per_line):
        yield "    " + "".join(cell.ljust(wide) for cell in cells[at : at + per_line]).rstrip()
