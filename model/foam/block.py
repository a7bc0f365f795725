"""A block of foam: a prism cut from one board, where it lies, and how it gets there."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon

from model.flat_arcs import polygon_of
from model.geometry import Array, Frame
from model.prism import Prism
from parts.outline import Loop

SAME = 1.0
"""Blocks whose sides differ by less than about this, mm, are cut alike; the gap round them is more."""


@dataclass(frozen=True, eq=False)
class FoamBlock:
    """One block.

    Attributes:
        name: `foam.front.12`, numbered in the order of laying under each deck.
        mark: blocks cut alike share one; a block may be turned over.
        deck: under which it lies.
        layer: counted from the lowest under its deck, 1 first.
        board: name of the board it is cut from.
        outline: in plan, where it lies, mm.
        low, high: heights of its faces, mm.
        slide: from where it is lowered to where it lies, `(2,)` mm; zeros where it goes straight down.
        through: the opening by which it still goes in once the deck is closed; empty where there is none
            that this could be shown of.
    """

    name: str
    mark: str
    deck: str
    layer: int
    board: str
    outline: Polygon
    low: float
    high: float
    slide: Array
    through: str = ""

    @property
    def thickness(self) -> float:
        """Between its faces, mm."""
        return self.high - self.low

    @property
    def volume(self) -> float:
        """mm3."""
        return float(self.outline.area) * self.thickness

    @property
    def slides(self) -> bool:
        """Whether it is slid under something once it is lowered."""
        return bool(np.abs(self.slide).max() > 0.0)

    @property
    def loops(self) -> tuple[Loop, ...]:
        """Outline and holes, counter-clockwise."""
        rings = (self.outline.exterior, *self.outline.interiors)
        return tuple(Loop.polygon(shapely.get_coordinates(ring)[:-1]).ccw() for ring in rings)

    @property
    def prism(self) -> Prism:
        """The solid in the boat."""
        outline, *holes = self.loops
        return Prism(Frame.level(self.low), outline, tuple(holes), 0.0, self.thickness)

    @property
    def centre(self) -> Array:
        """Centre of its volume, `(3,)` mm."""
        at = self.outline.centroid
        return np.array([at.x, at.y, (self.low + self.high) / 2.0])

    @property
    def sides(self) -> tuple[float, float]:
        """Length along x and width along y of its box, mm."""
        x0, y0, x1, y1 = self.outline.bounds
        return float(x1 - x0), float(y1 - y0)


def shape_key(block: FoamBlock) -> tuple[object, ...]:
    """Equal for blocks that are cut alike: board, and sides and turns of each outline, mirrored or not."""
    return (block.board, *sorted(_ring_key(loop) for loop in block.loops))


def _ring_key(loop: Loop) -> tuple[tuple[int, int], ...]:
    points = shapely.get_coordinates(polygon_of(loop).exterior)[:-1]
    kept = [_turns(points), _turns(points[::-1] * [1.0, -1.0] * [-1.0, -1.0])]
    kept.append(_turns((points * [-1.0, 1.0])[::-1]))
    return min(ring[k:] + ring[:k] for ring in kept for k in range(len(ring)))


def _turns(points: Array) -> tuple[tuple[int, int], ...]:
    """Length of each side, in units of `SAME`, and the turn after it, in half degrees."""
    ahead = np.roll(points, -1, axis=0) - points
    length = np.hypot(*ahead.T)
    angle = np.arctan2(ahead[:, 1], ahead[:, 0])
    turn = np.degrees((np.roll(angle, -1) - angle + math.pi) % (2.0 * math.pi) - math.pi)
    return tuple((round(a / SAME), round(b / 2.0)) for a, b in zip(length, turn, strict=True))
