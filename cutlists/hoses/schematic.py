"""A diagram of the hoses: what leads to what, pumps, valves, the skin, each hose with its size and length."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from cutlists.drawing.drawing import CENTRE, EDGE, GREY, OUTLINE, PALE, WHITE, Drawing, Pen, letters_wide
from cutlists.hoses.leaves import cut_told
from model.hoses.check import HoseReport
from model.hoses.lay import HoseFound
from model.hoses.plan import PUMPED, End
from parts.lengths import format_length

STEP, ROW = 62.0, 26.0
"""Between two things in a line and between two lines, mm of paper."""

LEFT, TOP, RIGHT = 26.0, 24.0, 30.0
SIZE = 5.0
"""Half the size of a symbol, mm."""

TURN = 8.0
"""A hose that goes on in another row turns there so far from its end, mm."""

HOSE = Pen(0.7)
LETTERS = 2.6

Key = tuple[str, str]


@dataclass(frozen=True, eq=False)
class _Spot:
    """Where a thing is drawn, mm of paper."""

    end: End
    x: float
    y: float


def schematic(report: HoseReport, title: str) -> str:
    """The diagram as SVG; water runs from left to right."""
    spots = _placed(report.hoses)
    columns = max((spot.x for spot in spots.values()), default=LEFT)
    rows = max((spot.y for spot in spots.values()), default=TOP)
    drawing = Drawing(columns + RIGHT, rows + 24.0, f"{title}: hoses")
    drawing.text(6.0, 9.0, f"{title}: hoses", 4.0, bold=True)
    drawing.text(6.0, 14.5, "Not to scale; water runs from left to right.", LETTERS, ink=GREY)
    for hose in report.hoses:
        _hose(drawing, hose, spots[hose.plan.start.key], spots[hose.plan.end.key], report.units)
    skins = {skin.name: skin.shut for skin in report.skins}
    for spot in spots.values():
        _symbol(drawing, spot, skins)
    return drawing.svg()


def _placed(hoses: Sequence[HoseFound]) -> dict[Key, _Spot]:
    """Things in columns by how many hoses lie before them, each chain in a row of its own."""
    ends: dict[Key, End] = {}
    for hose in hoses:
        ends.setdefault(hose.plan.start.key, hose.plan.start)
        ends.setdefault(hose.plan.end.key, hose.plan.end)
    rank = dict.fromkeys(ends, 0)
    for _ in hoses:
        for hose in hoses:
            rank[hose.plan.end.key] = max(rank[hose.plan.end.key], rank[hose.plan.start.key] + 1)
    row: dict[Key, int] = {}
    used = 0
    for hose in hoses:
        start, end = hose.plan.start.key, hose.plan.end.key
        if start not in row:
            row[start], used = used, used + 1
        if end not in row:
            taken = {(rank[key], own) for key, own in row.items()}
            row[end] = row[start]
            while (rank[end], row[end]) in taken:
                row[end], used = used, used + 1
    return {key: _Spot(end, LEFT + STEP * rank[key], TOP + 8.0 + ROW * row[key]) for key, end in ends.items()}


def _hose(drawing: Drawing, hose: HoseFound, start: _Spot, end: _Spot, units: str) -> None:
    """A hose with its arrow and what it is: one that branches off goes down first, one that joins last."""
    x0, x1, y0, y1 = start.x + SIZE, end.x - SIZE, start.y, end.y
    branches = y1 > y0
    turn = x0 + TURN if branches else x1 - TURN
    line = [(x0, y0), (turn, y0), (turn, y1), (x1, y1)] if y0 != y1 else [(x0, y0), (x1, y1)]
    pen = HOSE if hose.plan.kind in PUMPED else Pen(0.7, GREY, (2.4, 1.0))
    drawing.lines([line], pen, hose.name)
    drawing.area([[(x1, y1), (x1 - 3.0, y1 - 1.3), (x1 - 3.0, y1 + 1.3)]], None, pen.ink)
    left, right, y = (turn, x1, y1) if branches else (x0, turn if y0 != y1 else x1, y0)
    middle = (left + right) / 2.0
    drawing.text(middle, y - 1.6, hose.name, LETTERS, "middle", bold=True)
    size = f"{format_length(hose.plan.hose.inside, units)} x {cut_told(hose.to_cut, units)}"
    drawing.text(middle, y + 4.0, size, LETTERS, "middle")
    if hose.loop is not None:
        drawing.text(middle, y + 7.4, "high loop", LETTERS - 0.3, "middle", ink=GREY)


def _symbol(drawing: Drawing, spot: _Spot, skins: Mapping[str, str]) -> None:
    """A thing by its kind, with its name below it."""
    x, y, end = spot.x, spot.y, spot.end
    kind = end.part.kind if end.part is not None else ""
    shut = skins.get(end.name, "")
    if end.name in skins:
        drawing.lines([[(x, y - 2.0 * SIZE), (x, y + 2.0 * SIZE)]], Pen(0.6))
    if end.is_pump:
        drawing.dot((x, y), SIZE, OUTLINE, WHITE)
        drawing.area([[(x - 2.5, y - 4.0), (x + SIZE, y), (x - 2.5, y + 4.0)]], EDGE, PALE)
    elif kind == "valve" or end.valve or shut == "valve":
        bow = [(x - SIZE, y - 3.0), (x + SIZE, y + 3.0), (x + SIZE, y - 3.0), (x - SIZE, y + 3.0)]
        drawing.area([bow], OUTLINE, WHITE)
    elif end.group in ("well", "drain"):
        drawing.area([_box(x, y)], OUTLINE, PALE)
    elif end.group == "open":
        drawing.lines([_box(x, y)], CENTRE)
    else:
        drawing.area([_box(x, y)], OUTLINE, WHITE)
    told = {"well": end.where.removeprefix("locker."), "drain": f"drain of {end.where}"}.get(end.group, "")
    name = end.name if not told else f"{end.name} ({told})"
    size = min(LETTERS, LETTERS * (STEP - 4.0) / max(letters_wide(name, LETTERS), 1.0))
    below = 2.0 * SIZE if end.name in skins else SIZE
    drawing.text(x, y + below + 3.4, name, size, "middle")


def _box(x: float, y: float) -> list[tuple[float, float]]:
    half = np.array([SIZE, 3.2])
    corners = ((-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1))
    return [(x + a * float(half[0]), y + b * float(half[1])) for a, b in corners]
