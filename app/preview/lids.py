"""How each lid of a boat opens, in the numbers a page turns it by."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from model.clearance.lids import HungLid, hung_lids
from model.clearance.motion import Slide, Turn

if TYPE_CHECKING:
    from model.boat import Boat
    from model.geometry import Array


def lid_rows(boat: Boat) -> list[dict[str, Any]]:
    """Every lid: what goes along with it and either its hinge or the way it lifts out."""
    return [_row(lid) for lid in hung_lids(boat)]


def _row(lid: HungLid) -> dict[str, Any]:
    row: dict[str, Any] = {
        "name": lid.name,
        "carries": [lid.name, *(rider.name for rider in lid.riders)],
        "hinge": lid.hinge,
    }
    motion = lid.motion()
    if isinstance(motion, Turn):
        row |= {"point": _mm(motion.point), "axis": [round(float(part), 9) for part in motion.axis]}
        row["limit"] = round(math.degrees(motion.limit), 2)
    elif isinstance(motion, Slide):
        row |= {"way": [round(float(part), 9) for part in motion.way], "limit": round(motion.limit, 1)}
    return row


def _mm(point: Array) -> list[float]:
    return [round(float(part), 3) for part in point]
