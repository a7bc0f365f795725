"""Places on the skin told by two numbers: in a side, in the transom, in the bottom."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from model.geometry import Array

if TYPE_CHECKING:
    from model.hull import Hull

INSIDE = 5.0
"""The transom is taken to reach as far out as the hull does so far forward of it, mm."""


def on_skin(hull: Hull, side: str, a: float, b: float) -> Array | None:
    """The point `(3,)` on the inside of the skin, mm; None where the hull has none.

    Args:
        hull: the hull.
        side: `port` or `starboard` with (x, z), `transom` with (y, z), `bottom` with (x, y).
        a: the first number, mm.
        b: the second, mm.
    """
    if side == "bottom":
        z = float(hull.bottom(a, b))
        return None if math.isnan(z) else np.array([a, b, z])
    if side == "transom":
        plane = hull.transom
        nx, ny, nz = plane.normal.tolist()
        x = (plane.offset - ny * a - nz * b) / nx
        half = float(hull.half_breadth(x + INSIDE, b, "port" if a >= 0 else "starboard"))
        return np.array([x, a, b]) if half >= abs(a) else None
    half = float(hull.half_breadth(a, b, "port" if side == "port" else "starboard"))
    if math.isnan(half):
        return None
    return np.array([a, half if side == "port" else -half, b])


def inward(side: str) -> Array:
    """The way that a fitting in the skin looks inside, unit `(3,)`: level, or up from the bottom."""
    ways = {"port": (0.0, -1.0, 0.0), "starboard": (0.0, 1.0, 0.0), "bottom": (0.0, 0.0, 1.0)}
    return np.array(ways.get(side, (1.0, 0.0, 0.0)))
