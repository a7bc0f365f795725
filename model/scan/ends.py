"""The flat ends of a hull, transom and bow plate, found as lines in the plane of the centreline."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from model.geometry import Array

TRIES = 600
STEEPEST = math.radians(50.0)
BEYOND = 0.08
"""Greatest share of the points that may lie outside an end, such as of an outboard or a trailer's tongue."""
REGION = 0.22
"""Share of the length at either end in which it is looked for."""
SHARP = 6.0
"""How much denser than its surroundings points lie in an end."""


@dataclass(frozen=True, slots=True)
class End:
    """A flat end, square to the centreline plane.

    Attributes:
        x: where it meets height zero, mm.
        lean: dx/dz going up.
        count: points in it.
        breadth, depth: of the area its points cover, mm.
        spread: of their distances from it, mm.
    """

    x: float
    lean: float
    count: int
    breadth: float
    depth: float
    spread: float

    def height(self, points: Array) -> Array:
        """Distance of `(n, 3)` points from it, positive forward, mm."""
        found: Array = (points[:, 0] - self.x - self.lean * points[:, 2]) / math.hypot(1.0, self.lean)
        return found


def sought_end(points: Array, way: float, near: float) -> End | None:
    """The flat end of points spread evenly, in a frame of the boat; None if there is none.

    Args:
        points: `(n, 3) float`, mm: x along, y across, z up.
        way: -1 for the after end, 1 for the forward one.
        near: distance within which a point counts as in the plane, mm.
    """
    x = way * points[:, 0]
    edge = float(np.quantile(x, 0.998))
    inner = edge - REGION * (edge - float(np.quantile(x, 0.002)))
    here = points[x > inner]
    if len(here) < 50:
        return None
    draw = np.random.default_rng(0)
    flat = np.stack([way * here[:, 0], here[:, 2]], axis=1)
    pairs = flat[draw.integers(len(flat), size=(TRIES, 2))]
    rise = pairs[:, 1, 1] - pairs[:, 0, 1]
    run = pairs[:, 1, 0] - pairs[:, 0, 0]
    good = (np.abs(rise) > 6.0 * near) & (np.abs(run) < math.tan(STEEPEST) * np.abs(rise))
    lean = run[good] / rise[good]
    start = pairs[good, 0, 0] - lean * pairs[good, 0, 1]
    ahead = (flat[None, :, 0] - start[:, None] - lean[:, None] * flat[None, :, 1]) / np.hypot(1.0, lean)[
        :, None
    ]
    count = np.sum(np.abs(ahead) < near, axis=1)
    count[np.sum(ahead > 3.0 * near, axis=1) > BEYOND * len(points)] = 0
    if not len(count) or count.max() < 30:
        return None
    best = int(np.argmax(count))
    # Of two leans and starts alike the fit below makes one.
    return fitted_end(points, End(way * float(start[best]), way * float(lean[best]), 0, 0.0, 0.0, near), near)


def fitted_end(points: Array, end: End, near: float) -> End | None:
    """The end moved to the least squares of the points about it, Tukey's weights; None if none are there."""
    reach = 2.5 * near
    for _ in range(8):
        away = end.height(points)
        close = np.abs(away) < reach
        if close.sum() < 30:
            return None
        p = points[close]
        weight = np.clip(1.0 - (away[close] / reach) ** 2, 0.0, None) ** 2
        matrix = np.stack([np.ones(len(p)), p[:, 2]], axis=1)
        scaled = matrix * weight[:, None]
        x, lean = np.linalg.lstsq(scaled.T @ matrix, scaled.T @ p[:, 0], rcond=None)[0]
        spread = float(np.sqrt(np.sum(weight * away[close] ** 2) / weight.sum()))
        breadth, depth = (float(np.ptp(np.quantile(p[:, k], [0.02, 0.98]))) for k in (1, 2))
        end = End(float(x), float(lean), int(close.sum()), breadth, depth, spread)
        reach = max(0.8 * reach, min(2.5 * near, 4.0 * spread))
    return end


def is_flat(points: Array, end: End, near: float) -> bool:
    """Whether points crowd in the end: against the layer beside it, as the sides alone would not."""
    away = np.abs(end.height(points))
    inside, beside = np.sum(away < near), np.sum((away > 3.0 * near) & (away < 5.0 * near))
    return bool(inside > SHARP / 2.0 * max(int(beside), 1))
