"""A nested sheet as an SVG picture: pieces with their marks, a rule along two edges, the rest dashed."""

from __future__ import annotations

from html import escape

import numpy as np

from cutlists.nests.records import Placement, SheetNest
from cutlists.outline_dxf import inner_circle
from cutlists.svg_paper import Paper, at
from parts.lengths import UNITS, format_fraction
from parts.outline import Loop

_ROOM = (250.0, 165.0)
"""The sheet is drawn within this, mm of paper."""
_LEFT, _TOP, _RIGHT, _BOTTOM = 16.0, 21.0, 8.0, 20.0
_SCALES = (1, 2, 5, 8, 10, 12, 15, 20, 25, 30, 40, 50)
_STYLE = """
  text { font-family: 'DejaVu Sans', Verdana, sans-serif; fill: #22343c; }
  .sheet { fill: #f6f4ee; stroke: #8a8371; stroke-width: .35; fill-rule: evenodd; }
  .metal { fill: #d3dfe3; stroke: #22343c; stroke-width: .3; fill-rule: evenodd; stroke-linejoin: round; }
  .down { fill: #e6dccb; }
  .bend { stroke: #7c9aa5; stroke-width: .15; stroke-dasharray: 2 1; }
  .rest { fill: none; stroke: #a4471f; stroke-width: .3; stroke-dasharray: 2.4 1.4; }
  .rule { stroke: #8a8371; stroke-width: .18; fill: none; }
  .tick { font-size: 2.5px; fill: #6d6757; }
  .mark { font-weight: 600; text-anchor: middle; }
  .left { fill: #a4471f; text-anchor: middle; }
  .head { font-size: 4.6px; font-weight: 600; }
  .note { font-size: 3.1px; fill: #5b6d75; }
"""


def sheet_svg(nest: SheetNest, title: str, units: str = "in", grain: bool = False) -> str:
    """The sheet to a round scale as an SVG document, its length across the page, arcs true.

    Args:
        nest: the sheet with its pieces.
        title: what it is: material, number, size.
        units: what the rule along the edges counts in; `in` and `ft` count inches, others mm.
        grain: whether to say that the grain runs along the length.
    """
    length, width = nest.stock.size
    n = next((s for s in _SCALES if length / s <= _ROOM[0] and width / s <= _ROOM[1]), 0)
    scale = 1 / (n or max(length / _ROOM[0], width / _ROOM[1]))
    w, h = length * scale, width * scale
    page = (max(w + _LEFT + _RIGHT, 150.0), h + _TOP + _BOTTOM)
    paper = Paper(scale, np.array([_LEFT, _TOP + h]), np.zeros(2))
    body = [
        *_heading(nest, title, f"1 : {n}" if n else "not to scale", units),
        f'<path class="sheet" d="{_path(paper, (nest.stock.outline, *nest.stock.holes))}"/>',
        *_rule(length, width, paper, units),
        *(_piece(placement, paper) for placement in nest.placements),
        *_rest(nest, paper, units),
        *(_mark(placement, paper) for placement in nest.placements),
        *_foot(nest, page[1], grain),
    ]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{page[0]:.2f}mm" height="{page[1]:.2f}mm" '
        f'viewBox="0 0 {page[0]:.2f} {page[1]:.2f}">\n<style>{_STYLE}</style>\n'
        f'<rect width="100%" height="100%" fill="#ffffff"/>\n' + "\n".join(body) + "\n</svg>\n"
    )


def _path(paper: Paper, loops: tuple[Loop, ...]) -> str:
    return " ".join(paper.path(loop) for loop in loops)


def _heading(nest: SheetNest, title: str, drawn: str, units: str) -> list[str]:
    number = len(nest.placements)
    facts = [f"{number} piece{'s' * (number != 1)}", f"{100 * nest.used:.1f} % used", drawn]
    if nest.rest is not None:
        facts.insert(2, f"largest rectangle left {_size(nest.rest, units)}")
    return [
        f'<text class="head" x="{_LEFT}" y="8">{escape(title)}</text>',
        f'<text class="note" x="{_LEFT}" y="13.5">{escape(", ".join(facts))}</text>',
    ]


def _size(box: tuple[float, float, float, float], units: str) -> str:
    sides = (box[2] - box[0], box[3] - box[1])
    if units in ("in", "ft"):
        return " x ".join(format_fraction(side) for side in sides)
    return " x ".join(f"{side:.0f}" for side in sides) + " mm"


def _rule(length: float, width: float, paper: Paper, units: str) -> list[str]:
    """Ticks every 6 in or 100 mm from the low corner, below and to the left; each second one named."""
    step, unit = (6 * UNITS["in"], UNITS["in"]) if units in ("in", "ft") else (100.0, 1.0)
    found = []
    for axis, end in enumerate((length, width)):
        for k in range(int(end / step + 1e-9) + 1):
            tick = np.zeros(2)
            tick[axis] = k * step
            x, y = paper.points(tick)
            long = 2.4 if k % 2 == 0 else 1.4
            line = f"M{x:.2f} {y + 0.8:.2f}v{long}" if axis == 0 else f"M{x - 0.8:.2f} {y:.2f}h{-long}"
            found.append(f'<path class="rule" d="{line}"/>')
            if k % 2 == 0:
                place, anchor = ((x, y + 6.0), "middle") if axis == 0 else ((x - 4.0, y + 0.9), "end")
                name = f"{k * step / unit:g}"
                spot = f'text-anchor="{anchor}" x="{place[0]:.2f}" y="{place[1]:.2f}"'
                found.append(f'<text class="tick" {spot}>{name}</text>')
    return found


def _piece(placement: Placement, paper: Paper) -> str:
    kind = "metal down" if placement.flipped else "metal"
    lines = (paper.points(line) for line in placement.lines)
    bends = "".join(f'<path class="bend" d="M{at(line[0])}L{at(line[-1])}"/>' for line in lines)
    return f'<path class="{kind}" d="{_path(paper, placement.loops)}"/>{bends}'


def _mark(placement: Placement, paper: Paper) -> str:
    """The mark where the piece is widest."""
    middle, radius = inner_circle(placement.polygon())
    mark = placement.piece.mark
    size = max(1.8, min(5.0, 1.7 * radius * paper.scale / (0.72 * len(mark) + 0.4)))  # 1.8 can be read
    x, y = paper.points(middle)
    place = f'x="{x:.2f}" y="{y + 0.36 * size:.2f}" style="font-size:{size:.2f}px"'
    return f'<text class="mark" {place}>{escape(mark)}</text>'


def _rest(nest: SheetNest, paper: Paper, units: str) -> list[str]:
    """The largest rectangle left, with its size where there is room for it."""
    if nest.rest is None:
        return []
    (x0, y1), (x1, y0) = paper.points(np.array(nest.rest[:2])), paper.points(np.array(nest.rest[2:]))
    frame = f'<rect class="rest" x="{x0:.2f}" y="{y0:.2f}" width="{x1 - x0:.2f}" height="{y1 - y0:.2f}"/>'
    said = _size(nest.rest, units)
    x, y, long, high = (x0 + x1) / 2, (y0 + y1) / 2, x1 - x0, y1 - y0
    turned = high > long
    size = min(3.4, max(long, high) / (0.68 * len(said)), min(long, high) * 0.7)
    turn = f' transform="rotate(-90 {x:.2f} {y:.2f})"' if turned else ""
    text = f'<text class="left" x="{x:.2f}" y="{y + 0.36 * size:.2f}" style="font-size:{size:.2f}px"{turn}>'
    return [frame, f"{text}{escape(said)}</text>"]


def _foot(nest: SheetNest, bottom: float, grain: bool) -> list[str]:
    said = ["ordinates from the low left corner"]
    if grain:
        said.append("grain along the length")
    if any(placement.flipped for placement in nest.placements):
        said.append("tan: cut face down")
    return [f'<text class="note" x="{_LEFT}" y="{bottom - 4:.2f}">{escape(", ".join(said))}</text>']
