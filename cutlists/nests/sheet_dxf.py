"""A nested sheet as DXF for the cutting table.

Layers: CUT (outlines and openings, closed, arcs true), MARK (lines to scribe, for rolling), TEXT (piece
marks), SHEET (the sheet's edge and the largest rectangle left, to look at and not to cut).
"""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from cutlists.nests.records import Placement, SheetNest
from cutlists.outline_dxf import inner_circle
from parts.lengths import UNITS

if TYPE_CHECKING:
    from parts.outline import Loop

Units = Literal["mm", "in"]

LAYERS = {"CUT": 1, "MARK": 5, "TEXT": 8, "SHEET": 3}
"""Layer names and their colours by number: red, blue, grey, green."""
_INSUNITS = {"mm": 4, "in": 1}
_LARGEST_TEXT = 40.0
"""Height of the largest mark, mm."""


def sheet_dxf(nest: SheetNest, units: Units = "mm") -> bytes:
    """The sheet as the bytes of a DXF file, its low corner at the origin.

    Args:
        nest: the sheet with its pieces.
        units: what a drawing unit is; the file says so in its header.
    """
    out = io.StringIO()
    sheet_drawing(nest, units).write(out)
    return out.getvalue().encode("utf-8")


def sheet_drawing(nest: SheetNest, units: Units = "mm") -> Any:
    """The sheet as an ezdxf drawing."""
    import ezdxf

    drawing = ezdxf.new("R2010")
    drawing.header["$INSUNITS"] = _INSUNITS[units]
    drawing.header["$MEASUREMENT"] = int(units == "mm")
    for name, colour in LAYERS.items():
        drawing.layers.add(name, color=colour)
    space, scale = drawing.modelspace(), 1.0 / UNITS[units]
    for loop in (nest.stock.outline, *nest.stock.holes):
        _add_loop(space, loop, "SHEET", scale)
    if nest.rest is not None:
        low_x, low_y, high_x, high_y = (side * scale for side in nest.rest)
        corners = [(low_x, low_y), (high_x, low_y), (high_x, high_y), (low_x, high_y)]
        space.add_lwpolyline(corners, close=True, dxfattribs={"layer": "SHEET"})
    for placement in nest.placements:
        _add_piece(space, placement, scale)
    return drawing


def _add_piece(space: Any, placement: Placement, scale: float) -> None:
    outline, *holes = placement.loops
    for loop in (outline.ccw(), *(hole.cw() for hole in holes)):
        _add_loop(space, loop, "CUT", scale)
    for line in placement.lines:
        space.add_lwpolyline((line * scale).tolist(), dxfattribs={"layer": "MARK"})
    _add_text(space, placement, scale)


def _add_loop(space: Any, loop: Loop, layer: str, scale: float) -> None:
    """A closed polyline with arcs as bulges; a circle as a circle."""
    points = loop.points * scale
    if len(points) == 2 and np.allclose(np.abs(loop.bulges), 1.0, atol=1e-12):
        radius = float(np.hypot(*(points[1] - points[0]))) / 2
        space.add_circle(points.mean(axis=0).tolist(), radius, dxfattribs={"layer": layer})
        return
    rows = np.column_stack([points, loop.bulges]).tolist()
    space.add_lwpolyline(rows, format="xyb", close=True, dxfattribs={"layer": layer})


def _add_text(space: Any, placement: Placement, scale: float) -> None:
    """The mark where the piece is widest, small enough to stay inside."""
    from ezdxf.enums import TextEntityAlignment

    said = piece_text(placement)
    middle, radius = inner_circle(placement.polygon())
    height = min(_LARGEST_TEXT, 1.6 * radius / (0.8 * len(said) + 0.8))
    text = space.add_text(said, height=height * scale, dxfattribs={"layer": "TEXT"})
    text.set_placement((middle * scale).tolist(), align=TextEntityAlignment.MIDDLE_CENTER)


def piece_text(placement: Placement) -> str:
    """The piece mark, with the face told where it lies face down."""
    return f"{placement.piece.mark} face down" if placement.flipped else placement.piece.mark
