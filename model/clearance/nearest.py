"""The two points in which two meshes come nearest: corners against triangles and edges against edges."""

from __future__ import annotations

import numpy as np

from model.geometry import Array
from model.mesh import Mesh

SPARE = 0.01
"""Triangles further off than the known gap by more than this, mm, are left out."""

MOST = 400_000
"""Pairs of features tried at once, to bound the memory."""


def nearest_points(first: Mesh, second: Mesh, gap: float) -> Array:
    """The points of two meshes that lie nearest to each other, `(2, 3) float`, mm.

    Args:
        first: one mesh.
        second: the other; the two do not overlap.
        gap: their least distance, which says what need not be looked at, mm.
    """
    a, b = first.triangles, second.triangles
    for _ in range(3):
        a = a[_near(a, _box(b), gap + SPARE)]
        b = b[_near(b, _box(a), gap + SPARE)]
    tried = [
        _corner_pairs(_corners(a), b),
        _corner_pairs(_corners(b), a)[::-1],
        _edge_pairs(_edges(a), _edges(b)),
    ]
    apart = [float(((p - q) ** 2).sum()) for p, q in tried]
    return np.stack(tried[int(np.argmin(apart))])


def _box(triangles: Array) -> Array:
    points = triangles.reshape(-1, 3)
    return np.stack([points.min(axis=0), points.max(axis=0)])


def _near(triangles: Array, box: Array, reach: float) -> Array:
    """Which triangles have a box within `reach` of another, `(n,) bool`; all if none would be left."""
    low, high = triangles.min(axis=1), triangles.max(axis=1)
    found: Array = ((low - reach <= box[1]) & (high + reach >= box[0])).all(axis=1)
    return found if found.any() else np.ones(len(triangles), dtype=np.bool_)


def _corners(triangles: Array) -> Array:
    return np.unique(triangles.reshape(-1, 3), axis=0)


def _edges(triangles: Array) -> Array:
    """Edges `(k, 2, 3)`, each once."""
    ends = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    _, order = np.unique(ends.reshape(-1, 3), axis=0, return_inverse=True)
    pairs = np.sort(order.reshape(-1, 2), axis=1)
    _, kept = np.unique(pairs, axis=0, return_index=True)
    return ends[kept]


def _corner_pairs(points: Array, triangles: Array) -> tuple[Array, Array]:
    """The nearest of points `(n, 3)` to the nearest of triangles `(m, 3, 3)`, and the foot on it."""
    best, found = np.inf, (points[0], points[0])
    step = max(1, MOST // len(triangles))
    for start in range(0, len(points), step):
        own = points[start : start + step]
        feet = on_triangles(own[:, None], triangles[None])
        square = ((own[:, None] - feet) ** 2).sum(axis=-1)
        i, j = np.unravel_index(int(square.argmin()), square.shape)
        if square[i, j] < best:
            best, found = float(square[i, j]), (own[i], feet[i, j])
    return found


def _edge_pairs(first: Array, second: Array) -> tuple[Array, Array]:
    """The nearest points of two sets of edges `(n, 2, 3)` and `(m, 2, 3)`."""
    best, found = np.inf, (first[0, 0], second[0, 0])
    step = max(1, MOST // len(second))
    for start in range(0, len(first), step):
        p, q = between_edges(first[start : start + step, None], second[None])
        square = ((p - q) ** 2).sum(axis=-1)
        i, j = np.unravel_index(int(square.argmin()), square.shape)
        if square[i, j] < best:
            best, found = float(square[i, j]), (p[i, j], q[i, j])
    return found


def on_triangles(points: Array, triangles: Array) -> Array:
    """The points of triangles `(..., 3, 3)` nearest to points `(..., 3)`; the two broadcast.

    The foot on the triangle's plane where it falls inside, else the nearest point of its three edges.
    """
    a, b, c = (triangles[..., k, :] for k in range(3))
    ab, ac, ap = b - a, c - a, points - a
    normal = np.cross(ab, ac)
    square = np.maximum((normal**2).sum(axis=-1), 1e-30)
    v = (np.cross(ap, ac) * normal).sum(axis=-1) / square
    w = (np.cross(ab, ap) * normal).sum(axis=-1) / square
    inside = (v >= 0) & (w >= 0) & (v + w <= 1)
    found = a + v[..., None] * ab + w[..., None] * ac
    feet = np.stack([_on_edge(points, p, q) for p, q in ((a, b), (b, c), (c, a))])
    nearest = ((feet - points) ** 2).sum(axis=-1).argmin(axis=0)
    edge = np.take_along_axis(feet, nearest[None, ..., None], 0)[0]
    foot: Array = np.where(inside[..., None], found, edge)
    return foot


def _on_edge(points: Array, start: Array, end: Array) -> Array:
    way = end - start
    square = np.maximum((way**2).sum(axis=-1), 1e-30)
    share = np.clip(((points - start) * way).sum(axis=-1) / square, 0.0, 1.0)
    found: Array = start + share[..., None] * way
    return found


def between_edges(first: Array, second: Array) -> tuple[Array, Array]:
    """The nearest points of edges `(..., 2, 3)`; the two broadcast.

    On two lines |p + s u - q - t v| is least where both derivatives vanish. A share outside 0..1 is held at
    its end and the other worked out again: s, then t, then s once more.
    """
    p, q = first[..., 0, :], second[..., 0, :]
    u, v, w = first[..., 1, :] - p, second[..., 1, :] - q, p - q
    uu, vv, uv = (u * u).sum(-1), (v * v).sum(-1), (u * v).sum(-1)
    uw, vw = (u * w).sum(-1), (v * w).sum(-1)
    slant = uu * vv - uv * uv
    parallel = slant <= 1e-12 * uu * vv
    s = np.clip(np.where(parallel, 0.0, (uv * vw - vv * uw) / np.where(parallel, 1.0, slant)), 0.0, 1.0)
    t = np.clip((uv * s + vw) / np.maximum(vv, 1e-30), 0.0, 1.0)
    s = np.clip((uv * t - uw) / np.maximum(uu, 1e-30), 0.0, 1.0)
    return p + s[..., None] * u, q + t[..., None] * v
