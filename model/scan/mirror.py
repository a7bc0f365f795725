"""The plane in which a scan mirrors itself: the centreline of the boat.

Sought over all directions across the long axis by how much of the mirror image falls on the scan, then made
exact by pairs of points and their images (iterated closest points, at the end against tangent planes).
A plane is a unit normal n and an offset d, n . p = d; the image of p is p - 2 (n . p - d) n.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from model.geometry import Array, Plane
from model.scan.cloud import Bools, picked

DIRECTIONS = 450
OFFSETS = 8
TRIED = 400
KEPT = 8
LEANING = 0.3
"""How far the mirror plane may lean from what is told to be up, as a sine."""
ALONG = 0.6
"""The normal's greatest share along the long axis; a boat is longer than she is wide."""


@dataclass(frozen=True, eq=False, slots=True)
class Mirror:
    """The plane found, and the share of the scan whose image falls on the scan."""

    plane: Plane
    share: float


def reflected(points: Array, plane: Plane) -> Array:
    """The images of `(n, 3)` points."""
    found: Array = points - 2.0 * plane.height(points)[:, None] * plane.normal
    return found


def sought_mirror(points: Array, size: float, up: Array | None = None) -> Mirror:
    """The best plane for points spread evenly `size` apart, good to about that.

    Args:
        points: `(n, 3) float`, thinned to cubes of `size`.
        size: of these cubes.
        up: a direction that the plane holds, within `LEANING`.
    """
    grid = _Grid.of(points, size)
    sample = picked(points, TRIED)
    centre = np.median(points, axis=0)
    normals = _directions(points - centre)
    if up is not None:
        normals = normals[np.abs(normals @ up) < LEANING]
    steps = 1.5 * size * np.arange(-OFFSETS, OFFSETS + 1)
    scored = []
    for normal in normals:
        base = float(normal @ centre)
        plain = sample - 2.0 * (sample @ normal)[:, None] * normal
        images = plain[None] + 2.0 * (base + steps)[:, None, None] * normal
        share = grid.holds(images.reshape(-1, 3)).reshape(len(steps), -1).mean(axis=1)
        best = int(np.argmax(share))
        scored.append((float(share[best]), base + float(steps[best])))
    order = np.argsort([-share for share, _ in scored])[:KEPT]
    tree = cKDTree(points)
    found = [_settled(points, tree, Plane(normals[i], scored[i][1]), size) for i in order]
    if up is not None:
        # Settling may carry a plane off; the one sought stands upright.
        found = [mirror for mirror in found if abs(mirror.plane.normal @ up) < LEANING] or found
    return max(found, key=lambda mirror: mirror.share)


def _directions(arm: Array) -> Array:
    """Unit normals spread evenly over a hemisphere, of those across the long axis, `(k, 3) float`."""
    long = np.linalg.eigh(arm.T @ arm)[1][:, 2]
    k = np.arange(DIRECTIONS) + 0.5
    # Points of a spiral that turns by the golden angle lie evenly on a sphere.
    z, turn = k / DIRECTIONS, k * np.pi * (3.0 - np.sqrt(5.0))
    radius = np.sqrt(1.0 - z**2)
    every = np.stack([radius * np.cos(turn), radius * np.sin(turn), z], axis=1)
    found: Array = every[np.abs(every @ long) < ALONG]
    return found


@dataclass(frozen=True, eq=False, slots=True)
class _Grid:
    """Which cubes of space hold points, or lie beside one that does."""

    low: Array
    size: float
    held: Bools

    @classmethod
    def of(cls, points: Array, size: float) -> _Grid:
        low = points.min(axis=0) - 2.0 * size
        at = np.floor((points - low) / size).astype(np.int64)
        held = np.zeros(at.max(axis=0) + 3, dtype=np.bool_)
        for dx in (-1, 0, 1):
            for dy in (-1, 0, 1):
                for dz in (-1, 0, 1):
                    if abs(dx) + abs(dy) + abs(dz) <= 2:
                        held[at[:, 0] + dx, at[:, 1] + dy, at[:, 2] + dz] = True
        return cls(low, size, held)

    def holds(self, points: Array) -> Bools:
        at = np.floor((points - self.low) / self.size).astype(np.int64)
        inside = ((at >= 0) & (at < self.held.shape)).all(axis=1)
        at[~inside] = 0
        found: Bools = self.held[at[:, 0], at[:, 1], at[:, 2]] & inside
        return found


def _settled(points: Array, tree: cKDTree, plane: Plane, size: float) -> Mirror:
    """The plane moved on to the pairs it makes, pairs being taken ever closer."""
    sample = picked(points, 1_500, 1)
    share = 0.0
    for reach in (4.0, 3.0, 2.5, 2.0, 1.5, 1.5, 1.2, 1.2):
        image = reflected(sample, plane)
        distance, found = tree.query(image, distance_upper_bound=reach * size)
        near = np.asarray(found)
        pair = np.isfinite(distance)
        if pair.sum() < 30:
            return Mirror(plane, 0.0)
        p, q = sample[pair], points[near[pair]]
        middle = (p.mean(axis=0) + q.mean(axis=0)) / 2.0
        both = (p - p.mean(axis=0)).T @ (q - q.mean(axis=0))
        # Of all planes the one that brings images nearest to their partners.
        normal = np.linalg.eigh(both + both.T)[1][:, 0]
        normal = normal if normal @ plane.normal > 0.0 else -normal
        plane = Plane(normal, float(normal @ middle))
        share = float(np.mean(distance < 1.2 * size))
    return Mirror(plane, share)


def exact_mirror(points: Array, plane: Plane, noise: float, rounds: int = 12) -> tuple[Plane, float, int]:
    """The plane made exact by the distances of images from tangent planes, with Tukey's weights.

    Args:
        points: `(n, 3) float`, some ten thousand, mm.
        plane: near enough for images to fall beside their partners.
        noise: of the points, mm.
        rounds: of pairing.

    Returns:
        The plane, the spread of the distances over sqrt(2) (mm) and how many pairs told.
    """
    tree = cKDTree(points)
    normals = _tangents(points, tree)
    reach = 40.0
    spread_of, count = 0.0, 0
    for _ in range(rounds):
        image = reflected(points, plane)
        distance, found = tree.query(image, distance_upper_bound=3.0 * reach + 20.0)
        near = np.asarray(found)
        pair = np.isfinite(distance)
        p, q, m = points[pair], points[near[pair]], normals[near[pair]]
        image = image[pair]
        gap = np.einsum("ij,ij->i", m, image - q)
        weight = np.clip(1.0 - (gap / reach) ** 2, 0.0, None) ** 2
        plane = _stepped(p, m, gap, weight, plane)
        spread_of = float(np.sqrt(np.sum(weight * gap**2) / max(np.sum(weight), 1e-9) / 2.0))
        count = int(np.sum(weight > 0.0))
        reach = max(5.0 * noise, 0.6 * reach)
    return plane, spread_of, count


def _tangents(points: Array, tree: cKDTree) -> Array:
    """Unit normals of the tangent planes at the points, from a dozen neighbours each."""
    _, near = tree.query(points, k=min(14, len(points)))
    arm = points[near] - points[near].mean(axis=1, keepdims=True)
    found: Array = np.linalg.eigh(np.einsum("nki,nkj->nij", arm, arm))[1][:, :, 0]
    return found


def _stepped(p: Array, m: Array, gap: Array, weight: Array, plane: Plane) -> Plane:
    """One Gauss-Newton step of the plane's two turns and its shift."""
    n = plane.normal
    u = np.cross(n, [1.0, 0.0, 0.0] if abs(n[0]) < 0.7 else [0.0, 1.0, 0.0])
    u /= np.linalg.norm(u)
    v = np.cross(n, u)
    centre = p.mean(axis=0)
    arm = p - centre
    height = plane.height(p)
    # image = p - 2 h n, and with n + a u + b v turned about the centre h changes by arm . (a u + b v).
    columns = [-2.0 * (height * (m @ w) + (arm @ w) * (m @ n)) for w in (u, v)] + [2.0 * (m @ n)]
    matrix = np.stack(columns, axis=1)
    scaled = matrix * weight[:, None]
    step = np.linalg.lstsq(scaled.T @ matrix, -(scaled.T @ gap), rcond=1e-10)[0]
    turned = n + step[0] * u + step[1] * v
    turned /= np.linalg.norm(turned)
    return Plane(turned, plane.offset - float(n @ centre) + float(step[2]) + float(turned @ centre))
