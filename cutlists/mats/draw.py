"""Small helpers of the mat pictures: polygons and lines in mm as SVG paths, lettering."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from html import escape

import numpy as np
import shapely

from cutlists.outline_dxf import inner_circle
from model.geometry import Array
from model.mat.piece import MatPiece

INK = "#22343c"
NOTE = "#5b6d75"
METAL = "#e8edee"
MAT = {"deck": "#cddbd2", "seat": "#cddbd2", "lid": "#dfe6cf", "upright": "#c9d6e0", "lining": "#e0d6cd"}
"""Colour of a piece by what it lines."""
GROOVE = "#4d6a63"
STYLE = f"""
  text {{ font-family: 'DejaVu Sans', Verdana, sans-serif; fill: {INK}; }}
  .note {{ fill: {NOTE}; }}
  .mat {{ stroke: {INK}; fill-rule: evenodd; stroke-linejoin: round; }}
  .groove {{ stroke: {GROOVE}; fill: none; }}
  .mark {{ font-weight: 600; paint-order: stroke; stroke: #ffffff; stroke-linejoin: round; }}
"""

ToPaper = Callable[[Array], Array]
"""From `(n, 2)` or `(n, 3)` points in mm to `(n, 2)` on the page, y down."""


def page(width: float, height: float, title: str, body: Iterable[str], unit: str = "") -> str:
    """An SVG document of a size; `unit` is that of a user unit, px where it is empty."""
    size = f'width="{width:.2f}{unit}" height="{height:.2f}{unit}" viewBox="0 0 {width:.2f} {height:.2f}"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size}>\n<title>{escape(title)}</title>\n'
        f'<style>{STYLE}</style>\n<rect width="100%" height="100%" fill="#ffffff"/>\n'
        + "\n".join(body)
        + "\n</svg>\n"
    )


def area_path(shape: shapely.Polygon, to_paper: ToPaper) -> str:
    """A polygon with its holes as path commands."""
    rings = (shape.exterior, *shape.interiors)
    return "".join(f"{line_path(to_paper(np.asarray(ring.coords)[:-1]))}Z" for ring in rings)


def line_path(points: Array) -> str:
    """A polyline as path commands, points on the page."""
    return "M" + "L".join(f"{x:.3f} {y:.3f}" for x, y in points.tolist())


def text(at: Array, words: str, size: float, kind: str = "", anchor: str = "start") -> str:
    """A line of lettering at a point of the page."""
    place = f'x="{at[0]:.2f}" y="{at[1]:.2f}" font-size="{size:.2f}" text-anchor="{anchor}"'
    return f'<text class="{kind}" {place}>{escape(words)}</text>'


def drawn_piece(piece: MatPiece, mark: str, to_paper: ToPaper, scale: float, width: float) -> str:
    """A piece as a group: its shape, grooves as wide as they are cut, its mark where it is widest.

    Args:
        piece: whose x, y `to_paper` takes.
        mark: its piece mark.
        to_paper: from the piece's x, y to the page.
        scale: page units for a mm.
        width: of a groove, mm.
    """
    shape = piece.polygon
    lines = "".join(line_path(to_paper(line)) for line in piece.grooves())
    middle, radius = inner_circle(shape)
    size = min(20.0, 1.5 * radius * scale / (0.75 * len(mark) + 0.6))
    if piece.lines is not None:  # between two grooves, where that is no further off than a half pitch
        pitch, phase = piece.lines.spacing, piece.lines.phase
        middle = np.array([middle[0], phase + (np.floor((middle[1] - phase) / pitch) + 0.5) * pitch])
        size = min(size, 0.9 * pitch * scale)
    where = to_paper(middle[None])[0] + [0.0, 0.36 * size]
    stroke = f'stroke-width="{max(width * scale, 0.25):.3f}"'
    letters = text(where, mark, size, "mark", "middle").replace(
        "<text ", f'<text stroke-width="{size / 6:.2f}" '
    )
    return (
        f'<g data-name="{escape(piece.name)}"><title>{escape(f"{mark} {piece.name}")}</title>'
        f'<path class="mat" fill="{MAT[piece.kind]}" stroke-width="{max(scale, 0.4):.2f}" '
        f'd="{area_path(shape, to_paper)}"/>'
        f'<path class="groove" {stroke} d="{lines}"/>{letters}</g>'
    )
