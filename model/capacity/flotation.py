"""Flotation foam for outboard boats over 2 hp under 20 ft: level flotation, in pounds and cubic feet.

Formulas after the Coast Guard's handbook for boatbuilders on 33 CFR 183 Subpart G, which always meets and
often exceeds the rule. Only a test in the water shows that a boat meets it.
"""

from __future__ import annotations

from dataclasses import dataclass

WATER = 62.4
"""Fresh water, lb/ft3, as the handbook has it."""
ALUMINIUM = 0.63
"""Part of its dry weight that aluminium keeps under water, 1 - 1/SG (the guideline's figure, from memory)."""


@dataclass(frozen=True)
class Flotation:
    """Foam needed, ft3: for hull and structure, for motor and battery, for persons and gear."""

    structure: float
    machinery: float
    persons: float

    @property
    def total(self) -> float:
        """All of it, ft3."""
        return self.structure + self.machinery + self.persons


def submerged_weight(weight: float, gravity: float) -> float:
    """What a dry weight weighs under fresh water, by its specific gravity; below zero where it floats."""
    return weight * (1.0 - 1.0 / gravity)


def foam_lift(density: float) -> float:
    """What a cubic foot of foam lifts, lb, by its density in lb/ft3."""
    return WATER - density


def level_flotation(
    structure: float, machinery: float, persons: float, capacity: float, lift: float
) -> Flotation:
    """Foam for level flotation.

    Args:
        structure: what hull, decks and fittings weigh swamped, lb.
        machinery: swamped motor and submerged battery, lb.
        persons: marked persons capacity, lb.
        capacity: marked weight capacity less motor, battery and tank, lb.
        lift: of a cubic foot of foam, lb.
    """
    gear = max(0.0, max(0.0, capacity) - persons)
    carried = 0.5 * min(persons, 550.0) + 0.125 * max(persons - 550.0, 0.0) + 0.25 * gear
    return Flotation(structure / lift, machinery / lift, carried / lift)


def basic_flotation_weight(persons: float, weight: float) -> float:
    """What a swamped boat must bear by the law's basic rule, 33 CFR 183.105, lb submerged."""
    return 2.0 / 15.0 * persons + 0.25 * (weight - persons)
