"""Rectangular and square tube."""

from __future__ import annotations

import math

from parts.alloy import Alloy
from parts.outline import Loop
from parts.section import Section
from parts.sections.checks import positive, radius_fits, thinner


def rect_tube(
    name: str, width: float, height: float, wall: float, alloy: Alloy, radius: float = 0.0
) -> Section:
    """A rectangular tube `width` across y and `height` across z, mm, of even wall.

    Args:
        name: its name in the catalogue.
        width: outside size along y.
        height: outside size along z.
        wall: thickness; less than half of the shorter side.
        alloy: what it is made of.
        radius: outside corner radius; 0 (sharp) is the habit of extruded tube, drawn and rolled tube
            is rounded. The bore's radius is the outside one less the wall, or sharp.

    Raises:
        ValueError: a size is not positive, the wall closes the bore, the radius does not fit.

    Example:
        >>> rect_tube("2 x 1 x 1/8", 25.4, 50.8, 3.175, alloy).area  # 0.6875 in2
        443.5475
    """
    positive(name, width=width, height=height, wall=wall)
    shorter = min(width, height)
    thinner(name, wall, shorter / 2, "half of the shorter side")
    radius_fits(name, radius, shorter / 2, "half of the shorter side")
    inner = max(radius - wall, 0.0)
    bore = Loop.rectangle(width - 2 * wall, height - 2 * wall, inner)
    outside = Loop.rectangle(width, height, radius)
    torsion = _torsion(width, height, wall, radius, inner)
    return Section(name, "rect", width, height, wall, radius, alloy, outside, (bore,), torsion)


def square_tube(name: str, side: float, wall: float, alloy: Alloy, radius: float = 0.0) -> Section:
    """A square tube, mm; otherwise as `rect_tube`."""
    return rect_tube(name, side, side, wall, alloy, radius)


def _torsion(width: float, height: float, wall: float, radius: float, inner: float) -> float:
    """Torsion constant, mm4: Bredt's closed thin wall on the wall's middle line.

    Sharp tube: 4 Am^2 t / s alone. Rounded tube: with the middle line's corner arcs and the open
    wall's t^3 p / 3 added, as EN 10219-2 annex B reckons it.
    """
    middle = (radius + inner) / 2
    around = 2 * (width + height - 2 * wall) - 2 * middle * (4 - math.pi)
    enclosed = (width - wall) * (height - wall) - middle**2 * (4 - math.pi)
    closed = 4 * enclosed**2 * wall / around
    return closed if radius == 0 else closed + wall**3 * around / 3
