"""Where blocks of foam lift: how much lies high in the after quarter, and how much high along the sides."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import shapely

from model.capacity.foam_room import AFT, SIDE, upper_half
from model.geometry import Frame
from model.layout.hull_area import hull_area

if TYPE_CHECKING:
    from model.boat import Boat
    from model.foam.plan import FoamPlan


@dataclass(frozen=True)
class Spread:
    """Foam in the upper half of the hull, mm3.

    Attributes:
        aft: in the after quarter, where the foam for motor and battery belongs.
        sides: further forward within 6 in of the sides, where the foam for persons belongs.
    """

    aft: float
    sides: float


def spread_of(boat: Boat, plan: FoamPlan) -> Spread:
    """Of all blocks, each cut at the height and the station by planes."""
    low, high = boat.hull.span
    half, quarter = upper_half(boat.hull), low + AFT * (high - low)
    after = shapely.box(low - 1e4, -1e5, quarter, 1e5)
    aft = sides = 0.0
    for block in plan.blocks:
        thick = min(block.thickness, block.high - half)
        if thick <= 0.0:
            continue
        own = block.outline.intersection(after)
        aft += float(own.area) * thick
        forward = block.outline.difference(after)
        if not forward.is_empty:
            inner = hull_area(boat.hull, Frame.level(block.high - thick / 2.0), 0.0, SIDE)
            sides += float(forward.difference(inner).area) * thick
    return Spread(aft, sides)
