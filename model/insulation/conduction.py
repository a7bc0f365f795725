"""Conduction through the walls of a box by shape factors: Q = k S (T1 - T2), S in metres.

A flat wall has S = A / L. Edges and corners, measured from the inside, add to it; the classic tables
(Langmuir, Adams and Meikle 1913) have 0.54 times its length for the edge of two walls of one thickness and
0.15 times the thickness for a corner, where the inside is wider than a fifth of the thickness.
For an edge of walls of unlike thickness a, b the exact factor follows from the conformal map of an L-shaped
strip, as in P. M. Hall, Resistance calculations for thin film patterns (1967), from memory and held in the
tests against a solution by finite differences: with r = b / a,
1/r - (2/pi) ln(4 r / (r^2 + 1)) + (r^2 - 1) / (pi r) arccos((r^2 - 1) / (r^2 + 1)); for r = 1 it is 0.559.
"""

from __future__ import annotations

import math

CORNER = 0.15
"""Of a corner of three walls, times their thickness."""


def edge_factor(first: float, second: float) -> float:
    """What an edge of two walls at right angles adds, for a unit of its inside length.

    Args:
        first: thickness of one wall, above zero.
        second: of the other, in the same unit.

    Raises:
        ValueError: a wall has no thickness.
    """
    if not (first > 0.0 and second > 0.0):
        raise ValueError(f"an edge needs two walls with thickness, got {first:g} and {second:g}")
    r = second / first
    square = r * r
    return (
        1.0 / r
        - 2.0 / math.pi * math.log(4.0 * r / (square + 1.0))
        + (square - 1.0) / (math.pi * r) * math.acos((square - 1.0) / (square + 1.0))
    )


def cuboid_factor(
    sides: tuple[float, float, float], walls: tuple[float, float, float, float, float, float]
) -> float:
    """Shape factor of a whole box, m.

    Args:
        sides: inside, m.
        walls: thickness of the two walls square to each side, in the order of `sides`, m.
    """
    pairs = (walls[0:2], walls[2:4], walls[4:6])
    total = 0.0
    for k in range(3):
        i, j = (k + 1) % 3, (k + 2) % 3
        total += sum(sides[i] * sides[j] / wall for wall in pairs[k])
        total += sum(sides[k] * edge_factor(a, b) for a in pairs[i] for b in pairs[j])
    corners = [(a, b, c) for a in pairs[0] for b in pairs[1] for c in pairs[2]]
    return total + sum(CORNER * sum(three) / 3.0 for three in corners)


def in_series(*conductances: float) -> float:
    """Conductance of several one after the other; 0 where one of them passes nothing."""
    return 0.0 if min(conductances) <= 0.0 else 1.0 / sum(1.0 / own for own in conductances)
