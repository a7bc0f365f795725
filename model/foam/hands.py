"""What foam leaves open for hands: the ways by which things leave the boat, and arms to what is serviced."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import TYPE_CHECKING

import manifold3d
import numpy as np

from model.access.check import kept_access
from model.clearance.motion import Slide
from model.clearance.solid import Solid
from model.shadow import Thing

if TYPE_CHECKING:
    from model.access.arm import Reach
    from model.access.path import Way
    from model.boat import Boat

TURNS = 12
"""A turn is followed in so many steps, each the convex hull of its two ends."""
ROUND = 16
"""Sides of an arm."""


def kept_for_hands(boat: Boat, arm: float) -> Iterator[Thing]:
    """What removable things sweep on their way out, and what arms take, as the check of access has them.

    Args:
        boat: the boat.
        arm: width that is kept free round the middle line of an arm, mm.
    """
    report = kept_access(boat)
    for out in report.ways:
        if out.way is not None:
            for body in _swept(out.way):
                yield Thing(out.name, Solid.of_body(body), report.settings.gap)
    for reach in report.reaches:
        for body in _arm(reach, arm):
            yield Thing(reach.point.name, Solid.of_body(body), 0.0)


def _swept(way: Way) -> Iterator[manifold3d.Manifold]:
    """What a box passes through, motion by motion."""
    for motion, box in zip(way.motions, way.boxes(), strict=True):
        steps = np.linspace(0.0, motion.limit, 2 if isinstance(motion, Slide) else TURNS + 1)
        corners = [box.posed(*motion.pose(float(at))).corners for at in steps]
        for before, after in pairwise(corners):
            yield manifold3d.Manifold.hull_points(np.concatenate([before, after]))


def _arm(reach: Reach, wide: float) -> Iterator[manifold3d.Manifold]:
    """An arm along its middle line, from ball to ball."""
    if reach.way is None or len(reach.way) < 2 or wide <= 0.0:
        return
    ball = manifold3d.Manifold.sphere(wide / 2.0, ROUND)
    balls = [ball.translate(tuple(float(v) for v in point)) for point in reach.way]
    for before, after in pairwise(balls):
        yield manifold3d.Manifold.batch_hull([before, after])
