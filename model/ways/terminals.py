"""Where runs end: at the service point of a fixture, or at a point told in the file."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from model.geometry import Array
from parts.faults import did_you_mean

if TYPE_CHECKING:
    from model.boat import Boat


def where(boat: Boat, name: str) -> Array:
    """The point `(3,)` at which runs meet a fixture, mm.

    Args:
        boat: a finished boat.
        name: a fixture, `fuses` or `fixture.fuses`, with `.port` or `.starboard` where there are two; with
            `/point` one of its service points; else its first, or the middle of its top. A service point of
            the file is called `service.name`.

    Raises:
        KeyError: there is nothing of that name; the message says what is near.
    """
    base, _, point = name.partition("/")
    full = base if base.startswith("fixture.") else f"fixture.{base}"
    plan = next((p for p in boat.layout.fixtures if p.name in (base, full)), None)
    if plan is not None:
        points = plan.part.service or {"top": plan.part.top}
        if point and point not in points:
            raise KeyError(f"{base} has no point '{point}'; {did_you_mean(point, points)}")
        at = points[point] if point else next(iter(points.values()))
        return plan.frame.to_boat(np.array(at, dtype=np.float64))
    told = next((s for s in boat.layout.service if s.name in (name, f"service.{name}")), None)
    if told is not None:
        return told.at
    known = [p.name.partition(".")[2] for p in boat.layout.fixtures] + [s.name for s in boat.layout.service]
    raise KeyError(f"there is no fixture '{name}'; {did_you_mean(name, known)}")
