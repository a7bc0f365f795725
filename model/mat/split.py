"""Surfaces larger than a sheet of mat parted: along grooves where they can be, across where they must."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from model.mat.grooves import Lines
from model.mat.settings import MatSettings, MatSheet

_FAR = 1e5


class MatSplitError(ValueError):
    """A surface that no sheet of mat can line; `.wrong` says why and `.right` what would do."""

    def __init__(self, wrong: str, right: str) -> None:
        super().__init__(f"{wrong}; {right}")
        self.wrong, self.right = wrong, right


def parted(shape: BaseGeometry, lines: Lines | None, settings: MatSettings) -> list[BaseGeometry]:
    """The shape, drawn with its grooves along x, in parts that each fit a sheet.

    Parts meet at a groove, which the joint takes the place of: each ends half a groove's width from its
    middle. Joints across the grooves are as wide. Of all sheets and ways to lay them the one with the fewest
    parts counts, and of these the one with the fewest joints across.

    Raises:
        MatSplitError: the grooves are further apart than the widest sheet, or the margins take all of it.
    """
    x0, y0, x1, y1 = shape.bounds
    ways = list(_rooms(settings.sheets, settings.margin, lines is not None))
    if not ways:
        raise MatSplitError(
            "no sheet of mat is wider than its margins", "give a larger sheet or a smaller margin"
        )
    if any(x1 - x0 <= along + 1e-6 and y1 - y0 <= across + 1e-6 for along, across in ways):
        return [shape]
    found = []
    for along, across in ways:
        columns = _even(x0, x1, along, settings.groove_width)
        rows = _at_lines(y0, y1, across, lines, settings.groove_width)
        if rows is not None:
            found.append(((len(columns) + 1) * (len(rows) + 1), len(columns), columns, rows))
    if not found:
        raise MatSplitError(
            f"its grooves stand {lines.spacing if lines else 0:.1f} mm apart and no sheet of mat is as wide",
            "give a wider sheet or a smaller pitch",
        )
    _, _, columns, rows = min(found, key=lambda way: way[:2])
    return _cut(shape, columns, rows, settings.groove_width)


def _rooms(sheets: Sequence[MatSheet], margin: float, grooved: bool) -> Iterable[tuple[float, float]]:
    """Room along and across the grooves on each sheet, in each way a piece may lie there."""
    for sheet in sheets:
        along, across = sheet.length - 2 * margin, sheet.width - 2 * margin
        if min(along, across) <= 0:
            continue
        yield along, across
        if sheet.turns == "quarter" and not (sheet.grooved and grooved):
            yield across, along


def _even(low: float, high: float, room: float, gap: float) -> list[float]:
    """Middles of the fewest joints, evenly spaced, that leave no part longer than `room`."""
    count = math.ceil((high - low + gap - 1e-6) / (room + gap))
    return [low + (high - low) * i / count for i in range(1, count)]


def _at_lines(low: float, high: float, room: float, lines: Lines | None, gap: float) -> list[float] | None:
    """Joints on grooves, as even as these allow; None where grooves stand further apart than the room."""
    even = _even(low, high, room, gap)
    if lines is None:
        return even
    for count in range(len(even), len(even) + 3):
        wanted = [low + (high - low) * i / (count + 1) for i in range(1, count + 1)]
        near = sorted({y - lines.off(y) for y in wanted})
        ends = [low - gap / 2, *near, high + gap / 2]
        if len(near) == count and all(b - a - gap <= room + 1e-6 for a, b in pairwise(ends)):
            return near
    return _as_far_as_they_go(low, high, room, lines, gap)


def _as_far_as_they_go(low: float, high: float, room: float, lines: Lines, gap: float) -> list[float] | None:
    """Joints on grooves, each as far from the one before as the room allows."""
    found: list[float] = []
    start = low
    while high - start > room + 1e-6:
        within = [y for y in lines.between(start + gap, high) if y - gap / 2 - start <= room + 1e-6]
        if not within:
            return None
        found.append(float(within[-1]))
        start = found[-1] + gap / 2
    return found


def _cut(shape: BaseGeometry, columns: list[float], rows: list[float], gap: float) -> list[BaseGeometry]:
    found: list[BaseGeometry] = []
    for a, b in pairwise([-_FAR, *columns, _FAR]):
        for c, d in pairwise([-_FAR, *rows, _FAR]):
            part = shape.intersection(shapely.box(a + gap / 2, c + gap / 2, b - gap / 2, d - gap / 2))
            found += [p for p in shapely.get_parts(part) if isinstance(p, Polygon) and p.area > 0]
    return found
