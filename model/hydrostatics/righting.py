"""The righting-arm curve: levers at one heel after another until water comes over the side."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from model.geometry import Array
from model.hydrostatics.balance import FRESH, Rest, hold
from model.hydrostatics.body import Body
from model.hydrostatics.load import Load
from model.hydrostatics.rim import Rim

STEP = math.radians(5.0)
"""Between two heels of a curve."""
STEEPEST = math.radians(80.0)
"""The last heel that is looked at."""
NEAR = 0.5
"""Freeboard within which water is at the edge, mm."""


@dataclass(frozen=True, eq=False)
class RightingCurve:
    """Righting arms towards one side, the last one where water comes in.

    Attributes:
        side: the side that goes down.
        heels: away from upright towards that side, rising, `(n,) float`, rad.
        arms: horizontal distance by which buoyancy rights the boat, `(n,) float`, mm.
        freeboards: at the lowest place, `(n,) float`, mm.
        trims: bow up is positive, `(n,) float`, rad.
        floods_at: what goes under first; empty where nothing does up to the last heel.
    """

    side: str
    heels: Array
    arms: Array
    freeboards: Array
    trims: Array
    floods_at: str

    @property
    def flooding(self) -> float | None:
        """The heel at which water comes in, rad; None where it does not by the last one."""
        return float(self.heels[-1]) if self.floods_at else None

    @property
    def greatest(self) -> tuple[float, float]:
        """Greatest arm, mm, and its heel, rad."""
        i = int(np.argmax(self.arms))
        return float(self.arms[i]), float(self.heels[i])

    @property
    def area(self) -> float:
        """Area under the curve where it rights the boat, mm rad: work to the edge over the weight."""
        arms = np.maximum(self.arms, 0.0)
        return float(np.trapezoid(arms, self.heels))


def righting_curve(
    body: Body, rim: Rim, load: Load, rest: Rest, density: float = FRESH, to_port: bool | None = None
) -> RightingCurve:
    """Righting arms of a load from rest to where water comes in, trim and sinkage free at every heel.

    Args:
        body: the outside of the hull.
        rim: where water can come in.
        load: what is carried.
        rest: where the boat rests with it.
        density: of the water, kg/m3.
        to_port: the side to heel to; the one she lists to, or whose side is lower, unless given.
    """
    if to_port is None:
        to_port = _lower_side(rim, rest)
    sign = 1.0 if to_port else -1.0
    first = math.ceil((sign * rest.heel + 1e-6) / STEP) * STEP
    heels = [sign * rest.heel, *np.arange(first, STEEPEST + STEP / 2.0, STEP).tolist()]
    held, free, at = [rest], [rim.lowest(rest.plane)[0]], ""
    for i in range(1, len(heels)):
        found = hold(body, load, sign * heels[i], density, held[-1].plane)
        free.append(rim.lowest(found.plane)[0])
        held.append(found)
        if free[-1] <= 0.0:
            if free[-2] > 0.0:
                heels[i], held[-1], free[-1] = _edge(body, rim, load, density, sign, (heels, held, free))
            heels, at = heels[: i + 1], rim.lowest(held[-1].plane)[2]
            break
    return RightingCurve(
        "port" if to_port else "starboard",
        np.array(heels),
        np.array([sign * float(one.levers[1]) for one in held]),
        np.array(free),
        np.array([one.trim for one in held]),
        at,
    )


def _lower_side(rim: Rim, rest: Rest) -> bool:
    """Whether port is the side she lists to, or else the one with less freeboard."""
    if abs(rest.heel) > 1e-4:
        return rest.heel > 0.0
    return bool(rim.lowest(rest.plane)[1][1] > 0.0)


def _edge(
    body: Body,
    rim: Rim,
    load: Load,
    density: float,
    sign: float,
    known: tuple[list[float], list[Rest], list[float]],
) -> tuple[float, Rest, float]:
    """The heel, between the last two known, at which the lowest place is level with the water."""
    heels, held, free = known
    (low, dry), (high, wet) = ((heels[len(held) - 2], free[-2]), (heels[len(held) - 1], free[-1]))
    found, freeboard, heel = held[-1], wet, high
    for _ in range(12):
        heel = low + (high - low) * dry / (dry - wet)
        found = hold(body, load, sign * heel, density, found.plane)
        freeboard = rim.lowest(found.plane)[0]
        if abs(freeboard) < NEAR:
            break
        if freeboard > 0.0:
            low, dry = heel, freeboard
        else:
            high, wet = heel, freeboard
    return heel, found, freeboard
