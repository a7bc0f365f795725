"""A sheet as a grid of cells, to find at once every place where a piece fits."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from scipy import fft
from shapely.geometry.base import BaseGeometry

Mask = npt.NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Stencil:
    """The cells that a shape touches on a grid, and where their first one is, border not counted.

    `spectrum` is the transform of `mask` at the grid's size.
    """

    mask: Mask
    i: int
    j: int
    spectrum: npt.NDArray[np.complex128]


class Grid:
    """Cells of a sheet that are taken; cell (i, j) covers x from i `cx`, y from `y0` + j `cy`, mm.

    A border of cells round the sheet lets pieces, grown by half the spacing, reach past its edges.
    """

    def __init__(self, length: float, low: float, high: float, cx: float, cy: float, border: int) -> None:
        """An empty sheet from x = 0 to `length` and y = `low` to `high`, of cells `cx` by `cy`."""
        self.cx, self.cy, self.y0, self.border = cx, cy, low, border
        self.counts = (
            int(np.ceil(length / cx)) + 2 * border,
            int(np.ceil((high - low) / cy)) + 2 * border,
        )
        self.taken = np.zeros(self.counts, dtype=bool)
        self._size = tuple(fft.next_fast_len(count, True) for count in self.counts)
        self._spectrum: npt.NDArray[np.complex128] | None = None

    def take(self, shape: BaseGeometry) -> None:
        """Marks the cells that a shape on the sheet touches."""
        mask, i, j = self.touched(shape)
        i, j = i + self.border, j + self.border
        a, b = max(i, 0), max(j, 0)
        c, d = min(i + mask.shape[0], self.counts[0]), min(j + mask.shape[1], self.counts[1])
        self.taken[a:c, b:d] |= mask[a - i : c - i, b - j : d - j]
        self._spectrum = None

    def touched(self, shape: BaseGeometry) -> tuple[Mask, int, int]:
        """The cells a shape touches, and the number of the first along x and y, border not counted."""
        x0, y0, x1, y1 = shape.bounds
        i, j = int(np.floor(x0 / self.cx)), int(np.floor((y0 - self.y0) / self.cy))
        nx, ny = int(np.floor(x1 / self.cx)) - i + 1, int(np.floor((y1 - self.y0) / self.cy)) - j + 1
        x = (i + np.arange(nx) + 0.5) * self.cx
        y = self.y0 + (j + np.arange(ny) + 0.5) * self.cy
        # a cell touches a shape only if its middle is within half its diagonal
        near = shape.buffer(float(np.hypot(self.cx, self.cy)) / 2 + 1e-6, quad_segs=2)
        shapely.prepare(near)
        across, along = np.meshgrid(y, x)
        return np.asarray(shapely.contains_xy(near, along, across)), i, j

    def stencil(self, shape: BaseGeometry) -> Stencil:
        """The cells a shape touches, made ready for `free`; good for every grid of one size and origin."""
        mask, i, j = self.touched(shape)
        return Stencil(mask, i, j, fft.rfft2(mask.astype(np.float64), self._size))

    def free(self, stencil: Stencil) -> Mask:
        """For each cell whether a stencil whose first cell lies there takes none that is taken.

        Cells from which it would reach past the border are not free.
        """
        if self._spectrum is None:
            self._spectrum = fft.rfft2(self.taken.astype(np.float64), self._size)
        # correlation: how many taken cells each place of the mask would cover; places that are read do not
        # reach past the grid, so that nothing wraps round
        hits = fft.irfft2(self._spectrum * np.conj(stencil.spectrum), self._size)
        fits = np.zeros(self.counts, dtype=bool)
        nx, ny = (count - size + 1 for count, size in zip(self.counts, stencil.mask.shape, strict=True))
        if nx > 0 and ny > 0:
            fits[:nx, :ny] = hits[:nx, :ny] < 0.5
        return fits
