"""Most weight and persons for outboard boats under 20 ft: 33 CFR 183 Subpart C, in pounds as the rule is.

Formulas after 33 CFR 183.35, 183.37, 183.41 and 183.43; the rule itself, as it stands today, governs.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

ENOUGH = 550.0
"""Pounds of persons from which no weight need be put along the side in a test."""


@dataclass(frozen=True)
class Loading:
    """What may be put into a boat, lb.

    Attributes:
        displacement: most that she displaces with no water coming in.
        boat: her own weight, permanent tanks full, without the motor.
        weight: of persons, motor and gear together.
        equipment: motor, controls, battery and portable tank taken off it for the persons.
        persons_weight: of persons; None where it hangs on a test that was not made.
        persons: how many; None as above.
        needs_test: whether the rule asks for weight along one side in the water.
    """

    displacement: float
    boat: float
    weight: float
    equipment: float
    persons_weight: float | None
    persons: int | None
    needs_test: bool


def persons_of(weight: float) -> int:
    """Persons for a weight, lb: (P + 32) / 141 to the nearest whole, a half going up."""
    return max(0, math.floor((weight + 32.0) / 141.0 + 0.5))


def outboard_loading(
    displacement: float, boat: float, equipment: float, side_weight: float | None = None
) -> Loading:
    """Outboards over 2 hp: W = (D - boat) / 5; persons by what is left of it beside the equipment.

    Args:
        displacement: D, lb.
        boat: lb.
        equipment: motor and controls, dry battery, full portable tank, lb.
        side_weight: A, put along one side until water is about to come in, lb; persons are at most A / 0.6
            where the rest comes to less than 550 lb.
    """
    weight = max(0.0, (displacement - boat) / 5.0)
    left = max(0.0, weight - equipment)
    needs_test = left < ENOUGH
    persons_weight: float | None = left
    if needs_test:
        persons_weight = None if side_weight is None else min(left, side_weight / 0.6)
    persons = None if persons_weight is None else persons_of(persons_weight)
    return Loading(displacement, boat, weight, equipment, persons_weight, persons, needs_test)


def small_motor_loading(displacement: float, boat: float, has_motor: bool) -> Loading:
    """Boats rowed, or with 2 hp or less: W = 0.3 (D - boat); persons 0.9 W, less 25 lb for a motor."""
    weight = max(0.0, 0.3 * (displacement - boat))
    persons_weight = max(0.0, 0.9 * weight - (25.0 if has_motor else 0.0))
    equipment = weight - persons_weight
    return Loading(displacement, boat, weight, equipment, persons_weight, persons_of(persons_weight), False)


def five_stations(length: float, areas: tuple[float, float, float, float, float]) -> float:
    """Volume by Simpson's first rule from the areas at five even stations, ends included."""
    a, b, c, d, e = areas
    return length / 12.0 * (a + 4.0 * b + 2.0 * c + 4.0 * d + e)
