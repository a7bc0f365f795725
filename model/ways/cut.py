"""The holes of passages: cut into sheet, drilled through tube."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from model.geometry import UP, Array, cross
from model.hole import Hole
from model.member import Member
from model.panel import Panel
from model.ways.passages import Passage
from parts.outline import Loop

LEAST_EDGE = 5.0
"""Metal left between a hole and an edge, mm; nearer than that it is not cut, and told as a finding."""

SHARE = 0.5
"""Most of the face of a tube that a hole may take: common practice."""

ROUNDED = 3.0
"""Corner radius of square holes, mm."""


@dataclass(frozen=True, eq=False)
class _Met:
    """Where a passage goes through a plane: the point there and the way it goes."""

    at: Array
    way: Array


def with_holes(panels: Sequence[Panel], passages: Sequence[Passage]) -> tuple[Panel, ...]:
    """The panels with the holes of the passages that are said to go through them."""
    named = {name for passage in passages for name in passage.through}
    return tuple(_holed(panel, passages) if panel.name in named else panel for panel in panels)


def _holed(panel: Panel, passages: Sequence[Passage]) -> Panel:
    for passage in passages:
        hole = hole_in(panel, passage) if panel.name in passage.through else None
        panel = panel if hole is None else replace(panel, holes=(*panel.holes, hole))
    return panel


def hole_in(panel: Panel, passage: Passage) -> Loop | None:
    """The hole of a passage in a panel's plane; None where it misses the sheet or its edge is too near."""
    met = _met(panel, passage)
    if met is None:
        return None
    hole = _outline(panel, passage, met)
    room = panel.polygon.buffer(-LEAST_EDGE)
    return hole if room.contains(hole.to_shapely()) else None


def is_cut(panel: Panel, passage: Passage) -> bool:
    """Whether a panel has the hole of a passage."""
    met = _met(panel, passage)
    if met is None:
        return False
    middle = panel.frame.to_frame(met.at)[:2]
    return any(float(np.hypot(*(hole.centroid - middle))) < 1.0 for hole in panel.holes)


def _met(panel: Panel, passage: Passage) -> _Met | None:
    """Where a passage goes through the middle of a sheet."""
    height = panel.frame.to_frame(passage.points)[:, 2] + panel.sheet.thickness / 2.0
    for k in range(len(height) - 1):
        if height[k] * height[k + 1] < 0.0:
            share = height[k] / (height[k] - height[k + 1])
            way = passage.points[k + 1] - passage.points[k]
            return _Met(passage.points[k] + share * way, way)
    return None


def _outline(panel: Panel, passage: Passage, met: _Met) -> Loop:
    """Round, or as wide as the passage the level way; square to the sheet whichever way the passage leans."""
    x, y = panel.frame.to_frame(met.at)[:2].tolist()
    if passage.round:
        return Loop.circle(passage.width, (x, y))
    level = cross(UP, panel.frame.z)
    if float(level @ level) < 1e-6:
        level = np.array([0.0, 1.0, 0.0])  # in a deck the width is athwart
    angle = float(np.arctan2(level @ panel.frame.y, level @ panel.frame.x))
    return Loop.rectangle(passage.width, passage.height, ROUNDED).turned(angle).moved(x, y)


def with_drillings(members: Sequence[Member], passages: Sequence[Passage]) -> tuple[Member, ...]:
    """The members with the holes of the passages that are said to go through them."""
    named = {name for passage in passages for name in passage.through}
    return tuple(_drilled(member, passages) if member.name in named else member for member in members)


def _drilled(member: Member, passages: Sequence[Passage]) -> Member:
    for passage in passages:
        hole = drilling(member, passage) if member.name in passage.through else None
        member = member if hole is None else replace(member, holes=(*member.holes, hole))
    return member


def drilling(member: Member, passage: Passage) -> Hole | None:
    """The hole of a round passage in a tube; None where it would take too much, or misses the tube."""
    if not passage.round or member.section.is_round:
        return None
    points = member.frame.to_frame(passage.points)
    for axis, runs, face in ((1, "width", member.section.height), (2, "height", member.section.width)):
        off = 2 if axis == 1 else 1
        for a, b in pairwise(points):
            if a[axis] * b[axis] >= 0.0 or abs(b[axis] - a[axis]) < 0.9 * float(np.sqrt((b - a) @ (b - a))):
                continue
            at = a + a[axis] / (a[axis] - b[axis]) * (b - a)
            hole = Hole(float(at[0]), float(at[off]), "width" if runs == "width" else "height", passage.width)
            near, far = float(member.prism.near_short[0]), float(member.prism.far_short[0])
            inside = near + passage.width < hole.along < far - passage.width
            if inside and hole.fits(member.section) and passage.width <= SHARE * face:
                return hole
    return None
