"""Round tube."""

from __future__ import annotations

import math

from parts.alloy import Alloy
from parts.outline import Loop
from parts.section import Section
from parts.sections.checks import positive, thinner


def round_tube(name: str, diameter: float, wall: float, alloy: Alloy) -> Section:
    """A round tube, mm; its torsion constant is exact, pi (D^4 - d^4) / 32.

    Raises:
        ValueError: a size is not positive or the wall closes the bore.

    Example:
        >>> round_tube("1 x 1/8", 25.4, 3.175, alloy).area
        221.7...
    """
    positive(name, diameter=diameter, wall=wall)
    thinner(name, wall, diameter / 2, "half of the diameter")
    bore = diameter - 2 * wall
    torsion = math.pi * (diameter**4 - bore**4) / 32
    holes = (Loop.circle(bore),)
    return Section(
        name, "round", diameter, diameter, wall, diameter / 2, alloy, Loop.circle(diameter), holes, torsion
    )
