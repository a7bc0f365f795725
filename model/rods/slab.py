"""What stands in a thin slab of the boat, seen square to it, as shapes in its middle plane."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import shapely

from model.geometry import Array, Frame

Ints = npt.NDArray[np.int64]
Shapes = npt.NDArray[np.object_]


def slab(triangles: Array, frame: Frame, half: float) -> Shapes:
    """Parts of triangles `(m, 3, 3)` within `half` of a frame's x-y plane, as convex shapes in its x and y.

    Nothing that is in the slab is left out. The inside of a solid is not filled: only its skin is seen.
    """
    local = frame.to_frame(triangles)
    height = local[..., 2]
    kept = (height.min(axis=1) <= half) & (height.max(axis=1) >= -half)
    local, height = local[kept], height[kept]
    points, owner = [local.reshape(-1, 3)], [np.repeat(np.arange(len(local)), 3)]
    points[0], owner[0] = points[0][np.abs(height.ravel()) <= half], owner[0][np.abs(height.ravel()) <= half]
    for a, b in ((0, 1), (1, 2), (2, 0)):
        for level in (half, -half):
            crosses = (height[:, a] - level) * (height[:, b] - level) < 0.0
            p, q = local[crosses, a], local[crosses, b]
            share = (level - p[:, 2]) / (q[:, 2] - p[:, 2])
            points.append(p + share[:, None] * (q - p))
            owner.append(np.flatnonzero(crosses))
    return _hulls(np.concatenate(points)[:, :2], np.concatenate(owner))


def _hulls(points: Array, owner: Ints) -> Shapes:
    """The convex hulls of groups of points."""
    if not len(points):
        return np.array([], dtype=object)
    order = np.argsort(owner, kind="stable")
    points, owner = points[order], owner[order]
    _, group, counts = np.unique(owner, return_inverse=True, return_counts=True)
    single = counts[group] == 1  # a corner that just touches the slab
    groups = shapely.linestrings(points[~single], indices=_renumbered(group[~single]))
    found: Shapes = shapely.convex_hull(groups)
    return found


def _renumbered(group: Ints) -> Ints:
    found: Ints = np.unique(group, return_inverse=True)[1].ravel()
    return found
