"""How far a piece would have to be moved, and which way along the boat, to be clear of another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import manifold3d
import numpy as np

from model.clearance.solid import Solid
from model.geometry import Array

WAYS = {
    "aft": (-1.0, 0.0, 0.0),
    "forward": (1.0, 0.0, 0.0),
    "to port": (0.0, 1.0, 0.0),
    "to starboard": (0.0, -1.0, 0.0),
    "up": (0.0, 0.0, 1.0),
    "down": (0.0, 0.0, -1.0),
}
"""Ways along the axes of the boat, in words."""

CLOSE = 0.05
"""The move is found within this, mm."""


@dataclass(frozen=True)
class Parting:
    """A move along an axis of the boat that clears one piece of another: how far, mm, and which way."""

    distance: float
    way: str


def parting(moved: Sequence[Solid], still: Sequence[Solid], least: float) -> Parting:
    """The least move along an axis that leaves a gap between two pieces.

    Args:
        moved: solids of the piece that is moved.
        still: solids of the other.
        least: the gap, mm.
    """
    first, second = (manifold3d.Manifold.compose([s.body for s in solids]) for solids in (moved, still))
    own, other = _box(moved), _box(still)
    best = Parting(np.inf, "")
    for name, far in sorted(_beyond(own, other).items(), key=lambda item: item[1]):
        far = min(far + least + CLOSE, best.distance)
        if _clear(first, second, name, far, least):
            best = Parting(_least_move(first, second, name, far, least), name)
    return best


def _box(solids: Sequence[Solid]) -> Array:
    boxes = np.array([solid.box for solid in solids])
    return np.stack([boxes[:, 0].min(axis=0), boxes[:, 1].max(axis=0)])


def _beyond(own: Array, other: Array) -> dict[str, float]:
    """How far each way a box `(2, 3)` has to go to lie beyond another: there it is clear for certain."""
    found = {}
    for name, way in WAYS.items():
        axis = int(np.argmax(np.abs(way)))
        ahead = other[1, axis] - own[0, axis] if way[axis] > 0.0 else own[1, axis] - other[0, axis]
        found[name] = max(0.0, float(ahead))
    return found


def _clear(
    first: manifold3d.Manifold, second: manifold3d.Manifold, name: str, distance: float, least: float
) -> bool:
    """Whether the first keeps its gap to the second once it is moved."""
    step = [distance * part for part in WAYS[name]]
    wanted = max(least, CLOSE)
    return float(second.min_gap(first.translate(step), wanted + CLOSE)) >= wanted - CLOSE / 2.0


def _least_move(
    first: manifold3d.Manifold, second: manifold3d.Manifold, name: str, far: float, least: float
) -> float:
    """The least move, by halving what lies between none and one that is known to do."""
    near = 0.0
    while far - near > CLOSE:
        middle = (near + far) / 2.0
        if _clear(first, second, name, middle, least):
            far = middle
        else:
            near = middle
    return far
