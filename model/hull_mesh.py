"""Triangles of a hull: its inside, the closed body it holds, the sheet it is made of."""

from __future__ import annotations

import numpy as np

from model.geometry import Array
from model.hull import Hull
from model.hull_grid import skin_grid
from model.mesh import Faces, Mesh

SPACING = 75.0
"""Millimetres between rows along the hull."""


def skin_mesh(hull: Hull, spacing: float = SPACING) -> Mesh:
    """The inside of the skin, open at the top and the ends; faces look out of the boat."""
    points = skin_grid(hull, spacing).points
    return Mesh(points.reshape(-1, 3), _skin_faces(*points.shape[:2]))


def body_mesh(hull: Hull, spacing: float = SPACING) -> Mesh:
    """The closed body inside the skin, with flat ends and straight across from gunwale to gunwale."""
    points = skin_grid(hull, spacing).points
    rows, columns = points.shape[:2]
    faces = [
        _skin_faces(rows, columns),
        _ladder(0, columns),
        _ladder((rows - 1) * columns, columns)[:, ::-1],
        _deck(rows, columns),
    ]
    return _welded(points.reshape(-1, 3), np.concatenate(faces))


def sheet_mesh(hull: Hull, spacing: float = SPACING) -> Mesh:
    """The sheet itself: skin, transom and bow plate, `hull.thickness` outward from the surveyed surface.

    Raises:
        ValueError: the hull has no thickness.
    """
    if hull.thickness <= 0.0:
        raise ValueError("a hull of no thickness has no sheet")
    grid = skin_grid(hull, spacing)
    rows, columns = grid.points.shape[:2]
    one = np.concatenate(
        [_skin_faces(rows, columns), _ladder(0, columns), _ladder((rows - 1) * columns, columns)[:, ::-1]]
    )
    size = rows * columns
    points = np.concatenate([grid.points.reshape(-1, 3), grid.outside(hull.thickness).reshape(-1, 3)])
    faces = np.concatenate([one[:, ::-1], one + size, _rim(rows, columns)])
    return _welded(points, faces)


def _skin_faces(rows: int, columns: int) -> Faces:
    """Two triangles to each cell, looking out of the boat.

    Diagonals are mirrored about the middle column, and lead away from the keel towards the middle row:
    where the sides close in a stem no two of them then share their ends.
    """
    j, i = np.meshgrid(np.arange(rows - 1), np.arange(columns - 1), indexing="ij")
    a = (j * columns + i).ravel()
    b, c, d = a + 1, a + 1 + columns, a + columns
    rising = ((i < (columns - 1) // 2) == (j >= (rows - 1) // 2)).ravel()[:, None]
    first = np.where(rising, np.stack([a, b, c], axis=1), np.stack([a, b, d], axis=1))
    second = np.where(rising, np.stack([a, c, d], axis=1), np.stack([b, c, d], axis=1))
    return np.concatenate([first, second]).astype(np.int64)


def _ladder(start: int, columns: int) -> Faces:
    """A section's face between columns of the same count from either gunwale, looking aft."""
    low = np.arange(columns // 2)
    a, b, c, d = start + low, start + low + 1, start + columns - 2 - low, start + columns - 1 - low
    faces = np.concatenate([np.stack([a, d, b], axis=1), np.stack([b, d, c], axis=1)])
    return _without_repeats(faces)


def _deck(rows: int, columns: int) -> Faces:
    """Straight across from gunwale to gunwale, looking up."""
    a = np.arange(rows - 1) * columns
    b, c, d = a + columns, a + 2 * columns - 1, a + columns - 1
    return np.concatenate([np.stack([a, b, d], axis=1), np.stack([b, c, d], axis=1)]).astype(np.int64)


def _rim(rows: int, columns: int) -> Faces:
    """The upper edge of the sheet all round, looking up: port forward, across the bow, aft, across."""
    port = np.arange(rows) * columns + columns - 1
    starboard = np.arange(rows)[::-1] * columns
    a = np.concatenate([port, starboard])
    b = np.roll(a, -1)
    out = rows * columns
    return np.concatenate([np.stack([a, b, b + out], axis=1), np.stack([a, b + out, a + out], axis=1)])


def _without_repeats(faces: Faces) -> Faces:
    """Faces whose three corners differ."""
    a, b, c = faces.T
    kept: Faces = faces[(a != b) & (b != c) & (c != a)]
    return kept


def _welded(points: Array, faces: Faces) -> Mesh:
    """Points that coincide, as where all lines meet at a stem, made one; faces that vanish left out."""
    # Adding zero makes one of -0.0 and 0.0.
    _, first, same = np.unique(np.round(points, 6) + 0.0, axis=0, return_index=True, return_inverse=True)
    if len(first) == len(points):
        return Mesh(points, _without_repeats(faces))
    kept = np.sort(first)
    place = np.searchsorted(kept, first)
    return Mesh(points[kept], _without_repeats(place[same.ravel()][faces]))
