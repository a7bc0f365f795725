"""Drains cut into sheet: the floor that is drained, and every sheet that the hose below it passes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from model.geometry import Array
from model.panel import Panel
from model.water.names import LEVEL, height_over, holder
from model.water.settings import BILGE, HULL, OVERBOARD, Drain
from parts.outline import Loop

LEAST_EDGE = 3.0
"""Metal left between a drain and an edge, mm; nearer than that the hole is not drawn, and told as a fault."""


SAME = 1.0
"""A hole whose middle lies nearer to a drain than this, mm, is the drain's own."""


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
    level = [(i, panel) for i, panel in enumerate(panels) if abs(panel.frame.z[2]) >= LEVEL]
    heights = ((i, height_over(panel.prism, drain.at)) for i, panel in level)
    under = {i: z for i, z in heights if z is not None}
    of = [i for i in under if own is not None and panels[i].name.startswith(f"{own}/")]
    if drain.to == OVERBOARD or (own is not None and not of):
        return sorted(of, key=lambda i: -under[i])
    top = max((under[i] for i in of), default=np.inf)  # of a fitting: all that lies below it
    low = -np.inf
    if drain.to not in (BILGE, OVERBOARD):
        low = max((z for i, z in under.items() if panels[i].name.startswith(f"{to}/")), default=-np.inf)
    return sorted((i for i, z in under.items() if low < z <= top), key=lambda i: -under[i])


def edge_left(panel: Panel, drain: Drain) -> float:
    """Metal between a drain that passes a panel and its nearest edge, mm; below zero where it runs over."""
    at = np.array(_place(panel, drain))
    others = [hole for hole in panel.holes if np.hypot(*(hole.centroid - at)) > SAME]
    return min(_off(loop.polyline(), at) for loop in (panel.outline, *others)) - drain.diameter / 2.0


def _off(ring: Array, at: Array) -> float:
    """Distance of a place from a closed line, mm."""
    step = np.concatenate([ring[1:], ring[:1]]) - ring
    share = ((at - ring) * step).sum(axis=1) / np.maximum((step * step).sum(axis=1), 1e-12)
    off = at - ring - np.clip(share, 0.0, 1.0)[:, None] * step
    return float(np.sqrt((off * off).sum(axis=1).min()))


def _place(panel: Panel, drain: Drain) -> tuple[float, float]:
    z = height_over(panel.prism, drain.at)
    x, y = panel.frame.to_frame(np.array([*drain.at, 0.0 if z is None else z]))[:2].tolist()
    return x, y


def _holed(panel: Panel, drain: Drain) -> Panel:
    return replace(panel, holes=(*panel.holes, Loop.circle(drain.diameter, _place(panel, drain))))


__all__ = ["LEAST_EDGE", "edge_left", "passed", "with_drains"]
