"""A stick as an SVG page: drawn true to scale with its cuts numbered, and the cuts in a table by setting."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape
from itertools import groupby

from cutlists.sticks.cut_words import Marking, edge, facts, heading, makes, other_edge
from cutlists.sticks.records import Cut, Stick, StockPlan
from cutlists.sticks.stick_view import LONG, StickView

_LEFT, _TOP, _RIGHT = 22.0, 21.0, 10.0
_LINE = 4.3
_COLUMNS = (
    ("cut", 0.0),
    ("at", 9.0),
    ("long point", 32.0),
    ("short point", 53.0),
    ("blade", 77.0),
    ("makes", 93.0),
)
_BLOCK = 130.0
_STYLE = """
  text { font-family: 'DejaVu Sans', Verdana, sans-serif; fill: #22343c; font-size: 2.9px; }
  .tube { fill: none; stroke: #8a8371; stroke-width: .25; }
  .rest { fill: #f3eadb; }
  .metal { fill: #d3dfe3; stroke: #22343c; stroke-width: .22; stroke-linejoin: round; }
  .rule { stroke: #8a8371; stroke-width: .18; fill: none; }
  .leader { stroke: #8a8371; stroke-width: .16; fill: none; }
  .tick { font-size: 2.1px; fill: #6d6757; text-anchor: middle; }
  .more { font-size: 2.6px; fill: #6d6757; }
  .face { font-size: 2.1px; fill: #6d6757; text-anchor: end; }
  .mark { font-weight: 600; text-anchor: middle; }
  .left { fill: #a4471f; text-anchor: middle; }
  .tape { font-size: 2.6px; text-anchor: end; }
  .slant { fill: #a4471f; }
  .no { font-weight: 700; }
  .head { font-size: 4.6px; font-weight: 600; }
  .note { font-size: 3.1px; fill: #5b6d75; }
  .setting { font-weight: 600; }
  .title { font-size: 2.4px; fill: #6d6757; }
"""
_NOTES = (
    "Hook the tape on the left end and mark every cut before the first: the long point on the edge named, "
    "the blade on the side named. Cut in the order of the numbers.",
    "The stick lies on its wide face, you at its near edge; a mitre has the blade's far end to the left "
    "unless it says right. Clamp short pieces.",
)


def stick_svg(stock: StockPlan, stick: Stick, marking: Marking) -> str:
    """The stick as an SVG document, lengths in the units of `marking`."""
    view = StickView(stock, stick, marking, _LEFT)
    drawn = len(view.rows) * view.row_height
    lines = list(_lines(stock, stick, marking))
    blocks = _blocks(lines)
    foot = _TOP + drawn + 5.0
    high = foot + (max(len(block) for block in blocks) + 1) * _LINE + 12.0
    wide = _LEFT + LONG + _RIGHT
    body = [
        f'<text class="head" x="10" y="8">{escape(heading(stock, stick, marking))}</text>',
        f'<text class="note" x="10" y="13.5">{escape(_facts(stock, stick, marking))}</text>',
        *view.draw(_TOP),
        *(part for k, block in enumerate(blocks) for part in _block(block, 10.0 + k * _BLOCK * 1.06, foot)),
        *(
            f'<text class="note" x="10" y="{high - 8.5 + 4.6 * k:.2f}">{escape(note)}</text>'
            for k, note in enumerate(_NOTES)
        ),
    ]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.2f}mm" height="{high:.2f}mm" '
        f'viewBox="0 0 {wide:.2f} {high:.2f}">\n<style>{_STYLE}</style>\n'
        f'<rect width="100%" height="100%" fill="#ffffff"/>\n' + "\n".join(body) + "\n</svg>\n"
    )


def _facts(stock: StockPlan, stick: Stick, marking: Marking) -> str:
    tube = stock.tube
    told = [facts(stick, marking), f"kerf {marking.fine(tube.kerf)}"]
    told += [f"{marking.fine(stick.trim)} trimmed off each end"] if stick.trim else []
    return ", ".join([*told, "1 : 10"])


@dataclass(frozen=True)
class _Line:
    """A line of the table: a setting by itself, or the cells of a cut."""

    setting: str = ""
    cells: tuple[str, ...] = ()


def _lines(stock: StockPlan, stick: Stick, marking: Marking) -> Iterator[_Line]:
    """The cuts in their order under the setting that they are made with."""
    numbered = list(enumerate(stick.cuts, start=1))
    for told, group in groupby(numbered, key=lambda pair: _setting(pair[1])):
        yield _Line(told)
        for number, cut in group:
            yield _Line(cells=_cells(stock, number, cut, marking))


def _blocks(lines: Sequence[_Line]) -> list[Sequence[_Line]]:
    """The lines side by side in two blocks, a setting never parted from its first cut."""
    half = max(8, math.ceil(len(lines) / 2))
    if half < len(lines) and lines[half - 1].setting:
        half += 1
    return [block for block in (lines[:half], lines[half:]) if block]


def _setting(cut: Cut) -> str:
    flags = f" ({'; '.join(cut.setting.flags)})" if cut.setting.flags else ""
    return f"{cut.setting.saw}{', ' + cut.setting.lies if cut.setting.lies else ''}{flags}"


def _cells(stock: StockPlan, number: int, cut: Cut, marking: Marking) -> tuple[str, ...]:
    short = other_edge(stock.pieces.section, cut)
    return (
        str(number),
        marking.tape(cut.at),
        edge(cut),
        "" if short is None else marking.tape(short),
        "right" if cut.blade > 0 else "left",
        makes(cut),
    )


def _block(lines: Sequence[_Line], x: float, y: float) -> Iterator[str]:
    for title, at in _COLUMNS:
        yield f'<text class="title" x="{x + at:.2f}" y="{y:.2f}">{title}</text>'
    yield f'<path class="rule" d="M{x:.2f} {y + 1.2:.2f}h{_BLOCK - 6:.2f}"/>'
    for k, line in enumerate(lines, start=1):
        base = y + 0.6 + k * _LINE
        if line.setting:
            yield f'<text class="setting" x="{x:.2f}" y="{base:.2f}">{escape(line.setting)}</text>'
        for (_, at), cell in zip(_COLUMNS, line.cells, strict=False):
            yield f'<text x="{x + at:.2f}" y="{base:.2f}">{escape(cell)}</text>'
