"""Outlines of sheet pieces as DXF, one file for each piece mark, ready for the cutting table.

Layers: CUT (the outline and its holes, closed, arcs true), BEND (middles of bends, each with its direction,
angle and inside radius, and rulings that a curved piece is rolled along), MARK (lines to scribe), TEXT (the
piece mark, inside the part).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
import shapely

from model.geometry import Array
from model.panel import Panel
from model.strip import Strip
from parts.lengths import UNITS

if TYPE_CHECKING:
    from model.bends.bend_line import BendLine
    from parts.outline import Loop

Units = Literal["mm", "in"]

LAYERS = {"CUT": 1, "MARK": 5, "BEND": 3, "TEXT": 8}
"""Layer names and their colours by number: red, blue, green, grey."""

_INSUNITS = {"mm": 4, "in": 1}
_BEND_SPACING = 60.0
"""About how far apart the rulings to roll along are drawn, mm."""
_STRAIGHT = 0.2
"""A strip whose edges are this nearly straight needs no rolling, mm."""


def write_outlines(
    folder: Path, panels: Sequence[Panel | Strip], marks: Mapping[str, str], units: Units = "mm"
) -> list[Path]:
    """One DXF for each piece mark, named by it, in `folder`; returns the files written.

    Args:
        folder: an existing folder.
        panels: all flat and rolled pieces; of those that share a mark the first is drawn.
        marks: the mark of each piece by its name.
        units: what a drawing unit is.
    """
    firsts: dict[str, Panel | Strip] = {}
    for piece in panels:
        firsts.setdefault(marks[piece.name], piece)
    found = []
    for mark, piece in firsts.items():
        path = folder / f"{mark}.dxf"
        outline_drawing(piece, mark, units).saveas(path)
        found.append(path)
    return found


def outline_drawing(
    piece: Panel | Strip, mark: str, units: Units = "mm", scribe: Sequence[Array] = ()
) -> Any:
    """The piece laid flat as an ezdxf drawing, its outline's low corner at the origin, seen on its face.

    Args:
        piece: a panel, or a strip laid flat.
        mark: its piece mark, written inside the part.
        units: what a drawing unit is; the file says so in its header.
        scribe: lines to mark on the face, each `(k, 2) float`, mm, in the outline's own coordinates.
    """
    drawing = new_drawing(units)
    space = drawing.modelspace()
    corner = np.array(piece.cut_outline.bounds[:2])
    scale = 1.0 / UNITS[units]
    for loop in (piece.cut_outline.ccw(), *(hole.cw() for hole in piece.cut_holes)):
        _add_loop(space, loop, corner, scale)
    for line in scribe:
        space.add_lwpolyline(((np.asarray(line) - corner) * scale).tolist(), dxfattribs={"layer": "MARK"})
    for line in lines_to_bend(piece):
        start, end = ((line - corner) * scale).tolist()
        space.add_line(start, end, dxfattribs={"layer": "BEND"})
    for bend in piece.bend_lines:
        _add_bend_text(space, bend, units, corner, scale)
    _add_text(space, piece, mark, corner, scale)
    return drawing


def new_drawing(units: Units) -> Any:
    """An empty R2010 drawing with our layers and its units set."""
    import ezdxf

    drawing = ezdxf.new("R2010")
    drawing.header["$INSUNITS"] = _INSUNITS[units]
    drawing.header["$MEASUREMENT"] = int(units == "mm")
    for name, colour in LAYERS.items():
        drawing.layers.add(name, color=colour)
    return drawing


def _add_loop(space: Any, loop: Loop, corner: Array, scale: float) -> None:
    """A closed polyline on CUT; a circle as a circle."""
    points = (loop.points - corner) * scale
    if len(points) == 2 and np.allclose(np.abs(loop.bulges), 1.0, atol=1e-12):
        radius = float(np.hypot(*(points[1] - points[0]))) / 2
        space.add_circle(points.mean(axis=0).tolist(), radius, dxfattribs={"layer": "CUT"})
        return
    rows = np.column_stack([points, loop.bulges]).tolist()
    space.add_lwpolyline(rows, format="xyb", close=True, dxfattribs={"layer": "CUT"})


def bend_lines(strip: Strip) -> list[Array]:
    """Evenly spaced rulings of a bent strip, `(2, 2) float` each on its flat outline, mm, to roll along."""
    if len(strip.needed_rulings(_STRAIGHT)) < 3:
        return []
    middle = strip.rulings.mean(axis=1)
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(middle, axis=0).T))])
    wanted = np.linspace(0.0, along[-1], max(3, round(along[-1] / _BEND_SPACING)) + 1)[1:-1]
    flat = strip.rulings.reshape(-1, 4)
    at = np.stack([np.interp(wanted, along, column) for column in flat.T], axis=1)
    return list(at.reshape(-1, 2, 2))


def lines_to_bend(piece: Panel | Strip) -> list[Array]:
    """The lines `(2, 2)` that a flat pattern is bent or rolled along, mm."""
    return bend_lines(piece) if isinstance(piece, Strip) else [bend.ends for bend in piece.bend_lines]


def _add_bend_text(space: Any, bend: BendLine, units: Units, corner: Array, scale: float) -> None:
    """How a bend is made, along it on the side of its flat part."""
    from ezdxf.enums import TextEntityAlignment

    words = bend.numbered(units)
    height, (place, turn) = bend.letters(len(words), 6.0), bend.beside()
    text = space.add_text(words, height=height * scale, rotation=turn, dxfattribs={"layer": "BEND"})
    text.set_placement(
        ((place(1.2 * height) - corner) * scale).tolist(), align=TextEntityAlignment.MIDDLE_CENTER
    )


def _add_text(space: Any, piece: Panel | Strip, mark: str, corner: Array, scale: float) -> None:
    """The mark where the part is widest, small enough to stay inside."""
    from ezdxf.enums import TextEntityAlignment

    middle, radius = inner_circle(piece.cut_polygon)
    height = min(25.0, 1.6 * radius / (0.8 * len(mark) + 0.8))
    text = space.add_text(mark, height=height * scale, dxfattribs={"layer": "TEXT"})
    text.set_placement(((middle - corner) * scale).tolist(), align=TextEntityAlignment.MIDDLE_CENTER)


def inner_circle(polygon: shapely.Polygon) -> tuple[Array, float]:
    """Centre `(2,)` and radius of a circle inside the polygon: about its centroid, or the largest there is.

    The centroid is taken where a circle nearly as large fits about it.
    """
    spoke = shapely.get_coordinates(shapely.maximum_inscribed_circle(polygon, tolerance=1.0))
    radius = float(np.hypot(*(spoke[1] - spoke[0])))
    about = polygon.centroid
    free = polygon.boundary.distance(about) if polygon.contains(about) else 0.0
    if free > 0.9 * radius:
        return shapely.get_coordinates(about)[0], free
    return spoke[0], radius
