"""Outlines of sheet pieces as SVG pictures: the shape with its overall size and its piece mark."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from cutlists.outline_dxf import Units, bend_lines, inner_circle, lines_to_bend
from cutlists.svg_paper import Paper, at
from model.panel import Panel
from model.strip import Strip
from parts.lengths import format_fraction

if TYPE_CHECKING:
    pass

_ROOM = (170.0, 105.0)  # the shape is drawn within this, mm of paper
_LEFT, _TOP, _RIGHT, _BOTTOM = 10.0, 20.0, 26.0, 20.0
_LONG_TEXT = 44.0  # a size and its reading in the other unit take this, mm
_SCALES = (1, 2, 5, 10, 15, 20, 25, 30, 40, 50, 75, 100)
_STYLE = """
  text { font-family: 'DejaVu Sans', Verdana, sans-serif; fill: #22343c; }
  .metal { fill: #e8edee; stroke: #22343c; stroke-width: .45; fill-rule: evenodd; stroke-linejoin: round; }
  .bend { stroke: #7c9aa5; stroke-width: .2; stroke-dasharray: 3 1.2; }
  .dim { stroke: #a4471f; stroke-width: .18; fill: none; }
  .tick { stroke: #a4471f; stroke-width: .45; }
  .size { font-size: 3.6px; fill: #a4471f; }
  .mark { font-weight: 600; text-anchor: middle; }
  .head { font-size: 4.6px; font-weight: 600; }
  .note { font-size: 3.1px; fill: #5b6d75; }
"""


def write_outline_pictures(
    folder: Path, panels: Sequence[Panel | Strip], marks: Mapping[str, str], units: Units = "in"
) -> list[Path]:
    """One SVG for each piece mark, named by it, in `folder`; returns the files written."""
    groups: dict[str, list[Panel | Strip]] = {}
    for piece in panels:
        groups.setdefault(marks[piece.name], []).append(piece)
    found = []
    for mark, pieces in groups.items():
        path = folder / f"{mark}.svg"
        path.write_text(outline_svg(pieces[0], mark, len(pieces), units), encoding="utf-8")
        found.append(path)
    return found


def outline_svg(piece: Panel | Strip, mark: str, count: int = 1, units: Units = "in") -> str:
    """The piece seen on its face as an SVG document, to a round scale, arcs true.

    Args:
        piece: a panel, or a strip laid flat with the rulings it is rolled along.
        mark: its piece mark.
        count: how many are cut.
        units: which reading of the overall size comes first: shop fractions or millimetres.
    """
    wide, high = piece.cut_extents
    n = next((s for s in _SCALES if wide / s <= _ROOM[0] and high / s <= _ROOM[1]), 0)
    scale = 1 / (n or max(wide / _ROOM[0], high / _ROOM[1]))
    w, h = wide * scale, high * scale
    beside = _RIGHT if h > _LONG_TEXT else _RIGHT + _LONG_TEXT - 10.0
    page = (max(w + _LEFT + beside, 120.0), h + _TOP + _BOTTOM)
    to_paper = Paper(scale, np.array([_LEFT, _TOP + h]), np.array(piece.cut_outline.bounds[:2]))
    outline = " ".join(to_paper.path(loop) for loop in (piece.cut_outline, *piece.cut_holes))
    body = [
        *_heading(piece, mark, count, n),
        f'<path class="metal" d="{outline}"/>',
        *_bends(piece, to_paper, units),
        *_sizes(w, h, wide, high, units),
        _mark(piece, mark, to_paper),
    ]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{page[0]:.2f}mm" height="{page[1]:.2f}mm" '
        f'viewBox="0 0 {page[0]:.2f} {page[1]:.2f}">\n<style>{_STYLE}</style>\n'
        f'<rect width="100%" height="100%" fill="#ffffff"/>\n' + "\n".join(body) + "\n</svg>\n"
    )


def _heading(piece: Panel | Strip, mark: str, count: int, n: int) -> list[str]:
    kind = _rolled(piece) if isinstance(piece, Strip) else _bent(piece)
    drawn = f"1 : {n}" if n else "not to scale"
    facts = f"{piece.sheet.name}, {piece.role}, {kind}, {piece.mass:.2f} kg, face side, {drawn}"
    return [
        f'<text class="head" x="{_LEFT}" y="8">{escape(mark)} &#215; {count}</text>',
        f'<text class="note" x="{_LEFT}" y="13.5">{escape(facts)}</text>',
    ]


def _bent(piece: Panel) -> str:
    count = len(piece.bend_lines)
    told = f"laid flat, {count} bend{'s' if count > 1 else ''}" if count else "flat"
    return told + ", corners mitred" * bool(piece.corner_cuts)


def _rolled(strip: Strip) -> str:
    turn = np.degrees(strip.bend)
    if not bend_lines(strip):
        return "flat"
    return f"rolled {abs(turn):.0f}° in all, face {'outside' if turn > 0 else 'inside'}"


def _bends(piece: Panel | Strip, to_paper: Paper, units: Units) -> list[str]:
    lines = (to_paper.points(line) for line in lines_to_bend(piece))
    drawn = [f'<path class="bend" d="M{at(start)}L{at(end)}"/>' for start, end in lines]
    for bend in piece.bend_lines:
        words = bend.numbered(units)
        size = bend.letters(len(words), 3.1 / to_paper.scale) * to_paper.scale
        place, turn = bend.beside()
        x, y = to_paper.points(place(1.2 * size / to_paper.scale)).tolist()
        drawn.append(
            f'<text class="note" text-anchor="middle" style="font-size:{size:.2f}px" '
            f'transform="translate({x:.3f} {y:.3f}) rotate({-turn:.3f}) translate(0 {0.36 * size:.3f})">'
            f"{escape(words)}</text>"
        )
    return drawn


def _sizes(w: float, h: float, wide: float, high: float, units: Units) -> list[str]:
    """Overall width below the shape and height to the right of it."""
    foot, side = _TOP + h + 8.0, _LEFT + w + 8.0
    return [
        f'<path class="dim" d="M{_LEFT:.3f} {_TOP + h + 2:.3f}V{foot + 2:.3f}M{_LEFT + w:.3f} '
        f'{_TOP + h + 2:.3f}V{foot + 2:.3f}M{_LEFT:.3f} {foot:.3f}H{_LEFT + w:.3f}"/>',
        _tick(_LEFT, foot),
        _tick(_LEFT + w, foot),
        _across(w, foot, _size(wide, units)),
        f'<path class="dim" d="M{_LEFT + w + 2:.3f} {_TOP:.3f}H{side + 2:.3f}M{_LEFT + w + 2:.3f} '
        f'{_TOP + h:.3f}H{side + 2:.3f}M{side:.3f} {_TOP:.3f}V{_TOP + h:.3f}"/>',
        _tick(side, _TOP),
        _tick(side, _TOP + h),
        _upright(h, side, _size(high, units)),
    ]


def _across(w: float, foot: float, text: str) -> str:
    """The width's text, under the middle of its line, or from the line's start where that is too short."""
    x, anchor = (_LEFT + w / 2, "middle") if w > _LONG_TEXT else (_LEFT, "start")
    return f'<text class="size" text-anchor="{anchor}" x="{x:.3f}" y="{foot + 5:.3f}">{text}</text>'


def _upright(h: float, side: float, text: str) -> str:
    """The height's text, along its line, or level beside it where the line is too short."""
    x, y = side + 5, _TOP + h / 2
    if h > _LONG_TEXT:
        turned = f"translate({x:.3f} {y:.3f}) rotate(-90)"
        return f'<text class="size" text-anchor="middle" transform="{turned}">{text}</text>'
    return f'<text class="size" text-anchor="start" x="{side + 3.5:.3f}" y="{y + 1.3:.3f}">{text}</text>'


def _tick(x: float, y: float) -> str:
    return f'<path class="tick" d="M{x - 1.2:.3f} {y + 1.2:.3f}L{x + 1.2:.3f} {y - 1.2:.3f}"/>'


def _size(mm: float, units: Units) -> str:
    shop, metric = format_fraction(mm), f"{mm:.1f} mm"
    return escape(f"{shop}  ({metric})" if units == "in" else f"{metric}  ({shop})")


def _mark(piece: Panel | Strip, mark: str, to_paper: Paper) -> str:
    """The mark where the part is widest."""
    middle, radius = inner_circle(piece.cut_polygon)
    size = min(9.0, 1.6 * radius * to_paper.scale / (0.75 * len(mark) + 0.6))
    x, y = to_paper.points(middle)
    place = f'x="{x:.3f}" y="{y + 0.36 * size:.3f}" style="font-size:{size:.2f}px"'
    return f'<text class="mark" {place}>{escape(mark)}</text>'
