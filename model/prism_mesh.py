"""Closed meshes of many prisms at once: caps triangulated in bulk, walls from the same vertices."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import numpy.typing as npt
import shapely

from model.geometry import Array
from model.mesh import Faces, Mesh
from model.prism import Prism
from parts.outline import CHORD

_LEAST_TURN = 1e-6
"""Least sine of every corner for a ring to be filled as a fan; a flatter one would give slivers."""

_CROSSES = "an outline that crosses or touches itself cannot be filled with triangles"


def meshes(prisms: Sequence[Prism], chord: float = CHORD) -> list[Mesh]:
    """The closed mesh of each prism, in the order given, arcs tessellated to `chord` mm.

    Each cap uses the ring vertices only and the walls stand on the same vertices, so every edge is
    shared by two triangles. Vertices run ring by ring on z0, then the same on z1.
    """
    rings = [_rings(prism, chord) for prism in prisms]
    caps = _caps(rings)
    return [_solid(prism, own, cap) for prism, own, cap in zip(prisms, rings, caps, strict=True)]


def _rings(prism: Prism, chord: float) -> list[Array]:
    """The outline counter-clockwise, then the holes clockwise, each `(m, 2) float`."""
    outside = prism.outline.ccw().polyline(chord)
    return [outside, *(hole.cw().polyline(chord) for hole in prism.holes)]


def _solid(prism: Prism, rings: list[Array], cap: Faces) -> Mesh:
    """The prism's mesh from its rings and its cap, whose triangles look along +z."""
    flat = np.concatenate(rings) if len(rings) > 1 else rings[0]
    n = len(flat)
    base = prism.frame.to_boat(flat)
    vertices = np.concatenate([base + prism.z0 * prism.frame.z, base + prism.z1 * prism.frame.z])
    here = np.arange(n)
    ahead = here + 1
    start = 0
    for ring in rings:  # the last vertex of each ring is followed by its first
        ahead[start + len(ring) - 1] = start
        start += len(ring)
    count = len(cap)
    faces = np.empty((2 * count + 2 * n, 3), dtype=np.int64)
    faces[:count], faces[count : 2 * count] = cap[:, ::-1], cap + n
    lower, upper = faces[2 * count : 2 * count + n], faces[2 * count + n :]
    lower[:, 0], lower[:, 1], lower[:, 2] = here, ahead, ahead + n
    upper[:, 0], upper[:, 1], upper[:, 2] = here, ahead + n, here + n
    return Mesh(vertices, faces)


def _caps(shapes: list[list[Array]]) -> list[Faces]:
    """Triangles filling each shape, `(k, 3) int64` into its rings' vertices, counter-clockwise."""
    found = [_fan(rings[0]) if len(rings) == 1 else None for rings in shapes]
    hard = [i for i, fan in enumerate(found) if fan is None]
    for i, faces in zip(hard, _triangulated([shapes[i] for i in hard]), strict=True):
        found[i] = faces
    return [faces for faces in found if faces is not None]


def _fan(ring: Array) -> Faces | None:
    """The fan from vertex 0 where the ring turns left at every vertex and once about, else None."""
    if len(ring) > 3:
        edge = np.concatenate([ring[1:], ring[:1]]) - ring
        x, y = (edge / np.hypot(edge[:, 0], edge[:, 1])[:, None]).T
        x0, y0 = np.concatenate([x[-1:], x[:-1]]), np.concatenate([y[-1:], y[:-1]])
        sine = x0 * y - y0 * x
        if sine.min() < _LEAST_TURN:
            return None
        turn = np.arctan2(sine, x0 * x + y0 * y).sum()
        if turn > 3 * np.pi:
            return None
    middle = np.arange(1, len(ring) - 1)
    found = np.zeros((len(middle), 3), dtype=np.int64)
    found[:, 1], found[:, 2] = middle, middle + 1
    return found


def _triangulated(shapes: list[list[Array]]) -> list[Faces]:
    """Constrained triangulations of all shapes in one call.

    Raises:
        ValueError: an outline crosses itself or a hole, so that it cannot be filled.
    """
    if not shapes:
        return []
    polygons = np.array([shapely.Polygon(rings[0], rings[1:]) for rings in shapes], dtype=object)
    try:
        filled = shapely.constrained_delaunay_triangles(polygons)
    except shapely.errors.GEOSException as error:
        raise ValueError(_CROSSES) from error
    parts, owner = shapely.get_parts(filled, return_index=True)
    corners = shapely.get_coordinates(parts).reshape(-1, 4, 2)[:, :3]
    own = [np.concatenate(rings) for rings in shapes]
    counts = np.array([len(points) for points in own])
    starts = np.concatenate([[0], np.cumsum(counts)])
    faces = _numbered(np.concatenate(own), np.repeat(np.arange(len(shapes)), counts), corners, owner)
    faces = _left_handed_swapped(corners, faces) - starts[owner][:, None]
    ends = np.searchsorted(owner, np.arange(len(shapes) + 1))
    found = [faces[a:b] for a, b in pairwise(ends)]
    for rings, some in zip(shapes, found, strict=True):
        if len(some) != sum(map(len, rings)) + 2 * (len(rings) - 1) - 2:
            raise ValueError(_CROSSES)
    return found


def _numbered(
    points: Array, shape: npt.NDArray[np.int64], corners: Array, owner: npt.NDArray[np.int64]
) -> Faces:
    """The index into `points` of every triangle corner, by exact coordinates within the same shape."""
    x = np.concatenate([points[:, 0], corners[..., 0].ravel()])
    y = np.concatenate([points[:, 1], corners[..., 1].ravel()])
    whose = np.concatenate([shape, np.repeat(owner, 3)])
    order = np.lexsort((y, x, whose))  # stable: the ring's own vertex comes before the corners on it
    new = np.concatenate(
        [[True], (np.diff(x[order]) != 0) | (np.diff(y[order]) != 0) | (np.diff(whose[order]) != 0)]
    )
    first = order[np.flatnonzero(new)][np.cumsum(new) - 1]
    number = np.empty(len(x), dtype=np.int64)
    number[order] = first
    return number[len(points) :].reshape(-1, 3)


def _left_handed_swapped(corners: Array, faces: Faces) -> Faces:
    """The faces, each walked counter-clockwise."""
    p, q, r = corners[:, 0], corners[:, 1], corners[:, 2]
    twice = (q[:, 0] - p[:, 0]) * (r[:, 1] - p[:, 1]) - (q[:, 1] - p[:, 1]) * (r[:, 0] - p[:, 0])
    return np.where((twice < 0)[:, None], faces[:, ::-1], faces)
