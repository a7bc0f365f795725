"""The open space about a thing on a grid: how far each place lies from metal, and ways through it.

A place is the middle of a cell. Its distance is that to one of many points laid on the metal, so it is never
less than the true distance. It is one from the nearest cell with metal, which may make it more by most of a
cell; where more is asked it is the nearest of them, and right within some millimetres.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt
from scipy.ndimage import distance_transform_edt
from scipy.spatial import cKDTree

from model.access.box import Triangles
from model.geometry import Array

Indices = npt.NDArray[np.int64]

CELL = 25.0
"""Side of a cell, mm."""

FINE = 10.0
"""Of points on metal that lie in one cube of this side, mm, one is enough."""

LAID = 12.0
"""Points on metal lie no further apart than this, mm."""


def points_on(triangles: Triangles, spacing: float = LAID) -> tuple[Array, Array]:
    """Points on triangles `(n, 3)`, none further apart than `spacing` mm along a side, and whose each is."""
    corners = triangles.corners
    if not len(corners):
        return np.zeros((0, 3)), np.zeros(0)
    sides = np.roll(corners, -1, axis=1) - corners
    lengths = np.sqrt((sides**2).sum(axis=2))
    rows = np.arange(len(corners))
    longest = lengths.argmax(axis=1)
    a, b, c = (corners[rows, (longest + k) % 3] for k in range(3))
    base = lengths[rows, longest]
    height = np.sqrt((np.cross(b - a, c - a) ** 2).sum(axis=1)) / np.maximum(base, 1e-9)
    across = np.ceil(base / spacing).astype(np.int64) + 1
    up = np.ceil(height / spacing).astype(np.int64) + 1
    count = across * up
    which = np.repeat(rows, count)
    number = np.arange(len(which)) - np.repeat(np.cumsum(count) - count, count)
    s = (number % across[which]) / np.maximum(across[which] - 1, 1)
    t = (number // across[which]) / np.maximum(up[which] - 1, 1)
    along = a[which] + s[:, None] * (b - a)[which]
    found: Array = along + t[:, None] * (c[which] - along)
    return found, triangles.owner[which]


@dataclass(frozen=True, eq=False)
class Room:
    """A grid of places.

    Attributes:
        origin: the middle of its first cell, `(3,)`.
        cell: side of a cell, mm.
        free: how far each place lies from metal, mm `(nx, ny, nz)`; below zero where no way may lead.
    """

    origin: Array
    cell: float
    free: Array

    @classmethod
    def about(cls, box: Array, metal: Array, cell: float = CELL) -> Room:
        """The places of a box `(2, 3)` among points on metal `(n, 3)`."""
        shape = np.maximum(np.ceil((box[1] - box[0]) / cell).astype(np.int64), 1) + 1
        index = np.floor((metal - box[0]) / cell + 0.5).astype(np.int64)
        inside = ((index >= 0) & (index < shape)).all(axis=1)
        index, points = index[inside], metal[inside]
        free = np.full(shape, 1e6)
        if len(points):
            flat = np.ravel_multi_index(tuple(index.T), tuple(shape))
            filled = np.zeros(shape, dtype=np.bool_)
            filled.ravel()[flat] = True
            held = np.zeros(shape.prod(), dtype=np.int64)
            held[flat] = np.arange(len(points))  # any one point of a cell stands for it
            nearest = distance_transform_edt(~filled, return_distances=False, return_indices=True)
            point = points[held.reshape(shape)[tuple(nearest)]]
            free = np.sqrt(((point - _middles(box[0], cell, shape)) ** 2).sum(axis=-1))
        return cls(box[0], cell, free)

    def sharpened(self, metal: Array, low: float, high: float) -> Room:
        """The same with distances between `low` and `high` mm asked of all points, right to a twentieth."""
        doubtful = (self.free >= low) & (self.free <= high)
        if not len(metal) or not doubtful.any():
            return self
        cubes = np.floor((metal - metal.min(axis=0)) / FINE).astype(np.int64)
        size = cubes.max(axis=0) + 1
        _, kept = np.unique((cubes[:, 0] * size[1] + cubes[:, 1]) * size[2] + cubes[:, 2], return_index=True)
        tree = cKDTree(metal[kept], leafsize=24, balanced_tree=False, compact_nodes=False)
        far, _ = tree.query(self.middles[doubtful], eps=0.05)
        free = self.free.copy()
        free[doubtful] = np.minimum(free[doubtful], far)
        return replace(self, free=free)

    @property
    def shape(self) -> tuple[int, int, int]:
        """How many cells along each axis."""
        x, y, z = self.free.shape
        return x, y, z

    @cached_property
    def middles(self) -> Array:
        """The places, `(nx, ny, nz, 3)`."""
        return _middles(self.origin, self.cell, np.array(self.shape))

    def index(self, points: Array) -> Indices:
        """The cells that points `(..., 3)` lie in, held to the grid."""
        found = np.floor((points - self.origin) / self.cell + 0.5).astype(np.int64)
        return np.clip(found, 0, np.array(self.shape) - 1)

    def flat(self, index: Indices) -> Indices:
        """Cells `(..., 3)` by one number each."""
        _, ny, nz = self.shape
        found: Indices = (index[..., 0] * ny + index[..., 1]) * nz + index[..., 2]
        return found

    def closed(self, cells: npt.NDArray[np.bool_]) -> Room:
        """The same room with some cells shut."""
        return replace(self, free=np.where(cells, -1.0, self.free))

    def spread(
        self,
        starts: Indices,
        lengths: Array,
        need: Callable[[Array], Array | float],
        limit: float,
        front: Indices | None = None,
    ) -> Array:
        """The length of the shortest way from any start to each place, mm `(nx, ny, nz)`; inf where none.

        A way goes from cell to one of its 26 neighbours, which makes it up to 13 % longer than it need be.

        Args:
            starts: cells by number.
            lengths: of the way that was gone there already, mm.
            need: how far from metal a way must keep after so long a way, mm; never less for a longer one.
            limit: ways longer than this are not followed, mm.
            front: starts from which ways lead on, where the others are known to lead nowhere new.
        """
        shape = np.array(self.shape)
        padded = np.full(shape + 2, -1.0)
        padded[1:-1, 1:-1, 1:-1] = self.free
        free = padded.ravel()
        _, py, pz = padded.shape
        steps = np.array([s for s in itertools.product((-1, 0, 1), repeat=3) if any(s)])
        jumps = (steps[:, 0] * py + steps[:, 1]) * pz + steps[:, 2]
        costs = np.sqrt((steps**2).sum(axis=1)) * self.cell
        found = np.full(free.shape, np.inf)
        np.minimum.at(found, self._padded(starts), lengths)
        last = self._padded(starts if front is None else front)
        while len(last):
            reached = last[:, None] + jumps
            length = found[last][:, None] + costs
            better = (length < found[reached] - 1e-6) & (length <= limit) & (free[reached] >= need(length))
            reached, length = reached[better], length[better]
            np.minimum.at(found, reached, length)
            last = np.unique(reached)
        inner: Array = found.reshape(padded.shape)[1:-1, 1:-1, 1:-1]
        return inner

    def _padded(self, cells: Indices) -> Indices:
        """Cells by their number in a grid with one more cell all round."""
        x, y, z = (axis + 1 for axis in np.unravel_index(cells, self.shape))
        _, ny, nz = self.shape
        found: Indices = (x * (ny + 2) + y) * (nz + 2) + z
        return found

    def back(self, lengths: Array, cell: Indices) -> Array:
        """The places of the way that `spread` found, from a cell `(3,)` back to its start, `(n, 3)`."""
        way = [cell]
        here = float(lengths[tuple(cell)])
        while True:
            low, high = np.maximum(way[-1] - 1, 0), np.minimum(way[-1] + 2, self.shape)
            around = np.stack(
                np.meshgrid(*[np.arange(a, b) for a, b in zip(low, high, strict=True)], indexing="ij"), -1
            ).reshape(-1, 3)
            cost = np.sqrt(((around - way[-1]) ** 2).sum(axis=1)) * self.cell
            total = lengths[tuple(around.T)] + cost
            total[cost == 0.0] = np.inf
            best = int(total.argmin())
            if total[best] > here + 1e-3:
                found: Array = self.middles[tuple(np.array(way).T)]
                return found
            here = float(lengths[tuple(around[best])])
            way.append(around[best])


def _middles(origin: Array, cell: float, shape: Indices) -> Array:
    axes = [origin[k] + cell * np.arange(shape[k]) for k in range(3)]
    return np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1)
