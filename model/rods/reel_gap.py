"""How near a reel's box comes to triangles: along the way in which the two are furthest apart."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from model.geometry import Array
from model.rods.soup import Ints, Soup, crossed

PARALLEL = 1e-9
"""Edges with less than this between them, of their lengths' product squared, give no way of their own."""


@dataclass(frozen=True, eq=False)
class Parting:
    """For each triangle the way that parts it best from a box.

    Attributes:
        gap: between the two along that way, mm, `(n,)`: below zero where they overlap. Where it is above
            zero their true distance is no less.
        way: unit, from the triangle to the box, `(n, 3)`.
        edge: how far the triangle reaches along it, `(n,)`.
        owner: whose triangle it is, `(n,)`.
        point: the triangle's corner that reaches furthest, `(n, 3)`.
    """

    gap: Array
    way: Array
    edge: Array
    owner: Ints
    point: Array


def parting(soup: Soup, corners: Array, reach: float) -> Parting:
    """The triangles that come within `reach` of a box with corners `(8, 3)`, as `model.rods.rod` orders them.

    Box and triangle are convex, so that they share no point just if one of their normals, or what is square
    to an edge of each, parts them (separating axes).
    """
    low, high = corners.min(axis=0) - reach, corners.max(axis=0) + reach
    near = ((soup.boxes[0] <= high) & (soup.boxes[1] >= low)).all(axis=1)
    t, owner = soup.triangles[near], soup.owner[near]
    ways = _ways(t, np.stack([corners[4] - corners[0], corners[1] - corners[0], corners[3] - corners[0]]))
    box = ways @ corners.T  # (n, k, 8)
    own = np.einsum("nkj,nij->nki", ways, t)
    above, below = box.min(axis=2) - own.max(axis=2), own.min(axis=2) - box.max(axis=2)
    gaps = np.maximum(above, below)
    best = gaps.argmax(axis=1)
    rows = np.arange(len(t))
    turn = np.where(above[rows, best] >= below[rows, best], 1.0, -1.0)
    gap, way = gaps[rows, best], ways[rows, best] * turn[:, None]
    along = np.einsum("nj,nij->ni", way, t)
    kept = gap < reach
    corner = t[rows, along.argmax(axis=1)]
    return Parting(gap[kept], way[kept], along.max(axis=1)[kept], owner[kept], corner[kept])


def _ways(triangles: Array, edges: Array) -> Array:
    """Unit ways tried for each triangle, `(n, 13, 3)`; such as are none are given as a box's normal."""
    box = edges / np.sqrt((edges**2).sum(axis=1))[:, None]
    sides = triangles[:, [1, 2, 0]] - triangles
    sides = sides / np.sqrt((sides**2).sum(axis=2))[..., None]
    normal = crossed(sides[:, 0], sides[:, 1])
    both = crossed(sides[:, :, None], box[None, None]).reshape(len(triangles), 9, 3)
    both = np.concatenate([normal[:, None], both], axis=1)
    square = (both**2).sum(axis=2)
    sound = square > PARALLEL
    both = np.where(sound[..., None], both / np.sqrt(np.maximum(square, PARALLEL))[..., None], box[0])
    return np.concatenate([np.broadcast_to(box, (len(triangles), 3, 3)), both], axis=1)
