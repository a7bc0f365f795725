"""Scale readings to mass and centre: each scale bears its part of what stands on all of them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from model.geometry import Array

APART = 50.0
"""Scales nearer to each other than this, mm, cannot tell where the centre is."""


class BadScalesError(ValueError):
    """Readings that no boat can give: `wrong` and what would be `right`."""

    def __init__(self, wrong: str, right: str) -> None:
        super().__init__(f"{wrong}; {right}")
        self.wrong, self.right = wrong, right


def weighed(places: Array, readings: Sequence[float], trailer: Sequence[float]) -> tuple[float, Array]:
    """Mass, kg, and centre in plan, `(2,) float`, mm, of what stands on some scales.

    By moments: the mass is the sum of the readings, the centre their mean weighed by them. A reading less
    that of the empty trailer may be below zero where the boat's centre lies aft of the axle.

    Args:
        places: of the scales, `(n, 2) float`, mm.
        readings: with the boat, kg.
        trailer: without it, kg; noughts where there was none.

    Raises:
        BadScalesError: fewer than two scales, all of them in one place, or less with the boat than without.
    """
    if len(readings) < 2:
        raise BadScalesError(
            "one scale does not tell where the centre is", "give two readings or more, apart along the boat"
        )
    if float(np.ptp(places[:, 0])) < APART:
        raise BadScalesError(
            "all scales stand at one station", "set one under the bow and one under the stern"
        )
    net = np.array(readings) - np.array(trailer)
    mass = float(net.sum())
    if mass <= 0.0:
        raise BadScalesError(
            "the scales read no more with the boat than without it", "exchange `reads` and `trailer`"
        )
    return mass, net @ places / mass
