"""What is in a scan besides the hull: lone points, and the floor or walls about her."""

from __future__ import annotations

import numpy as np
from scipy.spatial import ConvexHull, cKDTree

from model.geometry import Array, Plane
from model.scan.cloud import Bools, even, fitted_plane, picked

NEIGHBOURS = 6
TRIES = 400
ONE_SIDE = 0.985
"""Share of all points that lie above a floor or in it."""
OUTSIDE = 0.15
"""Share of the points of a floor or a wall that lie outside the outline of all else, seen square to it."""


def without_lone(points: Array, size: float) -> Array:
    """Points, thinned to cubes of `size`, that have others about them as a surface has."""
    count = cKDTree(points).query_ball_point(points, 2.2 * size, return_length=True)
    found: Array = points[np.asarray(count) > NEIGHBOURS]
    return found


def cleaned(points: Array, size: float) -> Array:
    """Points spread evenly, some `size` apart, without lone ones, which goes by how dense they are."""
    thin = even(points, size)
    if len(thin) < 10:
        return thin
    some = picked(thin, 2_000)
    fourth = np.asarray(cKDTree(thin).query(some, k=5)[0])[:, 4]
    # Within 2.2 times this lie some 15 points of a surface.
    return without_lone(thin, max(1.7 * size, 0.9 * float(np.median(fourth))))


def floor_of(points: Array, size: float) -> Plane | None:
    """A plane that all else lies on one side of and that reaches well beyond its outline; normal to all else.

    The flat bottom of a boat is no floor: her sides stand outside it.
    """
    draw = np.random.default_rng(0)
    sample = picked(points, 3_000)
    best: tuple[int, Plane] | None = None
    for _ in range(TRIES):
        a, b, c = sample[draw.choice(len(sample), 3, replace=False)]
        normal = np.cross(b - a, c - a)
        if np.linalg.norm(normal) < size * size:
            continue
        plane = _up(sample, Plane.through(a, normal), size)
        height = plane.height(sample)
        count = int(np.sum(np.abs(height) < 0.6 * size))
        if np.mean(height > -size) > ONE_SIDE and (best is None or count > best[0]):
            best = (count, plane)
    if best is None:
        return None
    plane = best[1]
    for _ in range(3):
        flat = points[np.abs(plane.height(points)) < 0.7 * size]
        centre, normal = fitted_plane(flat)
        plane = _up(points, Plane.through(centre, normal), size)
    on = np.abs(plane.height(points)) < 0.7 * size
    return plane if _reaches_out(points, on, plane, size) else None


def _up(points: Array, plane: Plane, size: float) -> Plane:
    """The plane turned so that most points lie above it."""
    height = plane.height(points)
    return plane if np.sum(height > size) >= np.sum(height < -size) else plane.flipped()


def _reaches_out(points: Array, on: Bools, plane: Plane, size: float) -> bool:
    """Whether much of a plane's points lies outside the outline of the others, seen along its normal."""
    if on.sum() < 50 or (~on).sum() < 50:
        return False
    across = np.linalg.svd(plane.normal[None])[2][1:]
    flat, other = points[on] @ across.T, points[~on] @ across.T
    edges = ConvexHull(other).equations
    outside = (flat @ edges[:, :2].T + edges[:, 2] > size).any(axis=1)
    return bool(outside.mean() > OUTSIDE)
