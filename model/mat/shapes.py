"""Outlines of mat pieces: edges moved one by one, insets round at inner corners, outer corners rounded."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from model.flat_arcs import polygons_of
from model.geometry import Array

ARC_STEPS = 24
"""Steps to a quarter turn in round corners: a 50 mm radius keeps within 0.03 mm of its arc."""
_SMOOTH = 0.02
"""Vertices of a ring this near a straight line through the others are no corners, mm."""
_LONG_MITRE = 4.0
_HAIR = 1e-3
_TIP = 3.0
"""Less than this times the square of half the least width is no strip but the tip of a corner."""
_FLAT_CORNER = 0.004
"""A corner whose rounding takes less than this times radius squared turns under 25 degrees and stays."""


def ring_of(polygon: Polygon) -> Array:
    """The corners of the outside, counter-clockwise, without those on straight runs, `(n, 2)`."""
    ring = np.array(orient(polygon).exterior.simplify(_SMOOTH).coords)[:-1]
    ahead, behind = np.roll(ring, -1, axis=0) - ring, ring - np.roll(ring, 1, axis=0)
    off = np.abs(ahead[:, 0] * behind[:, 1] - ahead[:, 1] * behind[:, 0])
    # simplify() never drops a ring's first vertex
    keep = off > _SMOOTH * np.hypot(*(ahead + behind).T)
    return ring if keep.sum() < 3 else ring[keep]


def with_edges_moved(polygon: Polygon, ring: Array, out: Array) -> BaseGeometry:
    """The polygon with each edge of its outside moved outward by its own distance, its neighbours kept.

    Args:
        polygon: whose holes are kept.
        ring: its corners as `ring_of` tells them, `(n, 2)`, mm.
        out: for the edge from each corner to the next, mm; below zero inward.
    """
    ahead = np.roll(ring, -1, axis=0) - ring
    along = ahead / np.hypot(*ahead.T)[:, None]
    normal = np.stack([along[:, 1], -along[:, 0]], axis=1)
    corners: list[Array] = []
    for i in range(len(ring)):
        before = i - 1
        if out[before] == 0 and out[i] == 0:
            corners.append(ring[i])
        else:
            corners += _moved_corner(
                ring[i], along[before], along[i], normal[before], normal[i], out[before], out[i]
            )
    moved: BaseGeometry = Polygon(np.array(corners))
    if not moved.is_valid:
        moved = shapely.make_valid(moved)
    return moved.difference(shapely.union_all([Polygon(hole) for hole in polygon.interiors]))


def _moved_corner(
    corner: Array, u: Array, w: Array, n_u: Array, n_w: Array, d_u: float, d_w: float
) -> list[Array]:
    """Where two moved edges meet, or the ends of both where they meet far off."""
    ends = [corner + d_u * n_u, corner + d_w * n_w]
    cross = float(u[0] * w[1] - u[1] * w[0])
    if abs(cross) > 0.05:
        step = ends[1] - ends[0]
        meet = ends[0] + u * float(step[0] * w[1] - step[1] * w[0]) / cross
        if float(np.hypot(*(meet - corner))) < _LONG_MITRE * max(abs(d_u), abs(d_w)):
            return [meet]
    return ends


def inset(shape: BaseGeometry, distance: float) -> BaseGeometry:
    """The shape less all that is nearer its edge than `distance`; round at inner corners."""
    return shape.buffer(-distance, quad_segs=ARC_STEPS)


def grown(shape: BaseGeometry, distance: float) -> BaseGeometry:
    """The shape and all that is within `distance` of it; round at outer corners."""
    return shape.buffer(distance, quad_segs=ARC_STEPS)


def rounded(shape: BaseGeometry, radius: float, least_width: float) -> BaseGeometry:
    """The shape without strips narrower than `least_width`, its outer corners rounded; never beyond it.

    Only what is cut off counts: curves and corners that are round enough keep every vertex they have.
    """
    half = least_width / 2
    if half > 0:
        shape = _less(shape, shape.buffer(-half).buffer(half), _TIP * half**2)
    return (
        _less(shape, grown(inset(shape, radius), radius), _FLAT_CORNER * radius**2) if radius > 0 else shape
    )


def _less(shape: BaseGeometry, kept: BaseGeometry, least: float) -> BaseGeometry:
    """The shape less each part outside `kept` that is larger than `least`, mm2."""
    off = [part for part in polygons_of(shape.difference(kept)) if part.area > least]
    # a hair more, so that rounding leaves no skin between the part and the edge it lay on
    return shape.difference(shapely.union_all(off).buffer(_HAIR, join_style="mitre")) if off else shape


def wide_parts(shape: BaseGeometry, least_width: float) -> list[Polygon]:
    """The parts of a shape that are somewhere as wide as `least_width`, from low x, then low y on."""
    found = [part for part in polygons_of(shape) if not part.buffer(-0.499 * least_width).is_empty]
    return sorted(found, key=lambda part: tuple(np.round(part.bounds[:2], 2)))


def on_chain(ring: Array, start: Array, end: Array, reach: float) -> npt.NDArray[np.bool_]:
    """For each edge of a ring whether it lies on the straight line from `start` to `end`.

    An edge does if it runs the same way or back, and at least half of it is within `reach` of the line.
    """
    ahead = np.roll(ring, -1, axis=0) - ring
    length = np.hypot(*ahead.T)
    way = (end - start) / np.hypot(*(end - start))
    straight = np.abs(ahead[:, 0] * way[1] - ahead[:, 1] * way[0]) < 0.02 * length
    line = shapely.LineString([start, end]).buffer(reach, cap_style="flat")
    edges = shapely.linestrings(np.stack([ring, np.roll(ring, -1, axis=0)], axis=1))
    found: npt.NDArray[np.bool_] = straight & (
        shapely.length(shapely.intersection(edges, line)) > 0.5 * length
    )
    return found
