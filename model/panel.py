"""Flat panels cut from sheet: decks, risers, bulkheads, locker walls and floors, console and seat faces."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from model.flat_arcs import THIN, polygon_loops, polygon_of, polygons_of
from model.geometry import Array, Frame
from model.mesh import Mesh
from model.prism import Prism
from parts.outline import CHORD, Loop

if TYPE_CHECKING:
    from model.bends.bend_line import BendLine
    from model.bends.made import CornerCut
    from parts.sheet import Sheet


@dataclass(frozen=True, eq=False, slots=True)
class Panel:
    """A flat piece of sheet: its face is z = 0 of `frame`, the metal lies below, down to minus the thickness.

    `outline` and `holes` are drawn on the face in the frame's x, y, mm. `role` says what it is in the
    boat: 'deck', 'riser', 'bulkhead', 'wall', 'floor', 'console', 'seat', 'lid'.
    """

    name: str
    frame: Frame
    outline: Loop
    holes: tuple[Loop, ...]
    sheet: Sheet
    role: str

    @property
    def prism(self) -> Prism:
        """The plate over the outline; of a piece with flanges, to the outside of its bends."""
        return Prism(self.frame, self.outline, self.holes, -self.sheet.thickness, 0.0)

    @property
    def prisms(self) -> tuple[Prism, ...]:
        """The solid metal; several where edges are bent."""
        return (self.prism,)

    @property
    def area(self) -> float:
        """Area of one face, holes taken out, mm2."""
        return self.prism.area

    @property
    def volume(self) -> float:
        """Volume of the metal, mm3."""
        return self.prism.volume

    @property
    def mass(self) -> float:
        """Mass, kg."""
        return self.area * self.sheet.mass_per_m2 * 1e-6

    @property
    def centre(self) -> Array:
        """Centre of mass in the boat, `(3,) float`, mm."""
        return self.prism.centre

    @property
    def box(self) -> Array:
        """Least and greatest corner in the boat, `(2, 3) float`, mm."""
        return self.prism.box

    @property
    def extents(self) -> tuple[float, float]:
        """Overall size along the frame's x and y as drawn, mm."""
        low_x, low_y, high_x, high_y = self.outline.bounds
        return high_x - low_x, high_y - low_y

    @property
    def polygon(self) -> shapely.Polygon:
        """Outline and holes as a shapely polygon in the frame's x, y, arcs tessellated."""
        return polygon_of(self.outline, self.holes)

    @property
    def cut_outline(self) -> Loop:
        """The outline that is cut from sheet, in the frame's x, y; of a bent piece the flat pattern."""
        return self.outline

    @property
    def cut_holes(self) -> tuple[Loop, ...]:
        """The holes that are cut."""
        return self.holes

    @property
    def cut_polygon(self) -> shapely.Polygon:
        """What is cut, as a shapely polygon."""
        return self.polygon

    @property
    def cut_extents(self) -> tuple[float, float]:
        """Overall size of what is cut along the frame's x and y, mm."""
        low_x, low_y, high_x, high_y = self.cut_outline.bounds
        return high_x - low_x, high_y - low_y

    @property
    def bend_lines(self) -> tuple[BendLine, ...]:
        """Where what is cut is bent."""
        return ()

    @property
    def corner_cuts(self) -> tuple[CornerCut, ...]:
        """Ends of its flanges' legs that are cut off square, for corners that are mitred."""
        return ()

    def mesh(self, chord: float = CHORD) -> Mesh:
        """The closed mesh of the metal in the boat."""
        return self.prism.mesh(chord)


def panel_from_polygon(
    name: str, frame: Frame, polygon: shapely.Polygon, sheet: Sheet, role: str, thin: float = THIN
) -> Panel:
    """The panel on a polygon drawn in the frame's x, y, with its tessellated arcs made true again.

    Args:
        name: the panel's name in the boat.
        frame: where it is; its face is z = 0.
        polygon: not empty, mm.
        sheet: what it is cut from.
        role: what it is in the boat.
        thin: vertices of polylines that matter less than this are left out, mm.

    Raises:
        ValueError: the polygon is empty or crosses itself.
    """
    if polygon.is_empty or not polygon.is_valid:
        why = "it is empty" if polygon.is_empty else shapely.is_valid_reason(polygon)
        raise ValueError(f"the outline of {name} cannot be cut: {why}")
    outline, holes = polygon_loops(polygon, thin)
    if _is_thinned(polygon, (outline, *holes)) and not polygon_of(outline, holes).is_valid:
        # thinning made a narrow neck touch itself
        outline, holes = polygon_loops(polygon, 0.0)
    return Panel(name, frame, outline, holes, sheet, role)


def _is_thinned(polygon: shapely.Polygon, loops: tuple[Loop, ...]) -> bool:
    """Whether the loops of a polygon have fewer corners than it, or arcs in place of corners."""
    return len(shapely.get_coordinates(polygon)) != sum(len(loop.points) + 1 for loop in loops)


def panels_from_shape(
    name: str, frame: Frame, shape: BaseGeometry, sheet: Sheet, role: str, thin: float = THIN
) -> list[Panel]:
    """One panel for each polygon of a shape; several are named `name.1`, `name.2` ... along x, then y."""
    polygons = polygons_of(shape)
    polygons.sort(key=lambda polygon: tuple(np.round(polygon.bounds[:2], 3)))
    names = [name] if len(polygons) == 1 else [f"{name}.{i}" for i in range(1, len(polygons) + 1)]
    return [
        panel_from_polygon(own, frame, polygon, sheet, role, thin)
        for own, polygon in zip(names, polygons, strict=True)
    ]
