"""Holes cut into the closed mesh of a tube: both walls opened, each with a round passage through it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
import shapely

from model.flat_cover import cover
from model.geometry import Array
from model.hole import Hole
from model.mesh import Faces, Mesh
from parts.outline import CHORD

if TYPE_CHECKING:
    from model.member import Member

ON_PLANE = 1e-6


def drilled_mesh(member: Member, mesh: Mesh) -> Mesh:
    """The mesh of a member with its holes; that of a member filled solid is left as it is.

    Args:
        member: with holes that lie within the flats of its walls.
        mesh: of the same member without holes, in the boat.

    Raises:
        ValueError: a hole does not lie within the flats of two walls.
    """
    section = member.section
    if not section.holes:
        return mesh
    if not all(hole.fits(section) for hole in member.holes):
        raise ValueError(f"{member.name}: a hole does not lie within the flats of its walls")
    vertices, faces = member.frame.to_frame(mesh.vertices), mesh.faces
    for runs, axis, size in (("width", 1, section.width), ("height", 2, section.height)):
        own = [hole for hole in member.holes if hole.runs == runs]
        for side in (1.0, -1.0) if own else ():
            outer, inner = side * size / 2.0, side * (size / 2.0 - section.wall)
            vertices, faces = _opened(vertices, faces, axis, (outer, inner), own)
    return Mesh(member.frame.to_boat(vertices), faces)


def _opened(
    vertices: Array, faces: Faces, axis: int, planes: tuple[float, float], holes: Sequence[Hole]
) -> tuple[Array, Faces]:
    """One wall with its holes: the flats of its two faces cut anew, and the passages between them."""
    flat = [0, 3 - axis]
    rings = [_ring(hole, axis) for hole in holes]
    starts = []
    for plane in planes:
        on = np.abs(vertices[faces][:, :, axis] - plane).max(axis=1) < ON_PLANE
        rim = np.unique(faces[on])
        normal = _area_vector(vertices, faces[on])[axis]
        first = len(vertices)
        starts.append(first)
        added = np.zeros((sum(map(len, rings)), 3))
        added[:, flat], added[:, axis] = np.concatenate(rings), plane
        vertices = np.concatenate([vertices, added])
        numbers = [*rim.tolist(), *range(first, len(vertices))]
        again = _triangles(vertices[:, flat], numbers, len(rim), rings)
        if _area_vector(vertices, again)[axis] * normal < 0.0:
            again = again[:, ::-1]
        faces = np.concatenate([faces[~on], again])
    return vertices, np.concatenate([faces, _passages(vertices, starts, rings, axis, planes)])


def _ring(hole: Hole, axis: int) -> Array:
    """A hole as a polygon of its own area in the flat, `(n, 2)`: along the piece, and across."""
    radius = hole.diameter / 2.0
    count = max(12, math.ceil(math.pi / math.acos(max(1.0 - CHORD / radius, 0.0))))
    turn = np.arange(count) * (2.0 * math.pi / count)
    return np.array([hole.along, hole.off]) + radius * np.stack([np.cos(turn), np.sin(turn)], axis=1)


def _triangles(points: Array, numbers: list[int], corners: int, rings: Sequence[Array]) -> Faces:
    """The flat between its corners and the rings, using no points but theirs."""
    outline = shapely.MultiPoint(points[numbers[:corners]]).convex_hull
    metal = shapely.Polygon(shapely.get_coordinates(outline), rings)
    return cover(metal, points, numbers)


def _passages(
    vertices: Array, starts: list[int], rings: Sequence[Array], axis: int, planes: tuple[float, float]
) -> Faces:
    """The round walls of the holes, facing into them."""
    found, offset = [], 0
    for ring in rings:
        here = np.arange(len(ring)) + offset
        ahead = np.roll(here, -1)
        outer, outer_ahead = starts[0] + here, starts[0] + ahead
        inner, inner_ahead = starts[1] + here, starts[1] + ahead
        found += [
            np.stack([outer, outer_ahead, inner_ahead], axis=1),
            np.stack([outer, inner_ahead, inner], axis=1),
        ]
        offset += len(ring)
    faces = np.concatenate(found)
    # the first triangle tells which way they look: it must be towards the middle of its hole
    p, q, r = vertices[faces[0]]
    middle = np.zeros(3)
    middle[[0, 3 - axis]] = rings[0].mean(axis=0)
    middle[axis] = p[axis]
    if float(np.cross(q - p, r - p) @ (middle - p)) < 0.0:
        faces = faces[:, ::-1]
    return faces


def _area_vector(vertices: Array, faces: Faces) -> Array:
    """Twice the area of some triangles as a vector along their normal, `(3,)`."""
    p, q, r = np.moveaxis(vertices[faces], 1, 0)
    found: Array = np.cross(q - p, r - p).sum(axis=0)
    return found
