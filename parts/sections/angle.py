"""Angle: two legs at a right angle."""

from __future__ import annotations

from parts.alloy import Alloy
from parts.outline import Loop
from parts.section import Section
from parts.sections.checks import positive, radius_fits, thinner


def angle(name: str, width: float, height: float, wall: float, alloy: Alloy, radius: float = 0.0) -> Section:
    """An angle with its heel at low y, low z: one leg along y (`width`), one along z (`height`), mm.

    Args:
        name: its name in the catalogue.
        width: outside length of the leg along y.
        height: outside length of the leg along z.
        wall: thickness of both legs.
        alloy: what it is made of.
        radius: outside radius of the heel; the inside one is less by the wall, or sharp.

    Raises:
        ValueError: a size is not positive, the wall is no thinner than a leg is long, the radius
            does not fit.
    """
    positive(name, width=width, height=height, wall=wall)
    shorter = min(width, height)
    thinner(name, wall, shorter, "the shorter leg")
    radius_fits(name, radius, shorter, "the shorter leg")
    y, z = width / 2, height / 2
    corners = [(-y, -z), (y, -z), (y, wall - z), (wall - y, wall - z), (wall - y, z), (-y, z)]
    outer = Loop.rounded(corners, [radius, 0.0, 0.0, max(radius - wall, 0.0), 0.0, 0.0])
    # Open thin wall: the sum of b t^3 / 3 along the middle line, whose length is area / t.
    return Section(name, "angle", width, height, wall, radius, alloy, outer, (), outer.area * wall**2 / 3)
