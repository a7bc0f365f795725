"""Fuses and breakers: standard ratings, which one goes with a conductor, how far from the source it may be.

33 CFR 183.455: under 50 V a rating of at most 150 % of Table 5, from 50 V at most Table 5 or, where no
standard size fits, the next larger one within 150 %; at the source of power, or within 7 in of it along the
conductor, or within 40 in where all of that is in a sheath or enclosure. 33 CFR 183.460 (from memory): within
72 in of a battery.
"""

from __future__ import annotations

from model.electrics.conductors import RULED_VOLTS

INCH = 25.4
BARE, SHEATHED, BATTERY = 7.0 * INCH, 40.0 * INCH, 72.0 * INCH
"""Most conductor between a source and its protection, mm."""

RATINGS = (
    1.0, 2.0, 3.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 100.0, 125.0, 150.0,
    175.0, 200.0, 225.0, 250.0, 300.0, 350.0, 400.0, 500.0,
)  # fmt: skip
"""Of fuses as they are sold, A (common practice)."""

LEAST_OF_CHOICE = 3.0
"""Thinner fuses are seldom on the shelf; none smaller is chosen (common practice)."""

SHARE = 1.5
"""183.455(b): of Table 5, under 50 V."""


def most_rating(carries: float, volts: float) -> float:
    """The greatest rating that protects a conductor, A.

    Args:
        carries: its ampacity as laid. Held against the factored value, which is the safe reading of the rule.
        volts: of the circuit.
    """
    if volts < RULED_VOLTS:
        return SHARE * carries
    within = [rating for rating in RATINGS if rating <= carries]
    if within and within[-1] == carries:
        return carries
    larger = next((rating for rating in RATINGS if rating > carries), carries)
    return larger if larger <= SHARE * carries else carries


def rating_for(amps: float, margin: float, above: float = 0.0) -> float | None:
    """The least standard rating of at least `margin` times the current and above another; None if none is."""
    wanted = max(amps * margin, LEAST_OF_CHOICE)
    return next((rating for rating in RATINGS if rating >= wanted - 1e-9 and rating > above), None)


def most_away(from_battery: bool, sheathed: bool) -> tuple[float, str]:
    """How far along the conductor a fuse may be from its source, mm, and by which text."""
    if from_battery:
        return BATTERY, "33 CFR 183.460, 72 in of a battery"
    if sheathed:
        return SHEATHED, "33 CFR 183.455, 40 in in a sheath"
    return BARE, "33 CFR 183.455, 7 in"
