"""A scan as points, and points thinned, picked and fitted with planes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from model.geometry import Array

Bools = npt.NDArray[np.bool_]
Ints = npt.NDArray[np.int64]

EVEN = 120_000


@dataclass(frozen=True, eq=False, slots=True)
class Cloud:
    """What a file holds.

    Attributes:
        name: of the file, for messages.
        points: `(n, 3) float`, finite, in the file's own unit and axes.
        told: what was done to it on reading, in plain words.
        is_mesh: True for triangles, on which the points were strewn.
    """

    name: str
    points: Array
    told: tuple[str, ...] = ()
    is_mesh: bool = False


def cells(points: Array, size: float) -> tuple[Ints, Ints]:
    """The cube of `size` that each of `(n, 3)` points lies in: a number a point, and `(3,)` cubes a side."""
    at = np.floor((points - points.min(axis=0)) / size).astype(np.int64)
    sides = at.max(axis=0) + 1
    found: Ints = (at[:, 0] * sides[1] + at[:, 1]) * sides[2] + at[:, 2]
    return found, sides


def thinned(points: Array, size: float, least: int = 1) -> Array:
    """The mean of the points in each cube of `size` that holds at least `least`, `(k, 3) float`."""
    which, _ = cells(points, size)
    _, place, count = np.unique(which, return_inverse=True, return_counts=True)
    means = np.stack([np.bincount(place, points[:, k]) / count for k in range(3)], axis=1)
    found: Array = means[count >= least]
    return found


def picked(points: Array, most: int, seed: int = 0) -> Array:
    """At most `most` of the points, drawn at random but the same ones each time."""
    if len(points) <= most:
        return points
    return points[np.random.default_rng(seed).choice(len(points), most, replace=False)]


def even(points: Array, size: float) -> Array:
    """Points spread evenly, some `size` apart, `(k, 3) float`.

    Few enough are drawn first that a cube of skin holds not many more of them than of a haze of outliers: the
    more points, the more cubes the haze would fill, and the skin none.
    """
    return thinned(picked(points, EVEN), size)


def fitted_plane(points: Array) -> tuple[Array, Array]:
    """Centre and unit normal of the plane with the least squares of distances from `(n, 3)` points."""
    centre = points.mean(axis=0)
    arm = points - centre
    return centre, np.linalg.eigh(arm.T @ arm)[1][:, 0]


def spread(values: Array) -> float:
    """A standard deviation that outliers hardly move: 1.4826 times the median distance from the median."""
    if not len(values):
        return 0.0
    return float(1.4826 * np.median(np.abs(values - np.median(values))))
