"""Masses, lengths and angles as a sheet shows them: in the boat's units, short enough for a column."""

from __future__ import annotations

import math

from parts.amounts import POUND, format_mass

INCH = 25.4
CUBIC_FOOT = 28.316846592
"""Litres of a cubic foot."""


class Measures:
    """Writes numbers for one boat."""

    def __init__(self, units: str) -> None:
        """Measures in inches and pounds for boats in inches or feet, else in millimetres and kilograms."""
        self.units = units
        self.inches = units in ("in", "ft")

    def mass(self, kilograms: float) -> str:
        """A mass."""
        return format_mass(kilograms, self.units)

    def pounds(self, pounds: float) -> str:
        """A mass that a rule gives in pounds."""
        return f"{pounds:.0f} lb" if self.inches else f"{pounds * POUND:.0f} kg ({pounds:.0f} lb)"

    def length(self, mm: float) -> str:
        """A length to a tenth of an inch, or a whole millimetre: no tape reads the water closer."""
        return f"{round(mm / INCH, 1) + 0.0:.1f} in" if self.inches else f"{round(mm) + 0.0:.0f} mm"

    def cubic_feet(self, feet: float) -> str:
        """A volume that a rule gives in cubic feet."""
        return f"{feet:.1f} ft3" if self.inches else f"{feet * CUBIC_FOOT:.0f} L ({feet:.1f} ft3)"

    def force(self, newtons: float) -> str:
        """A force."""
        return f"{newtons / 4.4482216152605:.0f} lbf" if self.inches else f"{newtons:.0f} N"

    @staticmethod
    def degrees(radians: float) -> str:
        """An angle."""
        return f"{round(math.degrees(radians), 1) + 0.0:.1f}"
