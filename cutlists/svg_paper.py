"""From a drawing's coordinates to an SVG page, arcs kept true."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from model.geometry import Array
from parts.outline import Loop


@dataclass(frozen=True, eq=False)
class Paper:
    """Where points fall on the page: y up in the drawing, down on the page, mm.

    Attributes:
        scale: mm of paper for each mm.
        foot: where the drawing's `corner` falls on the page, `(2,)`.
        corner: a point of the drawing, `(2,)`.
    """

    scale: float
    foot: Array
    corner: Array

    def points(self, points: Array) -> Array:
        """Points `(..., 2)` on the page."""
        found: Array = self.foot + (np.asarray(points) - self.corner) * (self.scale, -self.scale)
        return found

    def path(self, loop: Loop) -> str:
        """The loop as path commands."""
        # The page is a mirror image: what turns left in the drawing turns right on it.
        return loop_path(self.points(loop.points), self.points(loop.apexes), -loop.bulges)


def loop_path(points: Array, apexes: Array, bulges: Array) -> str:
    """A loop on the page (y down) as path commands; arcs in halves, since one of 360 degrees has no SVG form.

    Args:
        points: corners, `(n, 2)`.
        apexes: the middle of the edge that leaves each, `(n, 2)`.
        bulges: of these edges, `(n,)`, as in `Loop`.
    """
    ahead = np.roll(points, -1, axis=0)
    words = [f"M{at(points[0])}"]
    for here, middle, there, bulge in zip(points, apexes, ahead, bulges, strict=True):
        if bulge == 0.0:
            words.append(f"L{at(there)}")
            continue
        radius = float(np.hypot(*(there - here))) * (1 + bulge**2) / (4 * abs(bulge))
        words += [f"A{radius:.4f} {radius:.4f} 0 0 {int(bulge > 0)} {at(end)}" for end in (middle, there)]
    return "".join(words) + "Z"


def at(point: Array) -> str:
    """A point in path commands."""
    return f"{point[0]:.4f} {point[1]:.4f}"
