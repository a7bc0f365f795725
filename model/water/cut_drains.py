"""Drains cut into sheet: the floor that is drained, and every sheet that the hose below it passes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from model.panel import Panel
from model.water.names import height_over, holder
from model.water.settings import BILGE, HULL, OVERBOARD, Drain
from parts.outline import Loop

LEAST_EDGE = 3.0
"""Metal left between a drain and an edge, mm; nearer than that the hole is not drawn, and told as a fault."""


def with_drains(panels: Sequence[Panel], drains: Sequence[Drain]) -> tuple[Panel, ...]:
    """The panels with a round hole for each drain that passes them.

    Args:
        panels: of the boat.
        drains: of the boat file; one of a thing that is not there was told before.
    """
    if not drains:
        return tuple(panels)
    found = list(panels)
    for drain in drains:
        for i in passed(found, drain):
            if edge_left(found[i], drain) >= LEAST_EDGE:
                found[i] = _holed(found[i], drain)
    return tuple(found)


def passed(panels: Sequence[Panel], drain: Drain) -> list[int]:
    """Numbers of the panels that a drain passes, the floor that it is of first."""
    if drain.of == HULL:
        return []
    names = {panel.name.rpartition("/")[0] for panel in panels}
    own, to = (holder(name, names) for name in (drain.of, drain.to))
    heights = [height_over(panel.prism, drain.at) for panel in panels]
    under = {i: z for i, z in enumerate(heights) if z is not None}
    of = [i for i in under if own is not None and panels[i].name.startswith(f"{own}/")]
    if drain.to == OVERBOARD or (own is not None and not of):
        return sorted(of, key=lambda i: -under[i])
    top = max((under[i] for i in of), default=np.inf)  # of a fitting: all that lies below it
    low = -np.inf
    if drain.to not in (BILGE, OVERBOARD):
        low = max((z for i, z in under.items() if panels[i].name.startswith(f"{to}/")), default=-np.inf)
    return sorted((i for i, z in under.items() if low < z <= top), key=lambda i: -under[i])


def edge_left(panel: Panel, drain: Drain) -> float:
    """Metal between a drain and the nearest edge of a panel, mm; below zero where it runs over it."""
    x, y = _place(panel, drain)
    solid = shapely.Polygon(
        panel.polygon.exterior, [h for h in panel.polygon.interiors if not _same(h, x, y)]
    )
    point = shapely.Point(x, y)
    off = float(solid.boundary.distance(point))
    return (off if solid.contains(point) else -off) - drain.diameter / 2.0


def _same(ring: shapely.LinearRing, x: float, y: float) -> bool:
    """Whether a hole is the drain's own."""
    middle = ring.centroid
    return bool(np.hypot(middle.x - x, middle.y - y) < 1.0)


def _place(panel: Panel, drain: Drain) -> tuple[float, float]:
    z = height_over(panel.prism, drain.at)
    x, y = panel.frame.to_frame(np.array([*drain.at, 0.0 if z is None else z]))[:2].tolist()
    return x, y


def _holed(panel: Panel, drain: Drain) -> Panel:
    return replace(panel, holes=(*panel.holes, Loop.circle(drain.diameter, _place(panel, drain))))


__all__ = ["LEAST_EDGE", "edge_left", "passed", "with_drains"]
