"""What a pump brings: its curve against the head of its line. Heads in mm, flows in mm3/s."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from model.hoses.friction import Stretch, head_lost
from parts.plumbing import Pump

if TYPE_CHECKING:
    from scipy.interpolate import PchipInterpolator

LITRE_AN_HOUR = 1e6 / 3600.0
"""Of flow, in mm3/s."""


@dataclass(frozen=True, eq=False)
class PumpCurve:
    """Head over flow, falling.

    Attributes:
        flows: mm3/s, growing from nought.
        heads: mm, falling to that of the greatest flow.
        head_at: the curve through them, without a wave of its own between two points.
    """

    flows: tuple[float, ...]
    heads: tuple[float, ...]
    head_at: PchipInterpolator

    @classmethod
    def of(cls, pump: Pump) -> PumpCurve | None:
        """The curve of a pump; None where the catalogue has none.

        The head at which nothing flows is on the line through its last two points; where the first point is
        not at no head, so is the flow there.
        """
        from scipy.interpolate import PchipInterpolator

        if len(pump.curve) < 2:
            return None
        points = [(litres * LITRE_AN_HOUR, head) for head, litres in pump.curve]
        points = [*_to_no_head(points[0], points[1]), *points, _to_no_flow(points[-2], points[-1])]
        flows, heads = zip(*reversed(points), strict=True)
        return cls(flows, heads, PchipInterpolator(flows, heads))

    @property
    def open_flow(self) -> float:
        """With nothing to lift, mm3/s."""
        return self.flows[-1]

    @property
    def shut_off(self) -> float:
        """The head at which nothing flows any more, mm."""
        return self.heads[0]


def _to_no_flow(before: tuple[float, float], last: tuple[float, float]) -> tuple[float, float]:
    """Where the line through two points (flow, head) meets no flow."""
    (q0, h0), (q1, h1) = before, last
    return 0.0, h1 + q1 * (h1 - h0) / (q0 - q1)


def _to_no_head(first: tuple[float, float], after: tuple[float, float]) -> list[tuple[float, float]]:
    """Where the line through two points (flow, head) meets no head; nothing where the first is there."""
    (q0, h0), (q1, h1) = first, after
    return [] if h0 <= 0.0 else [(q0 + h0 * (q0 - q1) / (h1 - h0), 0.0)]


@dataclass(frozen=True)
class Operating:
    """Where a pump works on its line.

    Attributes:
        flow: mm3/s.
        head: that it works against, mm: what it lifts and what is lost.
        static: what it lifts, mm.
        speed: greatest in any hose of the line, mm/s.
    """

    flow: float
    head: float
    static: float
    speed: float


def operating_point(curve: PumpCurve, static: float, stretches: Sequence[Stretch]) -> Operating | None:
    """Where curve and line meet; None where the pump cannot lift so high.

    Args:
        curve: of the pump.
        static: from the water it takes to the highest place it lifts it to, mm; below nought it runs by
            itself, and no more is told than the pump's open flow.
        stretches: all hose of the line.
    """
    from scipy.optimize import brentq

    if static >= curve.shut_off:
        return None

    def over(flow: float) -> float:
        return float(curve.head_at(flow)) - static - head_lost(stretches, flow)

    most = curve.open_flow
    flow = most if over(most) >= 0.0 else float(brentq(over, 0.0, most, xtol=1.0))
    speed = max((stretch.speed(flow) for stretch in stretches), default=0.0)
    return Operating(flow, static + head_lost(stretches, flow), static, speed)


def rated_flow(pump: Pump) -> float | None:
    """With nothing to lift as it is sold, mm3/s; None where the catalogue does not tell."""
    if pump.flow is not None:
        return pump.flow * LITRE_AN_HOUR
    return float(np.max([litres for _, litres in pump.curve])) * LITRE_AN_HOUR if pump.curve else None
