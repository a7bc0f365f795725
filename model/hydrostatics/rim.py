"""Where water can come over the side: the gunwales all round, and places that the file names."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from model.geometry import Array, Plane
from model.hull import Hull
from model.survey import SIDES, Side

SPACING = 40.0
"""Between points of a gunwale, mm."""


@dataclass(frozen=True, eq=False)
class Rim:
    """Points over which water comes in.

    Attributes:
        points: `(n, 3) float`, mm.
        names: what each of them belongs to: `the port gunwale`, or a name of the file.
        stem: where the sheer meets the middle plane forward, `(3,) float`.
        transom: where it meets the transom's top, the middle of both sides, `(3,) float`.
    """

    points: Array
    names: tuple[str, ...]
    stem: Array
    transom: Array

    @classmethod
    def of(cls, hull: Hull, floods: Mapping[str, Array] | None = None) -> Rim:
        """The rim of a hull, and further places by name, `(3,) float` each."""
        sides = {side: _gunwale(hull, side) for side in SIDES}
        points = [*sides.values(), *(place[None] for place in (floods or {}).values())]
        names = [f"the {side} gunwale" for side, line in sides.items() for _ in line]
        middle = np.array([1.0, 0.0, 1.0])
        first = np.mean([line[0] for line in sides.values()], axis=0)
        last = np.mean([line[-1] for line in sides.values()], axis=0)
        return cls(np.concatenate(points), (*names, *(floods or {})), last * middle, first * middle)

    def lowest(self, plane: Plane) -> tuple[float, Array, str]:
        """The least freeboard over a plane of water, mm, where it is, and what is lowest."""
        height = plane.height(self.points)
        i = int(np.argmin(height))
        return float(height[i]), self.points[i], self.names[i]


def _gunwale(hull: Hull, side: Side) -> Array:
    """Points of the highest line of one side between the ends, `(n, 3) float`, from the transom forward."""
    line = hull.lines[-1]
    low, high = hull.span
    x = np.linspace(low, high, max(2, int((high - low) / SPACING) + 1))
    points = hull.line(line, x, side)
    inside = np.all([end.height(points) <= 0.0 for end in hull.ends], axis=0)
    first, last = int(inside.argmax()), len(x) - 1 - int(inside[::-1].argmax())
    rows = [points[first : last + 1]]
    if first > 0:
        rows.insert(0, _met(hull, side, float(x[first - 1]), float(x[first]))[None])
    if last < len(x) - 1:
        rows.append(_met(hull, side, float(x[last + 1]), float(x[last]))[None])
    return np.concatenate(rows)


def _met(hull: Hull, side: Side, out: float, within: float) -> Array:
    """Where the gunwale meets the end that it passes between two stations, by halving."""
    for _ in range(40):
        middle = (out + within) / 2.0
        point = hull.line(hull.lines[-1], middle, side)
        if all(float(end.height(point)) <= 0.0 for end in hull.ends):
            within = middle
        else:
            out = middle
    return hull.line(hull.lines[-1], within, side)
