"""Where on a sheet of mat a piece can lie: found on a grid and at corners, checked by exact outlines."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import shapely
from shapely import affinity

from cutlists.mats.grid import Grid, Stencil
from cutlists.mats.turned import Laid, allowed_turns, groove_shift, keeps_phase
from model.geometry import Array
from model.mat.piece import MatPiece
from model.mat.settings import MatSettings, MatSheet

CELL = 8.0
"""Greatest size of a grid cell, mm."""
_EXACT = 1e-6

Stencils = dict[tuple[str, int, MatSheet], Stencil]
"""Stencils of pieces already made, by piece, quarters turned and sheet."""


@dataclass(eq=False)
class OpenSheet:
    """A sheet being filled, with the outlines that lie on it."""

    sheet: MatSheet
    settings: MatSettings
    grid: Grid
    stencils: Stencils
    laid: list[Laid] = field(default_factory=list)
    shapes: list[shapely.Polygon] = field(default_factory=list)
    boxes: list[tuple[float, float, float, float]] = field(default_factory=list)

    @classmethod
    def empty(cls, sheet: MatSheet, settings: MatSettings, stencils: Stencils) -> OpenSheet:
        """A bare sheet; on a grooved one the grid's rows are a whole number to the pitch, from a groove.

        `stencils` is shared by all sheets that the same pieces are tried on.
        """
        cy, low = CELL, 0.0
        if sheet.grooved:
            cy = settings.pitch / np.ceil(settings.pitch / CELL)
            low = sheet.first - settings.pitch * np.ceil(sheet.first / settings.pitch)
        border = int(np.ceil(settings.spacing / min(CELL, cy))) + 2
        grid = Grid(sheet.length, low, sheet.width, CELL, float(cy), border)
        return cls(sheet, settings, grid, stencils)

    def add(self, laid: Laid) -> None:
        """Lays a piece for good."""
        shape = laid.polygon
        self.laid.append(laid)
        self.shapes.append(shape)
        self.boxes.append(shape.bounds)
        self.grid.take(shape.buffer(self.settings.spacing / 2, quad_segs=2))

    def holds(self, shape: shapely.Polygon) -> bool:
        """Whether a shape lies within the margins and keeps the spacing from all others."""
        x0, y0, x1, y1 = shape.bounds
        m = self.settings.margin - _EXACT
        if x0 < m or y0 < m or x1 > self.sheet.length - m or y1 > self.sheet.width - m:
            return False
        spacing = self.settings.spacing - _EXACT
        near = [
            other
            for other, (a, b, c, d) in zip(self.shapes, self.boxes, strict=True)
            if a < x1 + spacing and b < y1 + spacing and c > x0 - spacing and d > y0 - spacing
        ]
        return not near or bool((shapely.distance(np.array(near), shape) >= spacing).all())


def best_place(piece: MatPiece, mark: str, target: OpenSheet) -> Laid | None:
    """The place nearest the low end of the sheet, of all the ways the piece may be turned."""
    found = [
        laid
        for quarters in allowed_turns(piece, target.sheet)
        if (laid := _first_place(Laid(piece, mark, quarters, 0.0, 0.0), target)) is not None
    ]
    return min(found, key=lambda one: tuple(np.round(one.polygon.bounds[2::-2], 2)), default=None)


def _first_place(laid: Laid, target: OpenSheet) -> Laid | None:
    """The place nearest the low end for a piece turned as it is: of the grid's and those that just fit."""
    phased = keeps_phase(laid.piece, target.sheet, target.settings.pitch)
    found = _on_grid(laid, target, phased)
    limit = np.inf if found is None else found.dx - _EXACT
    for dx, dy in _corners(laid, target, phased):
        if dx > limit:
            break
        close = replace(laid, dx=float(dx), dy=float(dy))
        if target.holds(close.polygon):
            return close
    return found


def _corners(laid: Laid, target: OpenSheet, phased: bool) -> Array:
    """Moves that set a piece just off the low edges and off the far sides of those laid, `(n, 2)`, by x."""
    s, sheet = target.settings, target.sheet
    x0, y0, x1, y1 = laid.polygon.bounds
    ends = np.array([box[2:] for box in target.boxes]).reshape(-1, 2) + s.spacing
    dx, dy = (np.unique(np.append(ends[:, k], s.margin) - low) for k, low in ((0, x0), (1, y0)))
    if phased:
        short = (sheet.first - groove_shift(laid.piece, laid.quarters) - dy) % s.pitch
        dy = np.unique(dy + np.where(s.pitch - short < _EXACT, 0.0, short))
    dx = dx[x1 + dx <= sheet.length - s.margin + _EXACT]
    dy = dy[y1 + dy <= sheet.width - s.margin + _EXACT]
    return np.stack(np.meshgrid(dx, dy, indexing="ij"), axis=-1).reshape(-1, 2)


def _on_grid(laid: Laid, target: OpenSheet, phased: bool) -> Laid | None:
    """The first free place on the grid that holds by exact outlines, moved as close as it goes."""
    settings, grid = target.settings, target.grid
    x0, y0, x1, y1 = laid.polygon.bounds
    base_x = settings.margin - x0
    base_y = grid.y0 - groove_shift(laid.piece, laid.quarters) if phased else settings.margin - y0
    key = (laid.piece.name, laid.quarters, target.sheet)
    stencil = target.stencils.get(key)
    if stencil is None:
        grown = laid.polygon.buffer(settings.spacing / 2, quad_segs=2)
        stencil = grid.stencil(affinity.translate(grown, base_x, base_y))
        target.stencils[key] = stencil
    room_x = target.sheet.length - settings.margin - (x1 + base_x)
    low_y, high_y = settings.margin - (y0 + base_y), target.sheet.width - settings.margin - (y1 + base_y)
    moves = (np.argwhere(grid.free(stencil)) - grid.border - [stencil.i, stencil.j]) * [grid.cx, grid.cy]
    keep = (moves[:, 0] > -_EXACT) & (moves[:, 0] < room_x + _EXACT)
    keep &= (moves[:, 1] > low_y - _EXACT) & (moves[:, 1] < high_y + _EXACT)
    if phased:
        keep &= np.abs((moves[:, 1] + settings.pitch / 2) % settings.pitch - settings.pitch / 2) < _EXACT
    if not keep.any():
        return None
    # in order along the sheet, then across: the first is the nearest to its low end
    x, y = moves[keep][0]
    placed = replace(laid, dx=base_x + float(x), dy=base_y + float(y))
    return _closer(placed, target, phased) if target.holds(placed.polygon) else None


def _closer(laid: Laid, target: OpenSheet, phased: bool) -> Laid:
    """The piece moved towards the low corner as far as it goes; along its grooves only if phased."""
    for way in ((-1.0, 0.0),) if phased else ((-1.0, 0.0), (0.0, -1.0), (-1.0, 0.0)):
        step = 2 * CELL
        while step > 0.2:
            moved = replace(laid, dx=laid.dx + way[0] * step, dy=laid.dy + way[1] * step)
            if target.holds(moved.polygon):
                laid = moved
            else:
                step /= 2
    return laid
