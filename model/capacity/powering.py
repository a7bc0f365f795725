"""Greatest horsepower for outboard boats under 20 ft: 33 CFR 183.53, in feet as the rule is."""

from __future__ import annotations

import math
from dataclasses import dataclass

STEPS = ((35, 3.0), (39, 5.0), (42, 7.5), (45, 10.0), (52, 15.0))
"""Greatest factor, to the nearest whole, of each step and its horsepower."""
TALL = 20.0
"""Inches of transom from which, with remote steering, the full formula holds."""


@dataclass(frozen=True)
class Powering:
    """The factor length times transom width, ft2, and the horsepower it gives, raised to a multiple of 5."""

    factor: float
    formula: float
    power: float


def greatest_power(length: float, transom: float, remote: bool, height: float, hard_chine: bool) -> Powering:
    """The greatest horsepower.

    Args:
        length: overall, ft.
        transom: its greatest width, ft.
        remote: whether she is steered from a wheel.
        height: of the transom where the motor hangs, in.
        hard_chine: whether she has a flat bottom with a hard chine.
    """
    factor = length * transom
    whole = math.floor(factor + 0.5)
    if factor <= 52.5:
        at = next(i for i, (most, _) in enumerate(STEPS) if whole <= most or most == STEPS[-1][0])
        power = STEPS[max(0, at - 1) if hard_chine else at][1]
        return Powering(factor, power, power)
    if remote and height >= TALL - 1e-9:
        found = 2.0 * factor - 90.0
    elif hard_chine:
        found = 0.5 * factor - 15.0
    else:
        found = 0.8 * factor - 25.0
    return Powering(factor, found, 5.0 * math.ceil(found / 5.0 - 1e-9))
