"""A box that moves among triangles: exactly when it meets them, at rest, sliding, and turning.

A box is a centre with three half edges. One that slides sweeps a solid with a fourth such edge: all sums of
the four, each taken from -1 to 1 times. Two convex solids are apart just when a plane parts them that is
square to a face of one of them, or to an edge of each; so these few planes answer without any sampling.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from model.clearance.motion import Turn
from model.geometry import Array

Pairs = npt.NDArray[np.int64]

FINEST = 0.1
"""A turn is cut no finer than into parts in which no corner travels further than this, mm."""

MOST_PAIRS = 60_000
"""Boxes against triangles tried at once, to bound the memory."""


@dataclass(frozen=True, eq=False)
class Swept:
    """What a box fills, at one place or over a straight move: `centre` `(3,)` and half edges `(k, 3)`, mm."""

    centre: Array
    edges: Array

    @cached_property
    def box(self) -> Array:
        """Least and greatest corner, `(2, 3)`."""
        half = np.abs(self.edges).sum(axis=0)
        return np.stack([self.centre - half, self.centre + half])

    @cached_property
    def corners(self) -> Array:
        """All sums of the half edges, `(2^k, 3)`; its convex hull is the solid."""
        count = len(self.edges)
        signs = np.array(np.meshgrid(*[[-1.0, 1.0]] * count, indexing="ij")).reshape(count, -1).T
        found: Array = self.centre + signs @ self.edges
        return found

    def moved(self, step: Array) -> Swept:
        """The same at another place."""
        return Swept(self.centre + step, self.edges)

    def turned(self, matrix: Array) -> Swept:
        """The same turned about its own centre."""
        return Swept(self.centre, self.edges @ matrix.T)

    def posed(self, matrix: Array, offset: Array) -> Swept:
        """The same carried along: each point p to `matrix @ p + offset`."""
        return Swept(matrix @ self.centre + offset, self.edges @ matrix.T)

    def along(self, step: Array) -> Swept:
        """What a box fills while it slides by `step`."""
        return Swept(self.centre + step / 2.0, np.vstack([self.edges, step / 2.0]))


@dataclass(frozen=True, eq=False)
class Triangles:
    """Triangles in the way `(n, 3, 3)`, how near each may come, mm `(n,)`, and whose each is `(n,)`."""

    corners: Array
    asked: Array
    owner: Array
    low: Array
    high: Array

    @classmethod
    def of(cls, corners: Array, asked: Array, owner: Array) -> Triangles:
        """With the boxes worked out."""
        low, high = (np.asfortranarray(ends) for ends in (corners.min(axis=1), corners.max(axis=1)))
        return cls(corners, asked, owner, low, high)

    def __len__(self) -> int:
        """How many there are."""
        return len(self.corners)

    def kept(self, which: npt.NDArray[np.bool_] | npt.NDArray[np.int64]) -> Triangles:
        """Some of them, by index or by yes and no."""
        return Triangles(
            self.corners[which], self.asked[which], self.owner[which], self.low[which], self.high[which]
        )

    def near(self, box: Array, reach: float = 0.0) -> Triangles:
        """Those whose boxes come within `reach` of a box `(2, 3)`."""
        found = np.ones(len(self), dtype=np.bool_)
        for axis in range(3):
            found &= self.low[:, axis] <= box[1, axis] + reach
            found &= self.high[:, axis] >= box[0, axis] - reach
        return self.kept(np.flatnonzero(found))


def partings(solids: Sequence[Swept], triangles: Triangles, pairs: Pairs) -> Array:
    """How far the best plane parts each pair, mm `(n,)`: no more than their gap; below zero where they meet.

    Args:
        solids: all of the same number of half edges.
        triangles: in the way.
        pairs: rows `(n, 2)` of solid and triangle.
    """
    found = np.empty(len(pairs))
    centres, edges = np.array([s.centre for s in solids]), np.array([s.edges for s in solids])
    for start in range(0, len(pairs), MOST_PAIRS):
        i, j = pairs[start : start + MOST_PAIRS].T
        corners = triangles.corners[j] - centres[i][:, None]
        by_face = _parted(_faces(edges)[i], edges[i], corners)
        found[start : start + MOST_PAIRS] = np.maximum(by_face, _parted_by_edges(edges[i], corners))
    return found


def _faces(edges: Array) -> Array:
    """Normals of the faces of solids with half edges `(n, k, 3)`."""
    first, second = np.triu_indices(edges.shape[1], 1)
    return _cross(edges[:, first], edges[:, second])


def _parted_by_edges(edges: Array, corners: Array) -> Array:
    """The best of the planes along a triangle and along an edge of each, `(n,)`."""
    sides = corners[:, [1, 2, 0]] - corners
    count = 3 * edges.shape[1]
    crossed = _cross(edges[:, :, None], sides[:, None]).reshape(len(edges), count, 3)
    flat = _cross(sides[:, :1], sides[:, 1:2])
    return _parted(np.concatenate([flat, crossed], axis=1), edges, corners)


def _parted(normals: Array, edges: Array, corners: Array) -> Array:
    """The best parting by planes with given normals of solids about the origin from triangles, `(n,)`."""
    x, y, z = normals[..., 0], normals[..., 1], normals[..., 2]
    size = np.sqrt(x * x + y * y + z * z)
    spans = np.abs(normals @ edges.transpose(0, 2, 1))
    half = spans[..., 0].copy()
    for k in range(1, edges.shape[1]):
        half += spans[..., k]
    along = normals @ corners.transpose(0, 2, 1)
    p, q, r = along[..., 0], along[..., 1], along[..., 2]
    least, most = np.minimum(np.minimum(p, q), r), np.maximum(np.maximum(p, q), r)
    parting = (np.maximum(least, -most) - half) / np.maximum(size, 1e-9)
    found: Array = np.where(size > 1e-9, parting, -np.inf).max(axis=1)
    return found


def _cross(a: Array, b: Array) -> Array:
    """`np.cross` over the last axis, which is slow for many small rows."""
    ax, ay, az = a[..., 0], a[..., 1], a[..., 2]
    bx, by, bz = b[..., 0], b[..., 1], b[..., 2]
    return np.stack([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx], axis=-1)


def spare(solids: Sequence[Swept], triangles: Triangles, most: float = 0.0) -> Array:
    """By how much each of several solids keeps more than what is asked from every triangle, mm `(n,)`.

    Args:
        solids: all of the same number of half edges.
        triangles: in the way.
        most: no more than this is told; above it triangles are not looked at.
    """
    if not len(solids):
        return np.zeros(0)
    centres, edges = np.array([s.centre for s in solids]), np.array([s.edges for s in solids])
    return _spare(centres, edges, triangles, most)


def _spare(centres: Array, edges: Array, triangles: Triangles, most: float) -> Array:
    """`spare` of solids by their centres `(n, 3)` and half edges `(n, k, 3)`."""
    found = np.full(len(centres), most)
    if not len(triangles):
        return found
    half = np.abs(edges).sum(axis=1)
    low, high = centres - half, centres + half
    room = triangles.asked + most
    near = np.ones((len(centres), len(triangles)), dtype=np.bool_)
    for axis in range(3):
        near &= triangles.low[:, axis] < high[:, axis, None] + room
        near &= triangles.high[:, axis] > low[:, axis, None] - room
    i, j = np.nonzero(near)
    # most triangles lie beyond a face of the solid, which is soon seen
    by_face = _parted(_faces(edges)[i], edges[i], triangles.corners[j] - centres[i][:, None])
    doubtful = by_face < triangles.asked[j] + most
    i, j, by_face = i[doubtful], j[doubtful], by_face[doubtful]
    if not len(i):
        return found
    by_edge = _parted_by_edges(edges[i], triangles.corners[j] - centres[i][:, None])
    np.minimum.at(found, i, np.maximum(by_face, by_edge) - triangles.asked[j])
    return found


def clear(solids: Sequence[Swept], triangles: Triangles) -> npt.NDArray[np.bool_]:
    """Which of several solids keep from every triangle what is asked of it, `(n,) bool`."""
    return spare(solids, triangles) >= 0.0


def turn_is_clear(box: Swept, turn: Turn, triangles: Triangles) -> bool:
    """Whether a box keeps clear over a whole turn, not at chosen poses of it.

    The turn is cut in parts. In each, no point of the box lies further from where it is half way than the
    corner furthest from the axis travels in half the part: what keeps clear by that much more half way keeps
    clear throughout. Parts that do not are cut again, until they are too fine to matter.
    """
    reach = float(turn.reach(box.corners).max())
    parts = max(1, math.ceil(turn.limit * reach / 12.0))
    edges = np.linspace(0.0, turn.limit, parts + 1)
    spans = np.stack([edges[:-1], edges[1:]], axis=1)
    while len(spans):
        travel = reach * (spans[:, 1] - spans[:, 0]) / 2.0
        matrices = _turned(turn, spans.mean(axis=1))
        centres = turn.point + matrices @ (box.centre - turn.point)
        left = _spare(centres, box.edges @ matrices.transpose(0, 2, 1), triangles, float(travel[0]))
        narrow = left < travel
        if (left < 0.0).any() or (narrow & (travel < FINEST / 2.0)).any():
            return False
        first, last = spans[narrow].T
        middle = (first + last) / 2.0
        spans = np.concatenate([np.stack([first, middle], axis=1), np.stack([middle, last], axis=1)])
    return True


def _turned(turn: Turn, angles: Array) -> Array:
    """The rotations of a turn at several angles, `(n, 3, 3)`, by Rodrigues' formula."""
    x, y, z = turn.axis
    k = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    at = angles[:, None, None]
    found: Array = np.eye(3) + np.sin(at) * k + (1.0 - np.cos(at)) * (k @ k)
    return found
