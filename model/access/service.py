"""What of a boat needs a hand now and then: points of pumps, valves, fuse boxes, drains, and named ones."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from model.geometry import Array

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
    """All points that are to be reached, fixture by fixture, then those that the boat file names alone."""
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
    return found
