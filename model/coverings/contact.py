"""Where other pieces lie on a face of flat sheet: what is hidden there from a brush."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import manifold3d
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from model.clearance.bodies import Body
from model.geometry import Array
from model.shadow import shape_of

if TYPE_CHECKING:
    from model.panel import Panel

NEAR, FAR = 0.05, 0.6
"""What fills part of the space so far off a face, mm, lies on it."""


def on_face(panel: Panel, front: bool, bodies: Sequence[Body]) -> BaseGeometry:
    """The shadow of what lies on a face, in the panel's x, y."""
    frame, sheet = panel.frame, panel.sheet.thickness
    low, high = (NEAR, FAR) if front else (-sheet - FAR, -sheet - NEAR)
    box = np.stack([panel.box[0] - FAR, panel.box[1] + FAR])
    into = np.column_stack([frame.axes, -frame.axes @ frame.origin])
    found = []
    for body in bodies:
        if body.name == panel.name:
            continue
        for solid in body.solids:
            if (solid.box[0] < box[1]).all() and (solid.box[1] > box[0]).all():
                found += _between(solid.body, frame.z, float(frame.z @ frame.origin), (low, high), into)
    if not found:
        return shapely.Polygon()
    return shape_of(manifold3d.CrossSection.batch_boolean(found, manifold3d.OpType.Add))


def _between(
    body: manifold3d.Manifold, normal: Array, level: float, levels: tuple[float, float], into: Array
) -> list[manifold3d.CrossSection]:
    """What of a body lies between two planes, seen along their normal."""
    way = (float(normal[0]), float(normal[1]), float(normal[2]))
    back = (-way[0], -way[1], -way[2])
    part = body.trim_by_plane(way, level + levels[0]).trim_by_plane(back, -(level + levels[1]))
    return [] if part.is_empty() else [part.transform(into).project()]
