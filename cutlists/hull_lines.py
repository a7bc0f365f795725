"""The hull's own lines for pictures: its long lines, some sections, and the outlines of its flat ends."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from model.geometry import Array, Plane

if TYPE_CHECKING:
    from model.hull import Hull
    from model.survey import Side

SECTIONS = 7
"""Sections drawn between the ends."""
SPACING = 25.0
"""Greatest distance of points along a long line, mm."""


@dataclass(frozen=True, eq=False, slots=True)
class SceneLine:
    """A line of the hull to draw: `points` `(n, 3) float` in the boat, mm."""

    name: str
    points: Array


def hull_lines(hull: Hull) -> Iterator[SceneLine]:
    """The hull's lines inside its ends; a line that both sides share on the centreline is given once."""
    low, high = hull.span
    along = np.linspace(low, high, max(2, int(np.ceil((high - low) / SPACING))))
    sides: tuple[Side, Side] = ("port", "starboard")
    for name in hull.lines:
        port, starboard = (hull.line(name, along, side) for side in sides)
        shared = float(np.abs(port - starboard).max()) < 0.01
        yield from _within(name if shared else f"{name}.port", port, hull.ends)
        if not shared:
            yield from _within(f"{name}.starboard", starboard, hull.ends)
    for number, x in enumerate(np.linspace(low, high, SECTIONS + 2)[1:-1], start=1):
        port_yz, starboard_yz = (hull.section(x, side) for side in sides)
        yz = np.concatenate([starboard_yz[:0:-1], port_yz])
        points = np.column_stack([np.full(len(yz), x), yz])
        yield from _within(f"section.{number}", points, hull.ends)
    for name, end in zip(("transom", "bow"), hull.ends, strict=False):
        ring = hull.plan_outline(end)
        if len(ring):
            yield SceneLine(name, np.concatenate([ring, ring[:1]]))


def _within(name: str, points: Array, ends: tuple[Plane, ...]) -> Iterator[SceneLine]:
    """The part of a polyline inside all end planes, cut exactly on them; nothing if none of it is."""
    for end in ends:
        out = end.height(points)
        kept: list[Array] = []
        for here, ahead, a, b in zip(points[:-1], points[1:], out[:-1], out[1:], strict=True):
            if a <= 0.0:
                kept.append(here)
            if (a <= 0.0) != (b <= 0.0):
                kept.append(here + (ahead - here) * (a / (a - b)))
        if len(points) and out[-1] <= 0.0:
            kept.append(points[-1])
        points = np.array(kept).reshape(-1, 3)
    if len(points) > 1:
        yield SceneLine(name, points)
