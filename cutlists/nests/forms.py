"""Pieces as the placing sees them: straight-edged, a little larger than the metal, in every allowed pose."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely import affinity

from cutlists.nests.raster import Kernels, Mask, touched_cells
from cutlists.nests.records import NestPiece, Placement, turn_matrix
from model.flat_arcs import polygon_of
from parts.outline import CHORD, Array

_MOST_CORNERS = 60
"""Outlines of straight edges with more corners than this are simplified."""
_SIMPLER = 0.1
"""How far simplifying may move an outline, mm; the form is grown by this and by the chord of its arcs."""
SLACK = 0.35
"""No form is larger than its piece by more than this, mm: simplified, and grown at a corner."""


@dataclass(frozen=True, eq=False)
class Pose:
    """A form turned and flipped, the low corner of its box at the origin.

    `offset` is where the piece's own origin then lies, mm.
    """

    turn: int
    flipped: bool
    polygon: shapely.Polygon
    offset: tuple[float, float]
    cell: float

    @cached_property
    def size(self) -> tuple[float, float]:
        """Extent along x and y, mm."""
        _, _, x, y = self.polygon.bounds
        return x, y

    @cached_property
    def cells(self) -> Mask:
        """Cells of the raster that the form touches, `(columns, rows)`."""
        nx, ny = (max(1, int(np.ceil(side / self.cell - 1e-6))) for side in self.size)
        return touched_cells(self.polygon, (nx, ny), self.cell)

    @cached_property
    def edges(self) -> Array:
        """All edges as `(n, 2, 2)`, mm, of the form a hair smaller, so that it may slide along others."""
        return edges_of(self.polygon.buffer(-1e-4, join_style="mitre"))

    @cached_property
    def inner(self) -> tuple[int, int]:
        """A cell that the form touches."""
        column, row = np.argwhere(self.cells)[0]
        return int(column), int(row)

    def at(self, x: float, y: float) -> shapely.Polygon:
        """The form with the low corner of its box at (x, y)."""
        return affinity.translate(self.polygon, x, y)


@dataclass(frozen=True, eq=False)
class Form:
    """A piece to be placed.

    Attributes:
        piece: the piece itself.
        polygon: what it takes up, in its own coordinates.
        poses: allowed turns and flips, those that look alike once.
        alike: for every allowed turn and flip the pose that looks like it.
        is_exact: whether the polygon is the piece's outline itself; else it is up to `SLACK` mm larger.
    """

    piece: NestPiece
    polygon: shapely.Polygon
    poses: tuple[Pose, ...]
    alike: Mapping[tuple[int, bool], Pose]
    is_exact: bool

    @cached_property
    def outer_area(self) -> float:
        """Area within its outer outline, openings counted in, mm2."""
        return float(shapely.Polygon(self.polygon.exterior).area)

    @cached_property
    def kernels(self) -> Kernels:
        """The cells of every pose."""
        return Kernels([pose.cells for pose in self.poses])

    def placement(self, pose: Pose, x: float, y: float) -> Placement:
        """The piece with the low corner of the pose's box at (x, y)."""
        return Placement(self.piece, pose.turn, pose.flipped, x + pose.offset[0], y + pose.offset[1])


def form_of(piece: NestPiece, cell: float) -> Form:
    """The form of a piece, its rasters with cells of `cell` mm."""
    polygon, exact = grown_outline(piece)
    alike: dict[tuple[int, bool], Pose] = {}
    looks: dict[bytes, Pose] = {}
    for flipped in piece.faces:
        for turn in piece.turns:
            turned = affinity.affine_transform(polygon, [*turn_matrix(turn, flipped).ravel(), 0.0, 0.0])
            low_x, low_y = turned.bounds[:2]
            placed = affinity.translate(turned, -low_x, -low_y)
            pose = Pose(turn, flipped, placed, (-low_x, -low_y), cell)
            alike[turn, flipped] = looks.setdefault(_look(placed), pose)
    return Form(piece, polygon, tuple(looks.values()), alike, exact)


def _look(polygon: shapely.Polygon) -> bytes:
    """The same bytes for polygons whose corners agree to 0.001 mm."""
    corners = np.round(shapely.get_coordinates(polygon), 3) + 0.0
    return bytes(np.unique(corners, axis=0).tobytes())


def grown_outline(piece: NestPiece) -> tuple[shapely.Polygon, bool]:
    """A straight-edged outline that holds the piece's metal and keeps to its box; whether it is exact."""
    polygon = polygon_of(piece.outline, piece.holes)
    loops = (piece.outline, *piece.holes)
    curved = any(loop.bulges.any() for loop in loops)
    if not curved and sum(len(loop.points) for loop in loops) <= _MOST_CORNERS:
        return polygon, True
    grown = polygon.simplify(_SIMPLER).buffer(_SIMPLER + CHORD, join_style="mitre", mitre_limit=1.5)
    held = grown.intersection(shapely.box(*piece.outline.bounds))
    if isinstance(held, shapely.Polygon) and held.is_valid:
        return held, False
    return polygon.buffer(CHORD, join_style="mitre", mitre_limit=1.5), False


def edges_of(polygon: shapely.Geometry) -> Array:
    """All edges of polygons as `(n, 2, 2) float`."""
    rings = shapely.get_rings(shapely.get_parts(polygon))
    found = [np.stack([xy[:-1], xy[1:]], axis=1) for xy in map(shapely.get_coordinates, rings)]
    return np.concatenate(found) if found else np.empty((0, 2, 2))
