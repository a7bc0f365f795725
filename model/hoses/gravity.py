"""Water that runs by itself: through a hose, over an overflow, out of a well, in at a hole; mm, seconds."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from model.hoses.friction import GRAVITY, Stretch, head_lost

ORIFICE = 0.61
"""What a sharp-edged hole passes of the ideal flow: Kirchhoff's pi/(pi + 2) for a free jet."""

STEPS = 24
"""Points at which a rate is taken between full and empty (Gauss)."""

FASTEST = 2e4
"""No water in a boat runs faster by itself, mm/s: that of a fall of 20 m."""


def flow_by_gravity(stretches: Sequence[Stretch], head: float) -> float:
    """Flow at which stretches one after the other lose just this head, mm3/s; nothing at no head."""
    from scipy.optimize import brentq

    if head <= 0.0:
        return 0.0
    most = FASTEST * min(stretch.area for stretch in stretches)
    return float(brentq(lambda flow: head_lost(stretches, flow) - head, 0.0, most, xtol=1e-3))


@dataclass(frozen=True)
class Emptying:
    """How a well empties itself.

    Attributes:
        seconds: until nothing runs any more.
        left: height at which the water then stands, mm, in the heights that were given.
    """

    seconds: float
    left: float


def emptying(
    area: Callable[[float], float], low: float, high: float, outlet: float, stretches: Sequence[Stretch]
) -> Emptying:
    """A well run out through its hose, dt = A(z) dz / Q(z).

    Args:
        area: of the level cut at a height, mm2.
        low: height of the floor, mm.
        high: of the water at first, mm.
        outlet: that the water runs down to: of the hose's end, or of the water outside where that is
            higher, mm.
        stretches: from the well to the end.
    """
    stop = max(low, outlet)
    if high <= stop:
        return Emptying(0.0, high)
    # in the root of the head the rate is nearly even, down to none
    u0, u1 = math.sqrt(stop - outlet), math.sqrt(high - outlet)
    at, weight = np.polynomial.legendre.leggauss(STEPS)
    half = (u1 - u0) / 2.0
    total = 0.0
    for t, w in zip(at.tolist(), weight.tolist(), strict=True):
        u = u0 + half * (1.0 + t)
        total += w * half * 2.0 * u * area(outlet + u * u) / flow_by_gravity(stretches, u * u)
    return Emptying(total, stop)


def hole_flow(bore: float, rise: float) -> float:
    """What a round hole in a wall passes with the water `rise` above its lowest point, mm3/s.

    Each level strip of the hole under water passes b sqrt(2 g (rise - z)); `ORIFICE` of that sum flows.
    """
    depth = min(rise, bore)
    if depth <= 0.0:
        return 0.0
    at, weight = np.polynomial.legendre.leggauss(STEPS)
    # z = depth (1 - cos)/2 takes the steepness out of both ends
    turn = math.pi / 2.0 * (1.0 + at)
    z = depth * (1.0 - np.cos(turn)) / 2.0
    step = depth * np.sin(turn) / 2.0 * math.pi / 2.0
    broad = 2.0 * np.sqrt(np.maximum(z * (bore - z), 0.0))
    return ORIFICE * float((weight * step * broad * np.sqrt(2.0 * GRAVITY * np.maximum(rise - z, 0.0))).sum())


@dataclass(frozen=True)
class Overflow:
    """A hole that carries off what is too much.

    Attributes:
        bore: of the hole, mm.
        fall: from the hole's lowest point to the hose's end, or to the water outside, mm.
        stretches: of its hose.
    """

    bore: float
    fall: float
    stretches: tuple[Stretch, ...]

    def carries(self, rise: float) -> float:
        """Flow with the water `rise` above the hole's lowest point, mm3/s.

        The hole lets in what it can, and the hose, running full, carries what it can; the lesser holds.
        """
        return min(hole_flow(self.bore, rise), flow_by_gravity(self.stretches, self.fall + rise))


def overflow_rise(flow: float, overflows: Sequence[Overflow], most: float) -> float:
    """How far the water stands above overflows at one height that carry a flow together, mm.

    Args:
        flow: that comes in, mm3/s.
        overflows: all of them.
        most: no more is looked for, mm; infinity where even that does not carry it.
    """
    from scipy.optimize import brentq

    def over(rise: float) -> float:
        return sum(one.carries(rise) for one in overflows) - flow

    if flow <= 0.0:
        return 0.0
    if most <= 0.0 or over(most) < 0.0:
        return math.inf
    return float(brentq(over, 0.0, most, xtol=0.01))


def inrush(bore: float, depth: float) -> float:
    """What an open hole below the water lets in, mm3/s: bore times sqrt(2 g depth), without any loss."""
    return math.pi / 4.0 * bore**2 * math.sqrt(2.0 * GRAVITY * depth) if depth > 0.0 else 0.0
