"""Solids seen from above between two heights: what a block with upright sides must keep clear of, exactly."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import manifold3d
import shapely
from shapely.geometry.base import BaseGeometry

from model.flat_arcs import polygons_of

if TYPE_CHECKING:
    from model.clearance.solid import Solid


@dataclass(frozen=True, eq=False)
class Thing:
    """A solid with the gap that is kept round it in plan, mm."""

    name: str
    solid: Solid
    gap: float


def shadow(things: Iterable[Thing], low: float, high: float) -> manifold3d.CrossSection:
    """What stands between two heights seen from above, with the gap that is asked for round each."""
    parts = []
    for thing in things:
        bottom, top = float(thing.solid.box[0, 2]), float(thing.solid.box[1, 2])
        if bottom >= high or top <= low:
            continue
        body = thing.solid.body
        if bottom < low:
            body = body.trim_by_plane((0.0, 0.0, 1.0), low)
        if top > high:
            body = body.trim_by_plane((0.0, 0.0, -1.0), -high)
        if not body.is_empty():
            parts.append(body.project().offset(thing.gap, manifold3d.JoinType.Miter, 2.0))
    if not parts:
        return manifold3d.CrossSection()
    return manifold3d.CrossSection.batch_boolean(parts, manifold3d.OpType.Add)


def shape_of(section: manifold3d.CrossSection) -> BaseGeometry:
    """A cross-section as a shape of shapely: loops that run clockwise are holes."""
    loops = [shapely.Polygon(points) for points in section.to_polygons() if len(points) >= 3]
    if not loops:
        return shapely.Polygon()
    holes = [loop for loop in loops if not loop.exterior.is_ccw]
    whole = shapely.union_all([loop for loop in loops if loop.exterior.is_ccw])
    return whole.difference(shapely.union_all(holes)) if holes else whole


def areas_of(shape: BaseGeometry) -> BaseGeometry:
    """A shape without the lines and points that cutting left in it."""
    return shapely.MultiPolygon(polygons_of(shape)).buffer(0.0)
