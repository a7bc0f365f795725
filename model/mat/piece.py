"""A piece of mat: its outline on the surface it is glued to, and the grooves that cross it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely

from model.flat_arcs import polygon_of
from model.geometry import Array, Frame
from model.mat.arc_fit import with_arcs
from model.mat.grooves import Lines
from model.mat.surfaces import Kind
from model.prism import Prism
from parts.outline import Loop


@dataclass(frozen=True, eq=False)
class MatPiece:
    """One piece, glued on z = 0 of `frame`; its grooves run along the frame's x.

    Attributes:
        name: the surface's name and `/mat`.
        surface: the surface's name.
        kind: what that is.
        frame: outline and lines are drawn in its x, y, mm, seen from above the mat.
        lines: the grooves; None on a plain piece.
    """

    name: str
    surface: str
    kind: Kind
    frame: Frame
    outline: Loop
    holes: tuple[Loop, ...]
    thickness: float
    lines: Lines | None

    @classmethod
    def cut(
        cls,
        name: str,
        surface: str,
        kind: Kind,
        frame: Frame,
        shape: shapely.Polygon,
        thickness: float,
        lines: Lines | None,
    ) -> MatPiece:
        """The piece on a polygon drawn in `frame`, its arcs made true again."""
        rings = [np.asarray(ring.coords)[:-1] for ring in (shape.exterior, *shape.interiors)]
        outline, *holes = (with_arcs(ring) for ring in rings)
        if not polygon_of(outline, holes).is_valid:
            outline, *holes = (Loop.polygon(ring).ccw() for ring in rings)
        return cls(name, surface, kind, frame, outline, tuple(holes), thickness, lines)

    @cached_property
    def polygon(self) -> shapely.Polygon:
        """Outline and holes as a shapely polygon, arcs tessellated."""
        return polygon_of(self.outline, self.holes)

    @property
    def prism(self) -> Prism:
        """The mat as a solid in the boat."""
        return Prism(self.frame, self.outline, self.holes, 0.0, self.thickness)

    @property
    def area(self) -> float:
        """Area that is glued, holes taken out, mm2."""
        return self.prism.area

    @property
    def extents(self) -> tuple[float, float]:
        """Overall size along its grooves and across them, mm."""
        x0, y0, x1, y1 = self.outline.bounds
        return x1 - x0, y1 - y0

    @property
    def first_groove(self) -> float | None:
        """From the low edge across to the middle of the first groove, mm; None where none crosses it."""
        _, y0, _, y1 = self.outline.bounds
        found = self.lines.between(y0, y1) if self.lines else np.empty(0)
        return float(found[0] - y0) if len(found) else None

    def closest_groove(self) -> float | None:
        """Least distance from an edge along the grooves to the middle of a groove within, mm; None if none.

        Edges shorter than 50 mm do not count.
        """
        if self.lines is None:
            return None
        found: list[float] = []
        for loop in (self.outline, *self.holes):
            ahead = np.roll(loop.points, -1, axis=0) - loop.points
            along = (loop.bulges == 0) & (np.abs(ahead[:, 0]) > 50.0) & (np.abs(ahead[:, 1]) < 0.1)
            for y, way in zip(loop.points[along, 1], ahead[along, 0], strict=True):
                # loops are counter-clockwise: the mat lies left of the outline's edges, right of a hole's
                above = (way > 0) == (loop is self.outline)
                off = self.lines.phase - float(y) if above else float(y) - self.lines.phase
                found.append(off % self.lines.spacing)
        return min(found, default=None)

    def grooves(self) -> list[Array]:
        """The middles of the grooves within the piece, `(2, 2) float` each, from low x to high x."""
        if self.lines is None:
            return []
        x0, y0, x1, y1 = self.outline.bounds
        across = [shapely.LineString([(x0 - 1, y), (x1 + 1, y)]) for y in self.lines.between(y0, y1)]
        cut = shapely.intersection(np.array(across), self.polygon) if across else np.empty(0)
        parts = (part for line in cut for part in shapely.get_parts(line))
        return [
            np.array(part.coords) for part in parts if part.geom_type == "LineString" and part.length > 0.5
        ]
