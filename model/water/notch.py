"""Limber holes in upright sheet: half-round notches at its foot."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from model.geometry import Array
from model.layout.edges import largest
from model.panel import Panel, panel_from_polygon
from model.water.settings import Limber

QUADRANT = 16
"""Chords to a quarter of a notch before its arc is made true again."""


def notched(panels: Sequence[Panel], limbers: Sequence[Limber], size: float) -> tuple[Panel, ...]:
    """The panels with the limber holes of the boat file cut into them.

    Args:
        panels: of the boat.
        limbers: what is asked for; one through a piece that is not there was told before.
        size: of those without a diameter of their own, mm.
    """
    if not limbers:
        return tuple(panels)
    cut = {limber.through: [own for own in limbers if own.through == limber.through] for limber in limbers}
    return tuple(_notched(panel, cut[panel.name], size) if panel.name in cut else panel for panel in panels)


def _notched(panel: Panel, limbers: Sequence[Limber], size: float) -> Panel:
    shape = panel.polygon
    for limber in limbers:
        place = panel.frame.to_frame(foot(panel, np.array(limber.at)))[:2]
        round_hole = shapely.Point(*place).buffer((limber.diameter or size) / 2.0, quad_segs=QUADRANT)
        shape = largest(shape.difference(round_hole))
    return panel_from_polygon(panel.name, panel.frame, shape, panel.sheet, panel.role)


def foot(panel: Panel, near: Array) -> Array:
    """The lowest point of an upright panel's face over the place in plan nearest to `near`, `(3,)`."""
    frame, ring = panel.frame, panel.outline.polyline()
    up = 1 if abs(frame.y[2]) >= abs(frame.x[2]) else 0
    sense = 1.0 if (frame.x, frame.y)[up][2] > 0.0 else -1.0
    across, height = ring[:, 1 - up], sense * ring[:, up]
    level = (frame.x, frame.y)[1 - up]
    wanted = float((np.append(near, frame.origin[2]) - frame.origin) @ level)
    along = float(np.clip(wanted, across.min() + 0.01, across.max() - 0.01))
    after = np.roll(across, -1)
    passed = (across <= along) != (after <= along)
    share = (along - across[passed]) / (after[passed] - across[passed])
    rise = np.roll(height, -1)[passed] - height[passed]
    place = np.zeros(2)
    place[1 - up], place[up] = along, sense * float((height[passed] + share * rise).min())
    return frame.to_boat(place)
