"""Which way a fitting in the wall or floor of a locker looks."""

from __future__ import annotations

import numpy as np

from model.geometry import Array
from model.layout.records import LockerPlan

TAIL_LENGTH = 20.0
"""A hose begins so far outside the wall that its fitting goes through, mm: flange and nut (from memory)."""

FLOOR = 15.0
"""A fitting no higher over the floor than this, mm, and further inside than that, goes through the floor."""


def outward(locker: LockerPlan, at: Array) -> Array:
    """The way out of a locker at a point of its walls or floor, unit `(3,)`: level, or straight down."""
    ring = np.array(locker.area.exterior.coords)
    a, way = ring[:-1, :2], np.diff(ring[:, :2], axis=0)
    share = np.clip(((at[:2] - a) * way).sum(axis=1) / np.maximum((way**2).sum(axis=1), 1e-9), 0.0, 1.0)
    off = np.hypot(*(a + share[:, None] * way - at[:2]).T)
    nearest = int(off.argmin())
    if locker.floor is not None and at[2] - locker.floor < FLOOR < off[nearest]:
        return np.array([0.0, 0.0, -1.0])
    dx, dy = way[nearest] / np.hypot(*way[nearest])
    turned = 1.0 if locker.area.exterior.is_ccw else -1.0
    return np.array([turned * dy, -turned * dx, 0.0])
