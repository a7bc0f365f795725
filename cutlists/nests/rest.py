"""The largest rectangle left on a sheet once its pieces are cut."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import shapely

from cutlists.nests.forms import edges_of
from cutlists.nests.ground import grown_by, travel
from cutlists.nests.raster import Mask, touched_cells
from cutlists.nests.records import Box, Placement, Stock

_CELLS = 160
"""Along the longer side of the sheet; the rectangle found on them is then grown until it touches."""


def largest_rest(stock: Stock, placements: Sequence[Placement], spacing: float) -> Box | None:
    """The largest rectangle along x and y within the sheet that is `spacing` from every piece.

    Found on a raster and grown to the true edges: another may be larger by less than a cell or two.
    """
    length, width = stock.size
    cell = max(length, width) / _CELLS
    shape = (int(np.ceil(length / cell - 1e-6)), int(np.ceil(width / cell - 1e-6)))
    grown = [grown_by(placement.polygon(), spacing) for placement in placements]
    outside = shapely.box(-cell, -cell, (shape[0] + 1) * cell, (shape[1] + 1) * cell).difference(
        stock.polygon
    )
    taken = touched_cells(outside, shape, cell)
    if grown:
        taken |= touched_cells(
            shapely.MultiPolygon(shapely.get_parts(shapely.union_all(grown)).tolist()), shape, cell
        )
    found = largest_free(~taken)
    if found is None:
        return None
    walls = np.concatenate([edges_of(stock.polygon), *(edges_of(polygon) for polygon in grown)])
    return _spread([side * cell for side in found], walls)


def largest_free(free: Mask) -> tuple[int, int, int, int] | None:
    """The rectangle of free cells with the largest area, as first and past-last column and row.

    For each column the bars of free cells that end there are kept in rising order; a bar that a lower one
    ends has found its widest rectangle.
    """
    columns, rows = free.shape
    bars: npt.NDArray[np.int64] = np.zeros(rows + 1, dtype=np.int64)
    best, box = 0, None
    for column in range(columns):
        bars[:rows] = np.where(free[column], bars[:rows] + 1, 0)
        rising: list[tuple[int, int]] = []
        for row, bar in enumerate(bars.tolist()):
            start = row
            while rising and rising[-1][1] >= bar:
                start, deep = rising.pop()
                if deep * (row - start) > best:
                    best = deep * (row - start)
                    box = (column + 1 - deep, start, column + 1, row)
            if bar:
                rising.append((start, bar))
    return box


def _spread(sides: Sequence[float], walls: npt.NDArray[np.float64]) -> Box:
    """The rectangle with each side moved out until it meets a wall."""
    low, high = np.array(sides[:2]), np.array(sides[2:])
    for axis in (0, 1):
        for sign in (1.0, -1.0):
            near, far = (low, high) if sign > 0 else (-high, -low)
            edges = edges_of(shapely.box(*(near + 1e-4), *(far - 1e-4)))
            by = travel(edges, sign * walls, axis)
            if sign > 0:
                low[axis] -= by
            else:
                high[axis] += by
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])
