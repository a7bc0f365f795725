"""Triangles over a flat shape that use no points but its own corners."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import shapely

from model.geometry import Array
from model.mesh import Faces


def cover(metal: shapely.Polygon, points: Array, numbers: Iterable[int]) -> Faces:
    """Triangles over `metal`, counter-clockwise, as rows of three numbers of points.

    Args:
        metal: with its holes; every corner is one of the points.
        points: `(n, 2)`.
        numbers: of the points that its corners are among.
    """
    known = {tuple(points[number].tolist()): number for number in numbers}
    found = shapely.get_coordinates(shapely.constrained_delaunay_triangles(metal)).reshape(-1, 4, 2)[:, :3]
    flat = [known[x, y] for x, y in found.reshape(-1, 2).tolist()]
    faces = np.array(flat, dtype=np.int64).reshape(-1, 3)
    p, q, r = np.moveaxis(points[faces], 1, 0)
    u, v = q - p, r - p
    clockwise = u[:, 0] * v[:, 1] < u[:, 1] * v[:, 0]
    faces[clockwise] = faces[clockwise][:, ::-1]
    return faces
