"""Bending sheet: allowance, setback and deduction of a bend, least inside radii, and a shop's own numbers.

A bend turns the sheet by an angle from flat (not the angle that is left between its sides). Its outside
mould line is where the two outer faces would meet were the corner sharp; flanges are measured from there.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from parts.sheet import Sheet

INCH = 25.4

K_FACTOR = 0.447
"""Depth of the neutral axis over the thickness where no test bend was made; the shop form
BA = (0.01743 R + 0.0078 T) A, A in degrees (sheetmetalworkbook.com/90bends.htm)."""

GREATEST_K = 0.5
"""The neutral axis of a bend never lies beyond the middle of the sheet (catia-begin.blogspot.com, 2009)."""

COLUMNS = tuple(INCH * part for part in (1 / 64, 1 / 32, 1 / 16, 1 / 8, 3 / 16, 1 / 4, 3 / 8, 1 / 2))
"""Thicknesses of `LEAST_RADIUS`, mm."""

LEAST_RADIUS: Mapping[str, tuple[float, ...]] = {
    "5052-O": (0, 0, 0, 1 / 2, 1, 1, 3 / 2, 3 / 2),
    "5052-H32": (0, 0, 1, 3 / 2, 3 / 2, 3 / 2, 3 / 2, 2),
    "5052-H34": (0, 1, 3 / 2, 2, 2, 5 / 2, 5 / 2, 3),
    "6061-T4": (0, 0, 1, 3 / 2, 5 / 2, 3, 7 / 2, 4),
    "6061-T6": (1, 1, 3 / 2, 5 / 2, 3, 7 / 2, 9 / 2, 5),
}
"""Least inside radius of a cold bend of 90 degrees, as multiples of the thickness, by alloy and temper
(bjg-design.com/designbook/shbend.htm, a copy of the industry association's table)."""

_GAUGE = 1.01
"""Sheet of 0.063 in counts as 1/16 in: a gauge may exceed its column by a hundredth."""

PUNCH_STEP = INCH / 32
"""Punches come in radii this far apart, common practice."""

PUNCH = INCH / 2
"""Thickness of a plain straight punch, common practice; a necked one leaves more room."""


def least_radius(alloy: str, thickness: float) -> float | None:
    """The least inside radius of a cold bend, mm; None where the table has nothing for alloy or thickness.

    A thickness between two columns takes the thicker one's multiple.

    Args:
        alloy: with its temper, `5052-H32`.
        thickness: mm.
    """
    row = LEAST_RADIUS.get(alloy)
    column = next((i for i, most in enumerate(COLUMNS) if thickness <= most * _GAUGE), None)
    return None if row is None or column is None else row[column] * thickness


def bend_allowance(angle: float, radius: float, thickness: float, k: float) -> float:
    """Flat length that a bend takes up, mm: A (R + K T), A in rad."""
    return angle * (radius + k * thickness)


def setback(angle: float, radius: float, thickness: float) -> float:
    """From the outside mould line to where the bend begins, mm: (R + T) tan(A / 2)."""
    return (radius + thickness) * math.tan(angle / 2.0)


def bend_deduction(angle: float, radius: float, thickness: float, k: float) -> float:
    """What one bend takes off the sum of the outside flanges to give the flat length, mm: 2 OSSB - BA."""
    return 2.0 * setback(angle, radius, thickness) - bend_allowance(angle, radius, thickness, k)


def k_from_test(angle: float, radius: float, thickness: float, allowance: float) -> float:
    """The K factor that a test bend shows: BA / (A T) - R / T, A in rad."""
    return allowance / (angle * thickness) - radius / thickness


@dataclass(frozen=True)
class Bending:
    """How a shop bends sheet.

    Attributes:
        k_factor: where no test bend of the sheet was made.
        radii: inside radius by name of sheet, mm, where the shop has a punch of its choice.
        tested: K factor by name of sheet, from test bends.
        brake: the longest bend its brake makes, mm.
        relief: width of the notch beside a bend where metal runs on, mm; the sheet's thickness where None.
        punch: thickness of its punch, which stands upright over the bend, mm.
        flange: the lowest flange that it holds, outside, mm; None asks no more than the bend itself.

    Example:
        >>> Bending().k(sheet)  # no test bend
        0.447
    """

    k_factor: float = K_FACTOR
    radii: Mapping[str, float] = field(default_factory=dict)
    tested: Mapping[str, float] = field(default_factory=dict)
    brake: float = 2438.4
    relief: float | None = None
    punch: float = PUNCH
    flange: float | None = None

    def k(self, sheet: Sheet) -> float:
        """The K factor of a sheet."""
        return self.tested.get(sheet.name, self.k_factor)

    def radius(self, sheet: Sheet) -> float | None:
        """The inside radius that a sheet is bent to, mm: the shop's, or the least punch that may be used.

        None where neither the shop nor the table tells one.
        """
        if sheet.name in self.radii:
            return self.radii[sheet.name]
        least = least_radius(sheet.alloy.name, sheet.thickness)
        return None if least is None else math.ceil(least / PUNCH_STEP - 1e-6) * PUNCH_STEP

    def relief_width(self, sheet: Sheet) -> float:
        """Width of a relief notch, mm."""
        return sheet.thickness if self.relief is None else self.relief
