"""What is asked of heights that a body meets."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class HeightLimits:
    """What a shop asks of heights, mm; None asks nothing. The usual ones are common practice.

    Attributes:
        gunwale: least height of the gunwale over a deck.
        step: greatest rise from one deck to the next.
        seat_low, seat_high: cushion over the floor before it.
        knees: least level room before a cushion.
        locker: least height inside a locker.
    """

    gunwale: float | None = 50.8
    step: float | None = 355.6
    seat_low: float | None = 254.0
    seat_high: float | None = 762.0
    knees: float | None = 203.2
    locker: float | None = 76.2
