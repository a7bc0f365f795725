"""Hat channel: a crown on two upright webs, with a flange out to each side."""

from __future__ import annotations

from parts.alloy import Alloy
from parts.outline import Loop
from parts.section import Section
from parts.sections.checks import positive, radius_fits, thinner


def hat_channel(
    name: str, width: float, height: float, wall: float, crown: float, alloy: Alloy, radius: float = 0.0
) -> Section:
    """A hat standing on its flanges (low z), crown up, symmetrical about z, mm.

    Args:
        name: its name in the catalogue.
        width: over both flanges.
        height: from under the flanges to the top of the crown.
        wall: thickness of the sheet.
        crown: outside width of the crown, over the webs.
        alloy: what it is made of.
        radius: outside radius of the four bends; the inside one is less by the wall, or sharp.

    Raises:
        ValueError: a size is not positive, the crown is as wide as the whole, the wall fills the
            hollow, the radius does not fit.
    """
    positive(name, width=width, height=height, wall=wall, crown=crown)
    if not crown < width:
        raise ValueError(f"{name}: the crown is {crown:g} mm; it must be under the whole width, {width:g} mm")
    thinner(name, wall, min(crown, height) / 2, "half of the crown or of the height")
    inner = max(radius - wall, 0.0)
    room = min((width - crown) / 2 + wall, crown / 2, height / 2)
    radius_fits(name, radius, room, "what flange, web and crown leave room for")
    w, h, c, t = width / 2, height / 2, crown / 2, wall
    right = [(c - t, h - t), (c - t, -h), (w, -h), (w, t - h), (c, t - h), (c, h)]
    rounding = [inner, radius, 0.0, 0.0, inner, radius]
    left = [(-y, z) for y, z in reversed(right)]
    outer = Loop.rounded([*right, *left], [*rounding, *reversed(rounding)])
    return Section(name, "hat", width, height, wall, radius, alloy, outer, (), outer.area * wall**2 / 3)
