"""A small drawing of each piece mark: from above as it lies on the saw, turned a quarter, its numbers.

Both views have end A on the left and one scale. A long piece is drawn with its middle broken out, so that the
ends keep their true angles.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING
from xml.sax.saxutils import escape

import numpy as np

from cutlists.piece_views import BREAK, Point, Stretch, View, rim, views, visible_shapes
from cutlists.saw_list import SawRow, ShopSaw, lies

if TYPE_CHECKING:
    from pathlib import Path

    from cutlists.saw_list import SawList
    from model.end_cut import EndCut

CIRCLE = [(math.cos(math.tau * k / 24), math.sin(math.tau * k / 24)) for k in range(24)]
"""A circle of radius 1 as drawn."""

WIDTH = 640.0
"""Width of the drawing, px."""

SIDE_ROOM = 134.0
"""Room for the notes at either end, px."""

_INK, _LIGHT_INK = "#1d2b33", "#5b6b74"
_STYLE = (
    f"text{{font:12px 'DejaVu Sans',Helvetica,Arial,sans-serif;fill:{_INK}}}"
    f".mark{{font-size:17px;font-weight:bold}}.small{{font-size:11px;fill:{_LIGHT_INK}}}"
    f".warn{{font-size:11px;fill:#a3271b}}"
    f".face{{fill:#e4eaec}}.bore{{fill:#5d6f78}}"
    f".end{{fill:#b4c3c9;stroke:{_INK};stroke-width:1.3;stroke-linejoin:round}}"
    f".line{{fill:none;stroke:{_INK};stroke-width:1.3;stroke-linecap:round}}"
    f".drilled{{fill:#fff;stroke:{_INK};stroke-width:1}}"
    f".hidden{{fill:none;stroke:{_INK};stroke-width:.8;stroke-dasharray:3 2}}"
    f".thin{{fill:none;stroke:{_LIGHT_INK};stroke-width:.8}}.head{{fill:{_LIGHT_INK}}}.gap{{fill:#fff}}"
)


class Sheet:
    """SVG parts in one style, y down the page."""

    def __init__(self) -> None:
        self.parts: list[str] = []

    def path(self, points: tuple[Point, ...] | list[Point], style: str, closed: bool = False) -> None:
        """A polyline or polygon."""
        told = "L".join(f"{x:.2f} {y:.2f}" for x, y in points)
        self.parts.append(f'<path class="{style}" d="M{told}{"Z" if closed else ""}"/>')

    def text(self, x: float, y: float, words: str, style: str = "", anchor: str = "start") -> None:
        """One line of text."""
        kind = f' class="{style}"' if style else ""
        self.parts.append(
            f'<text{kind} x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{escape(words)}</text>'
        )

    def dimension(self, left: float, right: float, y: float, words: str) -> None:
        """A dimension line with arrow heads, its words in a gap at the middle or, if short, beside it."""
        half = 3.9 * len(words) + 6.0
        middle = (left + right) / 2.0
        fits = right - left > 2.0 * half + 20.0
        self.path([(left, y), (middle - half if fits else right, y)], "thin")
        if fits:
            self.path([(middle + half, y), (right, y)], "thin")
        for x, way in ((left, 1.0), (right, -1.0)):
            self.path([(x, y), (x + way * 8.0, y - 2.6), (x + way * 8.0, y + 2.6)], "head", closed=True)
        if fits:
            self.text(middle, y + 4.0, words, anchor="middle")
        else:
            self.text(right + 8.0, y + 4.0, words)

    def svg(self, height: float, title: str) -> str:
        """The whole document."""
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH:.0f}" height="{height:.0f}" '
            f'viewBox="0 0 {WIDTH:.0f} {height:.0f}"><title>{escape(title)}</title><style>{_STYLE}</style>'
            f'<rect width="100%" height="100%" fill="#fff"/>{"".join(self.parts)}</svg>\n'
        )


def piece_svg(row: SawRow, shop: ShopSaw | None = None) -> str:
    """The drawing of one mark as an SVG document, 640 px wide."""
    shop = shop or ShopSaw()
    sheet, stretch = Sheet(), Stretch.of(row, SIDE_ROOM, WIDTH - SIDE_ROOM)
    sheet.text(14.0, 24.0, row.mark, "mark")
    title = f"{row.quantity} off, {row.section.name}" + (f"; {row.mirror_note}" if row.mirror else "")
    sheet.text(26.0 + 11.0 * len(row.mark), 24.0, title)
    y = 44.0
    for place, view in enumerate(views(row)):
        heights = view.heights(rim(row.section.outer)) * stretch.scale
        above, below = float(heights.max()), float(-heights.min())
        y += max(above, 24.0) + 12.0
        _draw_view(sheet, row, view, stretch, (y, above, below))
        if place == 0:
            _write_notes(sheet, row, y)
        else:
            sheet.text(WIDTH / 2.0, y - above - 7.0, "turned a quarter", "small", "middle")
        y += max(below, 24.0) + 12.0
    for left, right, words in _dimensions(row, shop, stretch):
        y += 17.0
        sheet.dimension(left, right, y, words)
    for hole in row.holes:
        y += 20.0
        sheet.text(WIDTH / 2.0, y, f"drill {hole.words(shop)}", "small", "middle")
    for flag in row.flags:
        y += 20.0
        sheet.text(WIDTH / 2.0, y, f"past the saw: {flag}", "warn", "middle")
    return sheet.svg(y + 18.0, f"{row.mark} {row.section.name}")


def _draw_view(
    sheet: Sheet, row: SawRow, view: View, stretch: Stretch, at: tuple[float, float, float]
) -> None:
    """One view; `at` is the page height of the axis and how far the section goes above and below it."""
    middle, above, below = at
    for shape in visible_shapes(row, view, stretch, middle):
        sheet.path(shape.points, shape.kind, closed=shape.kind != "line")
    _draw_holes(sheet, row, view, stretch, middle)
    for start, _ in stretch.cuts:
        left = stretch.page(start)
        right = left + BREAK
        _draw_break(sheet, left + 4.0, right - 4.0, middle - above - 5.0, middle + below + 5.0)


def _draw_holes(sheet: Sheet, row: SawRow, view: View, stretch: Stretch, middle: float) -> None:
    """Holes that look at the eye as circles, those that run across the view as two broken lines."""
    rim_points = np.array(CIRCLE)
    for hole in row.member.holes:
        at, half = hole.middle, hole.diameter / 2.0
        x, y = stretch.page(float(at[0])), middle - float(at @ view.up) * stretch.scale
        if abs(float(hole.way @ view.eye)) > 0.9:
            ring = rim_points * half * stretch.scale + (x, y)
            sheet.path([(float(px), float(py)) for px, py in ring], "drilled", closed=True)
            continue
        ends = view.heights(rim(row.section.outer)) * stretch.scale
        for side in (-half, half):
            edge = x + side * stretch.scale
            sheet.path([(edge, middle - float(ends.max())), (edge, middle - float(ends.min()))], "hidden")


def _draw_break(sheet: Sheet, left: float, right: float, top: float, bottom: float) -> None:
    """The band with zigzag borders that stands for what is left out."""
    steps = ((0.0, 0.0), (0.4, 0.0), (0.46, 5.0), (0.54, -5.0), (0.6, 0.0), (1.0, 0.0))
    lines = [[(x + swing, top + f * (bottom - top)) for f, swing in steps] for x in (left, right)]
    sheet.path([*lines[0], *lines[1][::-1]], "gap", closed=True)
    for line in lines:
        sheet.path(line, "thin")


def _write_notes(sheet: Sheet, row: SawRow, middle: float) -> None:
    """The saw settings beside the ends."""
    places = ((SIDE_ROOM - 16.0, "end"), (WIDTH - SIDE_ROOM + 16.0, "start"))
    for cut, (x, anchor) in zip((row.cuts.end_a, row.cuts.end_b), places, strict=True):
        notes = _notes(row, cut)
        for place, words in enumerate(notes):
            sheet.text(x, middle + 4.0 + 15.0 * (place - (len(notes) - 1) / 2.0), words, anchor=anchor)


def _notes(row: SawRow, cut: EndCut) -> list[str]:
    if cut.is_square:
        return [f"{cut.end}: square"]
    told = lies(row.section, cut.face)
    found = [f"{cut.end}: { ({'any': 'round', 'edge': 'on edge'}.get(told, told)) }"]
    if cut.long_side or cut.face == "round":
        found.append(f"mitre {abs(math.degrees(cut.mitre)):.2f}°")
    if cut.is_compound:
        found.append(f"tilt {abs(math.degrees(cut.bevel)):.2f}°")
    sides = [part for part in (cut.long_side, cut.long_level) if part]
    return found + ([f"long {', '.join(sides)}"] if sides else [])


def _dimensions(row: SawRow, shop: ShopSaw, stretch: Stretch) -> list[tuple[float, float, str]]:
    """Page left, right and words: overall, then from each end's short point to the other's long point."""
    prism = row.member.prism
    near_long, near_short = float(prism.near_long[0]), float(prism.near_short[0])
    far_long, far_short = float(prism.far_long[0]), float(prism.far_short[0])
    spans = [(near_long, far_long, "long")]
    spans += [(near_short, far_long, "short A")] if near_short - near_long > 0.05 else []
    spans += [(near_long, far_short, "short B")] if far_long - far_short > 0.05 else []
    return [
        (stretch.page(a), stretch.page(b), f"{word} {shop.marked(b - a)} ({b - a:.1f} mm)")
        for a, b, word in spans
    ]


def write_piece_drawings(saw: SawList, folder: Path) -> list[Path]:
    """Write `F1.svg` and so on into `folder`, one drawing a mark; returns the files in list order."""
    folder.mkdir(parents=True, exist_ok=True)
    found = []
    for row in saw.rows:
        path = folder / f"{row.mark}.svg"
        path.write_text(piece_svg(row, saw.shop), encoding="utf-8")
        found.append(path)
    return found
