"""Bent sheet in the way of water: lips and flanges that stand up as coamings, ledges, gutters, hats on sheet.

A leg reaches to where it would meet its neighbour were the bend between them sharp. Corners where two flanges
meet, notched or mitred, count as closed by the weld that belongs there. Hats under a deck hold nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np
import shapely

from model.bends.folded_panel import FoldedPanel
from model.bends.hat import ROLE
from model.panel import Panel
from model.water.surfaces import STEEP, UPRIGHT, Surface, Wall, of_prism, of_upright

if TYPE_CHECKING:
    from model.bends.hat import Hat
    from model.boat import Boat


def bent_surfaces(boat: Boat) -> list[Surface]:
    """Legs of flanges that lie about level, and hats that stand on a level sheet."""
    told = ((leg.name, leg.prism) for leg in _legs(boat) if abs(float(leg.frame.z[2])) >= UPRIGHT)
    legs = (of_prism(name, "sheet", prism) for name, prism in told)
    found = [surface for surface in legs if surface is not None]
    return found + [_block(hat) for hat in boat.hats if float(hat.up[2]) > STEEP]


def bent_walls(boat: Boat) -> list[Wall]:
    """Legs of flanges that stand about upright."""
    own = [leg for leg in _legs(boat) if abs(float(leg.frame.z[2])) < UPRIGHT]
    return [wall for leg in own for wall in of_upright(leg)]


def _legs(boat: Boat) -> Iterator[Panel]:
    """Every leg of every flange as a plate of its own, under the name of its piece."""
    for panel in boat.panels:
        if isinstance(panel, FoldedPanel) and panel.role != ROLE:
            for fold in panel.folds:
                for leg in fold.sharp_legs(panel.frame):
                    face = leg.frame.moved(dz=leg.z1)
                    yield Panel(panel.name, face, leg.outline, (), panel.sheet, panel.role)


def _block(hat: Hat) -> Surface:
    """A hat on a level sheet, as if it were solid."""
    (a, b), (c, d) = hat.corners[..., :2]
    top = hat.a + hat.up * hat.section.height / 2.0
    n = hat.up
    plane, thick = np.array([float(n @ top), -n[0], -n[1]]) / n[2], hat.section.height / float(n[2])
    return Surface(hat.name, "block", shapely.Polygon([a, b, d, c]), plane, thick)
