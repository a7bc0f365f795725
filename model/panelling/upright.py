"""Upright panels along a line in plan, trimmed where they turn a corner and where they meet the hull."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from shapely import Polygon, box
from shapely.geometry.base import BaseGeometry

from model.findings import Finding
from model.geometry import UP, Array, Frame, cross
from model.hull import Hull
from model.layout.edges import largest
from model.layout.hull_area import hull_area
from model.panel import Panel, panel_from_polygon
from parts.sheet import Sheet

FAR = 2e4
"""Millimetres above or below anything in a boat."""

LEAST = 5.0
"""Panels with less than this between their edges, mm, are not made."""


WELL_INSIDE = 8.0
"""A foot this many gaps over the skin is clear of it at any slope the gap is measured along."""


@dataclass(frozen=True, eq=False)
class Line:
    """A straight stretch in plan, `(2,)` each, mm; `out` says on which hand of it its face looks.

    `cut_start` and `cut_end` are what a neighbour round the corner takes off its ends, mm.
    """

    name: str
    start: Array
    end: Array
    out: str = "right"
    cut_start: float = 0.0
    cut_end: float = 0.0

    @property
    def length(self) -> float:
        """Length in plan, mm."""
        return float(np.hypot(*(self.end - self.start)))

    def frame(self) -> Frame:
        """The frame of its face: y up, z out of the face; origin at height 0 under its left end as seen."""
        d = np.append((self.end - self.start) / self.length, 0.0)
        if self.out == "right":
            return Frame(np.append(self.start, 0.0), d, UP, cross(d, UP))
        return Frame(np.append(self.end, 0.0), -d, UP, cross(-d, UP))

    def reach(self) -> tuple[float, float]:
        """Least and greatest x of the panel in its frame, corners taken off."""
        if self.out == "right":
            return self.cut_start, self.length - self.cut_end
        return self.cut_end, self.length - self.cut_start


@dataclass
class Upright:
    """Upright panels, and the names of those of which nothing worth cutting was left."""

    panels: list[Panel] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)

    def add(
        self,
        line: Line,
        sheet: Sheet,
        role: str,
        top: tuple[float, float],
        bottom: float | None,
        hull: Hull | None,
        gap: float,
    ) -> None:
        """Adds what `upright_panel` makes."""
        panel = upright_panel(line, sheet, role, top, bottom, hull, gap)
        if panel is None:
            self.missing.append(line.name)
        else:
            self.panels.append(panel)

    def findings(self) -> list[Finding]:
        """One for each panel that is missing."""
        what = "nothing of it is left between its edges, or within the hull"
        cure = "move its edges apart, or leave it out"
        return [Finding("sheet", (name,), what, cure) for name in self.missing]


def corner_cuts(points: Array, closed: bool, thickness: float, metal_left: bool) -> Array:
    """What each corner of a line in plan takes off the panels that meet there, `(n,) float`, mm.

    Where the line turns towards the metal the inner faces of the two panels would cross; both are cut back
    until their inner edges touch. Where it turns away from the metal nothing is taken off.
    """
    before = points - np.roll(points, 1, axis=0)
    after = np.roll(points, -1, axis=0) - points
    turn = np.arctan2(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], (before * after).sum(axis=1))
    turn = turn if metal_left else -turn
    cuts = np.where(turn > 0, thickness * np.tan(np.clip(turn, 0, 2.6) / 2), 0.0)
    if not closed:
        cuts[[0, -1]] = 0.0
    return cuts


def upright_panel(
    line: Line,
    sheet: Sheet,
    role: str,
    top: tuple[float, float],
    bottom: float | None,
    hull: Hull | None,
    gap: float,
) -> Panel | None:
    """The panel over a line from `bottom` (None: the hull) up to `top` at its start and end, heights in mm.

    What would stand nearer the skin than `gap` is cut away. None where nothing worth cutting is left.
    """
    frame = line.frame()
    low, high = line.reach()
    at_start, at_end = top if line.out == "right" else top[::-1]
    slope = (at_end - at_start) / line.length
    floor = -FAR / 2 if bottom is None else bottom
    tops = at_start + slope * low, at_start + slope * high
    if high - low < LEAST or max(tops) - floor < LEAST:
        return None
    shape: BaseGeometry = Polygon([(low, -FAR), (high, -FAR), (high, tops[1]), (low, tops[0])])
    shape = shape.intersection(box(low, floor, high, FAR))
    if hull is not None and not _well_inside(hull, line, bottom, gap + sheet.thickness):
        thick = sheet.thickness
        shape = shape.intersection(hull_area(hull, frame, thick / 2, gap, thick))
    best = largest(shape)
    if best.is_empty:
        return None
    _, y0, _, y1 = best.bounds
    if y1 - y0 < LEAST or best.area < LEAST * LEAST:
        return None
    return panel_from_polygon(line.name, frame, best, sheet, role)


def _well_inside(hull: Hull, line: Line, bottom: float | None, gap: float) -> bool:
    """Whether the foot of a panel stands so high over the skin all along that no cut is needed."""
    if bottom is None:
        return False
    along = line.start + np.linspace(0.0, 1.0, 17)[:, None] * (line.end - line.start)
    skin = hull.bottom(along[:, 0], along[:, 1])
    return bool(np.all(bottom - skin > WELL_INSIDE * gap))  # nan, outside the hull, is never above
