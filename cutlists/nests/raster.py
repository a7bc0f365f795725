"""Shapes on a raster of square cells, and where one raster fits into another.

Cell (i, j) covers x from i to i + 1 and y from j to j + 1 cells. A shape takes every cell that its inside
reaches into, so that what fits on the raster fits truly.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import shapely
from scipy import fft
from shapely.geometry.base import BaseGeometry

from parts.outline import Array

Mask = npt.NDArray[np.bool_]
Spectrum = npt.NDArray[np.complex64]
Counts = npt.NDArray[np.float32]
_HAIR = 1e-6
"""Of a cell: what only touches a cell's edge does not reach into it."""


def touched_cells(polygon: BaseGeometry, shape: tuple[int, int], cell: float) -> Mask:
    """The cells that the inside of a polygon, or of several, reaches into, as `(columns, rows)`."""
    rings = shapely.get_rings(shapely.get_parts(polygon))
    points = [shapely.get_coordinates(ring) / cell for ring in rings]
    if not points:
        return np.zeros(shape, dtype=np.bool_)
    a = np.concatenate([xy[:-1] for xy in points])
    b = np.concatenate([xy[1:] for xy in points])
    return _inside(a, b, shape) | _on_edges(a, b, shape)


def _inside(a: Array, b: Array, shape: tuple[int, int]) -> Mask:
    """Cells whose centre is inside, by counting edges crossed from the left along each row of centres."""
    columns, rows = shape
    toggles = np.zeros((columns + 1, rows), dtype=np.int32)
    low, high = np.ceil(np.sort([a[:, 1], b[:, 1]], axis=0) - 0.5)
    edge, row = _pairs(low, high, rows)
    share = (row + 0.5 - a[edge, 1]) / (b[edge, 1] - a[edge, 1])
    x = a[edge, 0] + share * (b[edge, 0] - a[edge, 0])
    column = np.clip(np.ceil(x - 0.5), 0, columns).astype(np.intp)
    np.add.at(toggles, (column, row), 1)
    return np.asarray(np.cumsum(toggles[:-1], axis=0) % 2 == 1)


def _on_edges(a: Array, b: Array, shape: tuple[int, int]) -> Mask:
    """Cells that an edge runs through."""
    columns, rows = shape
    low, high = np.sort([a[:, 1], b[:, 1]], axis=0)
    edge, row = _pairs(np.floor(low + _HAIR), np.ceil(high - _HAIR), rows)
    rise = b[edge, 1] - a[edge, 1]
    steep = np.abs(rise) > 1e-12
    safe = np.where(steep, rise, 1.0)
    ends = np.stack([(row + end - a[edge, 1]) / safe for end in (0, 1)])
    share = np.where(steep, np.clip(ends, 0.0, 1.0), np.array([[0.0], [1.0]]))
    x = np.sort(a[edge, 0] + share * (b[edge, 0] - a[edge, 0]), axis=0)
    first = np.clip(np.floor(x[0] + _HAIR), 0, columns).astype(np.intp)
    last = np.clip(np.ceil(x[1] - _HAIR), 0, columns).astype(np.intp)
    last = np.maximum(last, first)
    steps = np.zeros((columns + 1, rows), dtype=np.int32)
    np.add.at(steps, (first, row), 1)
    np.add.at(steps, (last, row), -1)
    return np.asarray(np.cumsum(steps[:-1], axis=0) > 0)


def _pairs(start: Array, stop: Array, rows: int) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.intp]]:
    """Every (edge, row) with start <= row < stop for its edge, rows outside the raster left out."""
    start = np.clip(start, 0, rows).astype(np.intp)
    counts = np.maximum(np.clip(stop, 0, rows).astype(np.intp) - start, 0)
    edge = np.repeat(np.arange(len(counts)), counts)
    within = np.arange(len(edge)) - np.repeat(np.cumsum(counts) - counts, counts)
    return edge, start[edge] + within


def _transform(cells: Mask, sizes: tuple[int, ...]) -> Spectrum:
    """The Fourier transform of cells on a field of those sizes, in single precision."""
    return np.asarray(fft.rfft2(cells.astype(np.float32), sizes), dtype=np.complex64)


class Field:
    """Cells that are taken, asked again and again where sets of cells find room."""

    def __init__(self, taken: Mask) -> None:
        self.taken = taken
        self.sizes = tuple(fft.next_fast_len(n, real=True) for n in taken.shape)
        self._transform: Spectrum | None = None

    def take(self, polygon: BaseGeometry, cell: float) -> None:
        """Mark the cells that a polygon reaches into as taken."""
        self.taken = mark(self.taken.copy(), polygon, cell)
        self._transform = None

    def copy(self) -> Field:
        """The same field, that can be taken up further by itself."""
        new = Field(self.taken)
        new._transform = self._transform
        return new

    def overlaps(self, kernels: Kernels) -> list[Counts | None]:
        """For each kernel and every place of its low corner, how many of its cells are taken there.

        None where a kernel is larger than the field. Correlation by Fourier transform; counts are
        exact to about 0.01, and places run only so far that nothing wraps round.
        """
        if self._transform is None:
            self._transform = _transform(self.taken, self.sizes)
        spectra, which = kernels.spectra(self.taken.shape, self.sizes)
        found: list[Counts | None] = [None] * len(kernels.cells)
        if which:
            counts: Counts = fft.irfft2(self._transform * spectra, self.sizes)
            for plane, k in zip(counts, which, strict=True):
                nx, ny = kernels.cells[k].shape
                found[k] = plane[: self.taken.shape[0] - nx + 1, : self.taken.shape[1] - ny + 1]
        return found


def mark(taken: Mask, polygon: BaseGeometry, cell: float) -> Mask:
    """Set the cells that a polygon reaches into, looking at its box only; returns the same array."""
    bounds = shapely.bounds(polygon) / cell
    low = np.maximum(np.floor(bounds[:2]).astype(int), 0)
    high = np.minimum(np.ceil(bounds[2:]).astype(int), taken.shape)
    if (high > low).all():
        moved = shapely.transform(polygon, lambda xy: xy - low * cell)
        size = high - low
        taken[low[0] : high[0], low[1] : high[1]] |= touched_cells(moved, (int(size[0]), int(size[1])), cell)
    return taken


class Kernels:
    """Sets of cells that look for room together; their transforms are kept for each size of field."""

    def __init__(self, cells: list[Mask]) -> None:
        self.cells = cells
        self._spectra: dict[tuple[int, ...], tuple[Spectrum, list[int]]] = {}

    def spectra(self, shape: tuple[int, ...], sizes: tuple[int, ...]) -> tuple[Spectrum, list[int]]:
        """Conjugate transforms of the kernels no larger than a field, stacked, and which they are."""
        if shape not in self._spectra:
            which = [k for k, cells in enumerate(self.cells) if (np.array(cells.shape) <= shape).all()]
            planes = [np.conj(_transform(self.cells[k], sizes)) for k in which]
            empty: Spectrum = np.empty((0, 0, 0), dtype=np.complex64)
            self._spectra[shape] = (np.stack(planes) if planes else empty, which)
        return self._spectra[shape]
