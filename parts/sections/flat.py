"""Flat bar."""

from __future__ import annotations

import math

from parts.alloy import Alloy
from parts.outline import Loop
from parts.section import Section
from parts.sections.checks import positive


def flat_bar(name: str, width: float, thickness: float, alloy: Alloy) -> Section:
    """A solid bar lying flat: `width` along y, `thickness` along z, mm, with sharp edges.

    Raises:
        ValueError: a size is not positive.
    """
    positive(name, width=width, thickness=thickness)
    outer = Loop.rectangle(width, thickness)
    return Section(
        name, "flat", width, thickness, thickness, 0.0, alloy, outer, (), solid_torsion(width, thickness)
    )


def solid_torsion(a: float, b: float) -> float:
    """Torsion constant of a solid rectangle, mm4, by Saint-Venant's series (Timoshenko and Goodier)."""
    long, short = max(a, b), min(a, b)
    series = sum(math.tanh(n * math.pi * long / (2 * short)) / n**5 for n in range(1, 40, 2))
    return long * short**3 / 3 * (1 - 192 * short / (math.pi**5 * long) * series)
