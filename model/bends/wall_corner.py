"""A corner of two walls as a bend: one wall folded round it in place of the other, and the floor to suit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from model.bends.edges import Span
from model.geometry import Array
from parts.outline import Loop

if TYPE_CHECKING:
    from model.panel import Panel

SAME = 0.5
"""Edges and faces this near to where they should be are there, mm."""

_ALIKE = 1e-4
_BARELY = 1.0


class CornerError(ValueError):
    """Two walls that cannot be one bent piece; `wrong` and `right` tell of it."""

    def __init__(self, wrong: str, right: str) -> None:
        super().__init__(f"{wrong}; {right}")
        self.wrong, self.right = wrong, right


@dataclass(frozen=True, eq=False)
class WallCorner:
    """How one wall is bent round a corner to stand where another stood.

    Attributes:
        out: how far beyond its drawn edge the outside mould line of the bend lies, mm; below 0 within it.
        height: of the flange from there to the far edge of the other wall, outside, mm.
        angle: turn from flat, rad.
        up: whether it turns towards the wall's face.
        inner: where the inner faces of the two meet, in the boat, `(3,)`.
    """

    out: float
    height: float
    angle: float
    up: bool
    inner: Array


def corner_between(wall: Panel, span: Span, other: Panel) -> WallCorner:
    """The bend by which `wall`, folded at an edge of it, takes the place of `other`.

    Args:
        wall: an upright piece.
        span: its edge at the corner, metal on the left.
        other: the wall round the corner.

    Raises:
        CornerError: the other is no plain rectangle as high, of another sheet, or not round that corner.
    """
    _check_plain(wall, span, other)
    out = out_of(span) @ wall.frame.axes[:2]
    n1, n2 = wall.frame.z, other.frame.z
    far = other.frame.to_boat(other.outline.points)
    edge = wall.frame.to_boat(np.array(span)).mean(axis=0)
    away = far[np.argmax(np.linalg.norm(far - edge, axis=1))] - edge
    up = bool(away @ n1 > 0.0)
    t, sign = wall.sheet.thickness, 1.0 if up else -1.0
    # faces outside and inside the bend: the backs are outside where it turns towards the face
    outside, inside = (-t, 0.0) if up else (0.0, -t)
    met = [_meet(edge, out, n1, far[0], n2, depth) for depth in (outside, inside)]
    mould, inner = edge + met[0] * out + outside * n1, edge + met[1] * out + inside * n1
    leg = np.cross(n2, np.cross(out, n1))
    leg = leg if leg @ away > 0.0 else -leg
    angle = math.atan2(sign * float(leg @ n1), float(leg @ out))
    turned = math.cos(angle) * n1 - sign * math.sin(angle) * out
    if float(np.abs(turned - n2).max()) > _ALIKE:
        raise CornerError(f"{other.name} faces another way round that corner", "name the wall next to it")
    reach = (far - mould) @ leg
    if abs(float(reach.min())) > 2.0 * t * (1.0 + math.tan(abs(angle) / 2.0)) + SAME:
        raise CornerError(f"{other.name} does not stand at that edge", "name the wall that meets it there")
    return WallCorner(met[0], float(reach.max()), angle, up, inner)


def out_of(span: Span) -> Array:
    """The way out of the metal at an edge that has it on its left, unit `(2,)`."""
    x, y = ((span[1] - span[0]) / np.hypot(*(span[1] - span[0]))).tolist()
    return np.array([y, -x])


def _check_plain(wall: Panel, span: Span, other: Panel) -> None:
    """That the other wall is a plain rectangle over just the edge."""
    if other.sheet is not wall.sheet:
        raise CornerError(f"{other.name} is of other sheet, {other.sheet.name}", "give both one sheet")
    if other.holes:
        raise CornerError(f"{other.name} has holes, which a flange does not", "bend that wall round instead")
    low_x, low_y, high_x, high_y = other.outline.bounds
    if abs(abs(other.outline.area) - (high_x - low_x) * (high_y - low_y)) > _BARELY:
        raise CornerError(f"{other.name} is no plain rectangle", "only such a wall becomes a flange")
    heights = np.sort(wall.frame.to_boat(np.array(span))[:, 2])
    ends = np.sort([other.box[0, 2], other.box[1, 2]])
    if float(np.abs(heights - ends).max()) > SAME:
        raise CornerError(f"{other.name} is not as high as that edge", "only a wall as high becomes a flange")


def _meet(edge: Array, out: Array, n1: Array, far: Array, n2: Array, depth: float) -> float:
    """How far out beyond an edge the planes at one depth under two faces meet, mm."""
    slope = float(out @ n2)
    if abs(slope) < _ALIKE:
        raise CornerError("the two walls lie in one plane", "name the wall round the corner")
    return float((far + depth * n2 - edge - depth * n1) @ n2) / slope


def with_edge_moved(wall: Panel, span: Span, out: float) -> Panel:
    """The wall with one edge moved outward by `out` mm."""
    step = out * out_of(span)
    points = wall.outline.points.copy()
    for end in span:
        points[np.hypot(*(points - end).T) < SAME] += step
    return replace(wall, outline=Loop(points, wall.outline.bulges))


def with_corners_rounded(floor: Panel, corners: Sequence[tuple[WallCorner, float]]) -> Panel:
    """A floor with those corners rounded that a wall is bent round, each with its radius, mm."""
    points = floor.outline.points
    here = floor.frame.to_boat(points)[:, :2]
    radii = np.zeros(len(points))
    for corner, radius in corners:
        radii[np.hypot(*(here - corner.inner[:2]).T) < SAME] = radius if corner.up else 0.0
    if not radii.any() or floor.outline.bulges.any():
        return floor
    return replace(floor, outline=Loop.rounded(points, radii.tolist()))
