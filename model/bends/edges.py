"""Which edges of a flat piece are meant: those on one side of it, or those of an opening."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from model.geometry import FORWARD, PORT, UP, Array
from model.panel_sameness import tidied
from parts.outline import Loop

if TYPE_CHECKING:
    from model.panel import Panel

LOOKS: dict[str, Array] = {
    "upper": UP, "lower": -UP, "forward": FORWARD, "aft": -FORWARD, "port": PORT, "starboard": -PORT,
}  # fmt: skip
"""The sides of a piece as it stands, and which way their edges look."""

WITHIN = math.cos(math.radians(30.0))
"""An edge is on a side when it looks that way to within 30 degrees."""

SHORTEST = 12.0
"""Edges shorter than this are corners and steps, not sides, mm."""

_SHALLOW = math.tan(math.radians(90.0) / 4.0)
"""An arc that turns by this or more is a notch or a rounded corner; its bulge."""

Span = tuple[Array, Array]
"""Start and end of an edge on the face, metal on the left hand."""


class CurvedEdgeError(ValueError):
    """A side of several edges that bend into each other; a brake bends along one straight line."""


@dataclass(frozen=True, eq=False, slots=True)
class _Edges:
    """The edges of a loop, walked with the metal on the left: which are straight, and which way they look."""

    loop: Loop
    straight: Sequence[bool]
    look: Array

    @classmethod
    def of(cls, loop: Loop, panel: Panel) -> _Edges:
        ahead = np.roll(loop.points, -1, axis=0) - loop.points
        length = np.hypot(ahead[:, 0], ahead[:, 1])
        out = np.stack([ahead[:, 1], -ahead[:, 0]], axis=1) / length[:, None]
        straight = (loop.bulges == 0) & (length >= SHORTEST)
        return cls(loop, straight.tolist(), out @ panel.frame.axes[:2])

    def span(self, i: int) -> Span:
        """Edge i."""
        return self.loop.points[i], self.loop.points[(i + 1) % len(self.loop.points)]


def edges_looking(panel: Panel, side: str) -> list[Span]:
    """The straight edges of a piece's outline on one side of it, a key of `LOOKS`; there may be none.

    Raises:
        CurvedEdgeError: that side is curved, or has a corner in it.
    """
    edges = _Edges.of(tidied(panel.outline.ccw()), panel)
    # the chord of a notch looks as the edge does that it is cut into
    faces = (edges.look @ LOOKS[side] >= WITHIN) & (np.abs(edges.loop.bulges) < _SHALLOW)
    chosen = [i for i in range(len(faces)) if faces[i] and edges.straight[i]]
    around = len(faces)
    if any(faces[i - 1] or faces[(i + 1) % around] for i in chosen) or (faces.any() and not chosen):
        raise CurvedEdgeError(side)
    return [edges.span(i) for i in chosen]


def sides_of(panel: Panel) -> list[str]:
    """The sides of a piece that have straight edges."""
    found = []
    for side in LOOKS:
        try:
            found += [side] if edges_looking(panel, side) else []
        except CurvedEdgeError:
            continue
    return found


def edges_of_hole(panel: Panel, opening: shapely.Polygon) -> list[Span] | None:
    """The straight edges of the hole that an opening made in a piece; None where it is not whole in it."""
    hole = hole_of(panel, opening)
    if hole is None:
        return None
    edges = _Edges.of(tidied(hole.ccw()).cw(), panel)
    return [edges.span(i) for i in range(len(edges.straight)) if edges.straight[i]]


def hole_of(panel: Panel, opening: shapely.Polygon) -> Loop | None:
    """The hole of a piece over an opening of its plane."""
    middle = shapely.get_coordinates(opening.centroid)[0]
    for hole in panel.holes:
        near = float(np.hypot(*(hole.centroid - middle))) < 1.0
        if near and abs(abs(hole.area) - opening.area) < 0.01 * opening.area:
            return hole
    return None
