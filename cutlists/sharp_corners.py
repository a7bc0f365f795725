"""Members as they are drawn: corner radii too small to see are left sharp, so that a tube has clear edges."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np

from model.member import Member
from parts.outline import Loop
from parts.section import Section

SMALL = 12.0
"""Arcs up to this radius become corners, mm."""
WIDEST = np.tan(np.radians(100.0) / 4.0)
"""Bulge above which an arc is part of the shape (a half circle) and no corner."""


def sharp_loop(loop: Loop) -> Loop:
    """The loop with each small arc replaced by the corner where the lines tangent at its ends meet."""
    ahead = np.roll(loop.points, -1, axis=0) - loop.points
    chord = np.hypot(ahead[:, 0], ahead[:, 1])
    size = np.abs(loop.bulges)
    radius = chord * (1.0 + size**2) / (4.0 * np.where(size > 0.0, size, np.inf))
    corner = (size > 0.0) & (size <= WIDEST) & (radius <= SMALL)
    if not corner.any():
        return loop
    # The tangents meet over the middle of the chord, tan(angle / 2) / 2 of its length away.
    lift = np.tan(2.0 * np.arctan(loop.bulges)) / 2.0
    meeting = loop.points + ahead / 2.0 + lift[:, None] * np.column_stack([ahead[:, 1], -ahead[:, 0]])
    points, bulges = [], []
    for i in range(len(loop.points)):
        if corner[i]:
            points.append(meeting[i])
            bulges.append(0.0)
        elif not corner[i - 1]:
            points.append(loop.points[i])
            bulges.append(float(loop.bulges[i]))
        elif loop.bulges[i] != 0.0:
            # A true arc after a corner keeps its own start.
            points.append(loop.points[i])
            bulges.append(float(loop.bulges[i]))
    return Loop(np.array(points), np.array(bulges)) if len(points) > 2 else loop


@lru_cache(maxsize=512)
def sharp_section(section: Section) -> Section:
    """The section for drawing; the very same object where it has no small arcs."""
    outer = sharp_loop(section.outer)
    holes = tuple(sharp_loop(hole) for hole in section.holes)
    if outer is section.outer and all(a is b for a, b in zip(holes, section.holes, strict=True)):
        return section
    return replace(section, outer=outer, holes=holes)


def sharp_member(member: Member) -> Member:
    """The member for drawing; the very same object where its section has no small arcs."""
    section = sharp_section(member.section)
    return member if section is member.section else replace(member, section=section)
