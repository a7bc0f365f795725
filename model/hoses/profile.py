"""How a hose rises and falls on its way: its fall, where it climbs, where water stays in it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from model.geometry import Array, Plane

LEVEL = 3.0
"""Ups and downs of less than this, mm, are not told of: hose between two clips hangs as much."""

STRETCH = 100.0
"""The slope of a drain is taken over pieces of this length, mm."""


@dataclass(frozen=True, eq=False)
class LowSpot:
    """Water that stays in a hose: where its lowest point is, `(3,)`, and how deep it stands, mm."""

    at: Array
    depth: float


@dataclass(frozen=True, eq=False)
class Profile:
    """Rise and fall of a path from its start to its end, heights square to the water.

    Attributes:
        fall: from start to end, mm; below nought where the end lies higher.
        climb: the most that it rises after a lower place, mm; nought where it only falls.
        climbs_from: `(3,)` where that rise begins.
        climbs_to: `(3,)` where it ends.
        slope: least fall over a piece of `STRETCH`, a share of its way in plan; below nought uphill.
        flattest: `(3,)` in the middle of that piece.
        top: `(3,)` its highest point.
        low_spots: where water stays.
    """

    fall: float
    climb: float
    climbs_from: Array
    climbs_to: Array
    slope: float
    flattest: Array
    top: Array
    low_spots: tuple[LowSpot, ...]


def profile_of(path: Array, plane: Plane) -> Profile:
    """The profile of a path `(n, 3)`, mm, by heights over a plane."""
    z = plane.height(path)
    lowest = np.minimum.accumulate(z)
    rises = z - lowest
    end = int(rises.argmax())
    begin = int(z[: end + 1].argmin())
    slope, at = _least_slope(path, z)
    return Profile(
        float(z[0] - z[-1]),
        float(rises[end]) if rises[end] > LEVEL else 0.0,
        path[begin],
        path[end],
        slope,
        at,
        path[int(z.argmax())],
        tuple(_low_spots(path, z)),
    )


def _least_slope(path: Array, z: Array) -> tuple[float, Array]:
    """The least slope of any piece of `STRETCH`, or of the whole where it is no longer, and where."""
    steps = np.diff(path, axis=0)
    along = np.concatenate([[0.0], np.cumsum(np.sqrt((steps**2).sum(axis=1)))])
    whole = float(along[-1])
    if whole <= 0.0:
        return 0.0, path[0]
    piece = min(STRETCH, whole)
    starts = np.unique(np.concatenate([along[along <= whole - piece], np.maximum(along - piece, 0.0)]))
    low, high = np.interp(starts, along, z), np.interp(starts + piece, along, z)
    fall = low - high
    # an upright piece has no way in plan: it falls as steeply as can be
    plan = np.sqrt(np.maximum(piece**2 - fall**2, 1.0))
    slopes = fall / plan
    worst = int(slopes.argmin())
    middle = starts[worst] + piece / 2.0
    return float(slopes[worst]), np.array([np.interp(middle, along, path[:, k]) for k in range(3)])


def _low_spots(path: Array, z: Array) -> list[LowSpot]:
    """Where water stays: each hollow of the heights, with the lesser of the rises to both sides."""
    before = np.maximum.accumulate(z)
    after = np.maximum.accumulate(z[::-1])[::-1]
    depth = np.minimum(before, after) - z
    wet = depth > LEVEL
    found = []
    k = 0
    while k < len(z):
        if not wet[k]:
            k += 1
            continue
        stop = k
        while stop < len(z) and wet[stop]:
            stop += 1
        lowest = k + int(z[k:stop].argmin())
        found.append(LowSpot(path[lowest], float(depth[lowest])))
        k = stop
    return found
