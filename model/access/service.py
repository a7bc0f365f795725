"""What of a boat needs a hand now and then: points of pumps, valves, fuse boxes, drains, and named ones."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from model.geometry import Array
from model.hoses.valves import valve_points

if TYPE_CHECKING:
    from model.boat import Boat


@dataclass(frozen=True, eq=False)
class ServicePoint:
    """A point that a hand must get at.

    Attributes:
        name: `fixture.pump/strainer`, or as the boat file names it: `service.hose_clamp`.
        piece: the fixture it belongs to, or its own name.
        at: in the boat, `(3,)` mm.
    """

    name: str
    piece: str
    at: Array


def service_points(boat: Boat) -> list[ServicePoint]:
    """All points that are to be reached: of fixtures, those that the file names alone, valves on the skin."""
    found = []
    for plan in boat.layout.fixtures:
        wanted = bool(plan.part.service_points) if plan.serviceable is None else plan.serviceable
        if wanted:
            points = plan.part.service_points or {"top": plan.part.top}
            found += [
                ServicePoint(f"{plan.name}/{name}", plan.name, plan.frame.to_boat(np.array(at)))
                for name, at in points.items()
            ]
    found += [ServicePoint(p.name, p.name, p.at) for p in boat.layout.service]
    if boat.hoses is not None:
        handles = valve_points(boat.hoses)
        found += [ServicePoint(f"{name}/valve", name, at) for name, at in handles.items()]
    return found
