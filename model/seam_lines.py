"""Lines of members that can carry a seam, and where they cross a piece from edge to edge."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely

from model.geometry import Array

_SAME_ANGLE = 1e-3
_SAME_OFFSET = 1.0
_EDGE = 1e-6


@dataclass(frozen=True, eq=False)
class SeamLine:
    """A straight line with the stretches of it that members lie under.

    Attributes:
        origin: a point on it, `(2,) float`, mm.
        way: its unit direction, `(2,) float`.
        stretches: `(k, 2) float`, start and end of each along the line from the origin, mm, in order.
    """

    origin: Array
    way: Array
    stretches: Array

    def point(self, at: float) -> Array:
        """The point `at` mm along the line."""
        found: Array = self.origin + at * self.way
        return found

    def across(self, piece: shapely.Polygon) -> list[shapely.LineString]:
        """Where the line runs through the piece from edge to edge with members under it all the way."""
        along = (shapely.get_coordinates(piece) - self.origin) @ self.way
        whole = shapely.LineString([self.point(along.min() - 1.0), self.point(along.max() + 1.0)])
        parts = shapely.get_parts(shapely.get_parts(piece.intersection(whole)))
        lines = [part for part in parts if isinstance(part, shapely.LineString) and part.length > _EDGE]
        return [part for part in lines if self._carries(part)]

    def _carries(self, seam: shapely.LineString) -> bool:
        ends = np.sort((shapely.get_coordinates(seam) - self.origin) @ self.way)
        low, high = self.stretches.T
        return bool(((low <= ends[0] + _EDGE) & (high >= ends[-1] - _EDGE)).any())

    def longer(self, seam: shapely.LineString, by: float) -> shapely.LineString:
        """A seam drawn out by `by` mm at both ends."""
        ends = np.sort((shapely.get_coordinates(seam) - self.origin) @ self.way)
        return shapely.LineString([self.point(ends[0] - by), self.point(ends[-1] + by)])


def seam_lines(lines: Sequence[shapely.LineString], reach: float) -> list[SeamLine]:
    """The straight lines that members lie on, those in line joined, each drawn out by `reach` mm.

    Two stretches become one where they then meet: across the member that parts them.
    """
    found: list[tuple[Array, Array, list[tuple[float, float]]]] = []
    for start, end in _straight(lines):
        way = (end - start) / np.hypot(*(end - start))
        for origin, known, stretches in found:
            off = start - origin
            turned = abs(float(known[0] * way[1] - known[1] * way[0]))
            if turned < _SAME_ANGLE and abs(float(known[0] * off[1] - known[1] * off[0])) < _SAME_OFFSET:
                at = sorted((float(off @ known), float((end - origin) @ known)))
                stretches.append((at[0] - reach, at[1] + reach))
                break
        else:
            length = float(np.hypot(*(end - start)))
            found.append((start, way, [(-reach, length + reach)]))
    return [SeamLine(origin, way, _joined(stretches)) for origin, way, stretches in found]


def _straight(lines: Sequence[shapely.LineString]) -> list[tuple[Array, Array]]:
    """Every straight piece of the lines that has a length, as its two ends."""
    found = []
    for line in lines:
        points = shapely.get_coordinates(line)
        found += [(p, q) for p, q in pairwise(points) if np.hypot(*(q - p)) > 1.0]
    return found


def _joined(stretches: list[tuple[float, float]]) -> Array:
    """Stretches in order, those that meet made one, `(k, 2) float`."""
    joined: list[list[float]] = []
    for low, high in sorted(stretches):
        if joined and low <= joined[-1][1]:
            joined[-1][1] = max(joined[-1][1], high)
        else:
            joined.append([low, high])
    return np.array(joined)
