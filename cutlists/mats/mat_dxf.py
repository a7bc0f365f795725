"""Mat as DXF: a drawing for each piece mark and one for each sheet, cuts and grooves on layers of their own.

Layers: CUT (outlines and holes, closed, arcs true), GROOVE (the middles of the grooves to cut), SHEET (the
sheet's edge, and the grooves it comes with), TEXT (piece marks).
"""

from __future__ import annotations

import io
from typing import Any

import numpy as np

from cutlists.mats.nest import SheetNest
from cutlists.mats.turned import Laid
from cutlists.outline_dxf import Units, inner_circle
from model.geometry import Array
from model.mat.grooves import Lines
from model.mat.piece import MatPiece
from parts.lengths import UNITS
from parts.outline import Loop

LAYERS = {"CUT": 1, "GROOVE": 5, "SHEET": 9, "TEXT": 8}
"""Layer names and their colours by number: red, blue, pale grey, grey."""

_INSUNITS = {"mm": 4, "in": 1}


def piece_dxf(piece: MatPiece, mark: str, units: Units = "mm") -> bytes:
    """The piece seen from above, its low corner at the origin, its grooves along x."""
    x0, y0, _, _ = piece.outline.bounds
    drawing = _Drawing(units)
    drawing.add_piece(Laid(piece, mark, 0, -x0, -y0), grooves=True)
    return drawing.bytes()


def sheet_dxf(nest: SheetNest, pitch: float, units: Units = "mm") -> bytes:
    """A sheet with its pieces, its low corner at the origin; grooves to cut only where it comes plain."""
    drawing = _Drawing(units)
    sheet = nest.sheet
    drawing.add_loop(
        Loop.rectangle(sheet.length, sheet.width, centre=(sheet.length / 2, sheet.width / 2)), "SHEET"
    )
    for line in sheet_grooves(nest, pitch):
        drawing.add_line(line, "SHEET")
    for laid in nest.laid:
        drawing.add_piece(laid, grooves=not sheet.grooved)
    return drawing.bytes()


def sheet_grooves(nest: SheetNest, pitch: float) -> list[Array]:
    """The grooves a sheet comes with, from end to end, `(2, 2) float` each, mm; none on a plain one."""
    sheet = nest.sheet
    if not sheet.grooved:
        return []
    across = Lines(pitch, sheet.first % pitch).between(0.0, sheet.width)
    return [np.array([(0.0, y), (sheet.length, y)]) for y in across]


class _Drawing:
    """An R2010 drawing being made; takes mm, writes its own units."""

    def __init__(self, units: Units) -> None:
        import ezdxf

        self._drawing: Any = ezdxf.new("R2010")
        self._drawing.header["$INSUNITS"] = _INSUNITS[units]
        self._drawing.header["$MEASUREMENT"] = int(units == "mm")
        for name, colour in LAYERS.items():
            self._drawing.layers.add(name, color=colour)
        self._space = self._drawing.modelspace()
        self._scale = 1.0 / UNITS[units]

    def add_piece(self, laid: Laid, grooves: bool) -> None:
        outline, *holes = laid.loops
        for loop in (outline.ccw(), *(hole.cw() for hole in holes)):
            self.add_loop(loop, "CUT")
        for line in laid.grooves if grooves else ():
            self.add_line(line, "GROOVE")
        self._add_mark(laid)

    def add_loop(self, loop: Loop, layer: str) -> None:
        points = loop.points * self._scale
        if len(points) == 2 and np.allclose(np.abs(loop.bulges), 1.0, atol=1e-3):
            radius = float(np.hypot(*(points[1] - points[0]))) / 2
            self._space.add_circle(points.mean(axis=0).tolist(), radius, dxfattribs={"layer": layer})
            return
        rows = np.column_stack([points, loop.bulges]).tolist()
        self._space.add_lwpolyline(rows, format="xyb", close=True, dxfattribs={"layer": layer})

    def add_line(self, line: Array, layer: str) -> None:
        start, end = (line * self._scale).tolist()
        self._space.add_line(start, end, dxfattribs={"layer": layer})

    def _add_mark(self, laid: Laid) -> None:
        from ezdxf.enums import TextEntityAlignment

        middle, radius = inner_circle(laid.polygon)
        height = min(25.0, 1.6 * radius / (0.8 * len(laid.mark) + 0.8)) * self._scale
        text = self._space.add_text(laid.mark, height=height, dxfattribs={"layer": "TEXT"})
        text.set_placement((middle * self._scale).tolist(), align=TextEntityAlignment.MIDDLE_CENTER)

    def bytes(self) -> bytes:
        """The file's content."""
        stream = io.StringIO()
        self._drawing.write(stream)
        return stream.getvalue().encode("utf-8")
