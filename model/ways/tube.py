"""The closed mesh of a run: a many-sided tube along its centreline, mitred at corners."""

from __future__ import annotations

import numpy as np

from model.geometry import Array
from model.mesh import Faces, Mesh

SIDES = 10
"""Sides of a tube; its corners lie on the run's outside, so that the mesh is never thicker than the run."""

STEEPEST = 0.35
"""Cosine of half a turn below which a mitre is cut off, so that sharp corners throw no spikes."""

SAME = 1e-3
"""Points nearer to each other than this, mm, are one."""


def tube(path: Array, diameter: float, sides: int = SIDES) -> Mesh:
    """The tube along a polyline `(n, 3)`, mm, closed at both ends.

    Raises:
        ValueError: the path has no length, or the tube no thickness.
    """
    step = np.sqrt((np.diff(path, axis=0) ** 2).sum(axis=1))
    points = path[np.concatenate([[True], step > SAME])]
    if len(points) < 2 or diameter <= 0.0:
        raise ValueError("a tube needs a path of some length, and a thickness")
    ways = np.diff(points, axis=0)
    ways = ways / np.sqrt((ways**2).sum(axis=1))[:, None]
    rings = _rings(points, ways, diameter / 2.0, sides)
    count = len(points)
    vertices = np.concatenate([rings.reshape(-1, 3), points[:1], points[-1:]])
    return Mesh(vertices, _faces(count, sides))


def _rings(points: Array, ways: Array, radius: float, sides: int) -> Array:
    """Corners about each point `(n, sides, 3)`, carried along without twist and cut on the mitre."""
    angle = np.linspace(0.0, 2.0 * np.pi, sides, endpoint=False)
    across = _square_to(ways[0])
    ring = radius * (np.cos(angle)[:, None] * across + np.sin(angle)[:, None] * np.cross(ways[0], across))
    found = [points[0] + ring]
    for k in range(1, len(points)):
        before = ways[k - 1]
        after = ways[k] if k < len(ways) else before
        half = before + after
        size = float(np.sqrt(half @ half))
        normal = half / size if size > 1e-6 else before
        along = max(float(normal @ before), STEEPEST)
        found.append(points[k] + ring - ((ring @ normal) / along)[:, None] * before)
        ring = _turned(ring, before, after)
    return np.array(found)


def _square_to(way: Array) -> Array:
    """A unit vector square to another."""
    least = np.eye(3)[int(np.abs(way).argmin())]
    found = np.cross(way, least)
    unit: Array = found / np.sqrt(found @ found)
    return unit


def _turned(ring: Array, before: Array, after: Array) -> Array:
    """A ring carried from square to one way to square to the next, by the shortest turn (Rodrigues)."""
    axis = np.cross(before, after)
    cosine = float(before @ after)
    if cosine < -1.0 + 1e-9:
        return ring
    turned: Array = ring * cosine + np.cross(axis, ring) + np.outer(ring @ axis, axis) / (1.0 + cosine)
    return turned


def _faces(count: int, sides: int) -> Faces:
    """Triangles between rings, and fans at the ends, seen from outside."""
    k, s = (grid.ravel() for grid in np.meshgrid(np.arange(count - 1), np.arange(sides), indexing="ij"))
    a, b = k * sides + s, k * sides + (s + 1) % sides
    c, d = a + sides, b + sides
    ring = np.arange(sides)
    first, last = count * sides, count * sides + 1
    end = (count - 1) * sides + ring
    return np.concatenate(
        [
            np.column_stack([a, b, d]),
            np.column_stack([a, d, c]),
            np.column_stack([np.roll(ring, -1), ring, np.full(sides, first)]),
            np.column_stack([end, np.roll(end, -1), np.full(sides, last)]),
        ]
    ).astype(np.int64)
