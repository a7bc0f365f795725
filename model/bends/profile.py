"""The cross-section of a flange with its returns: a chain of bends and straight legs, folded and laid flat.

Across the edge x runs out beyond the outside mould line of the first bend and y from the outer face of the
sheet inward; along the flat pattern `flat` runs out from that mould line. Every height is measured outside,
from one mould line to the next, so that their sum less a deduction for each bend is the flat length.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from model.geometry import Array
from parts.bending import bend_allowance, setback
from parts.outline import Loop

_NONE = 1e-9
"""Arcs and legs shorter than this are none, mm."""
_POINTS = 9
"""Places on a bend at which it is looked at."""


@dataclass(frozen=True, slots=True)
class Turn:
    """One bend and the leg beyond it.

    Attributes:
        height: outside, from its own mould line to that of the next bend, or to the edge, mm.
        angle: turn from flat, rad.
        radius: inside, mm.
        onward: whether it turns on the way the first bend of the chain does; else back.
    """

    height: float
    angle: float
    radius: float
    onward: bool = True


@dataclass(frozen=True, eq=False, slots=True)
class Stretch:
    """A bend or a leg of the chain.

    Attributes:
        turn: number of its turn.
        bulge: of the outer face, walked outward; 0 for a leg.
        outer, inner: both faces at its start and end, `(2, 2)`, mm.
        flat: where it begins and ends on the flat pattern, mm beyond the mould line.
        heading: the way it starts off, rad.
        radii: of the outer and inner face of a bend, mm.
    """

    turn: int
    bulge: float
    outer: Array
    inner: Array
    flat: tuple[float, float]
    heading: float
    radii: tuple[float, float] = (0.0, 0.0)

    @property
    def is_leg(self) -> bool:
        """Whether it is straight."""
        return self.bulge == 0.0

    @property
    def length(self) -> float:
        """On the flat pattern, mm."""
        return self.flat[1] - self.flat[0]

    def reach(self) -> Array:
        """Where both faces lie, x from its start to its end, `(n, 2)`, mm."""
        if self.is_leg:
            return np.stack([self.outer[:, 0], self.inner[:, 0]], axis=1)
        sign = math.copysign(1.0, self.bulge)
        turned = np.linspace(0.0, 4.0 * math.atan(abs(self.bulge)), _POINTS)
        # on a circle of radius r a heading h is passed at the centre + r sin h (turning left)
        swept = np.sin(self.heading + sign * turned) - math.sin(self.heading)
        return np.stack(
            [
                face[0, 0] + sign * r * swept
                for face, r in zip((self.outer, self.inner), self.radii, strict=True)
            ],
            axis=1,
        )


@lru_cache(maxsize=512)
def chain(turns: tuple[Turn, ...], thickness: float, k: float) -> tuple[Stretch, ...]:
    """The bends and legs of a chain, from where its first bend begins to its edge; kept once walked.

    Args:
        turns: from the sheet outward.
        thickness: mm.
        k: depth of the neutral axis over the thickness.
    """
    backs = [setback(turn.angle, turn.radius, thickness) for turn in turns]
    at, heading, flat = np.array([-backs[0], 0.0]), 0.0, -backs[0]
    found: list[Stretch] = []
    for i, turn in enumerate(turns):
        sign = 1.0 if turn.onward else -1.0
        radii = (
            (turn.radius + thickness, turn.radius) if turn.onward else (turn.radius, turn.radius + thickness)
        )
        after = heading + sign * turn.angle
        end = at + sign * radii[0] * (_ahead(after - math.pi / 2) - _ahead(heading - math.pi / 2))
        flat_end = flat + bend_allowance(turn.angle, turn.radius, thickness, k)
        outer = np.array([at, end])
        inner = outer + thickness * np.array([_left(heading), _left(after)])
        bulge = sign * math.tan(turn.angle / 4.0)
        found.append(Stretch(i, bulge, outer, inner, (flat, flat_end), heading, radii))
        straight = turn.height - backs[i] - (backs[i + 1] if i + 1 < len(turns) else 0.0)
        outer = np.array([end, end + straight * _ahead(after)])
        inner = outer + thickness * _left(after)
        found.append(Stretch(i, 0.0, outer, inner, (flat_end, flat_end + straight), after))
        at, heading, flat = outer[1], after, flat_end + straight
    return tuple(found)


def outline(stretches: Sequence[Stretch]) -> Loop:
    """The stretches cut across as one closed outline, arcs true; a bend sharp inside has a corner there."""
    told = [(one.outer[0], one.bulge if one.radii[0] > _NONE else 0.0) for one in stretches]
    told.append((stretches[-1].outer[1], 0.0))
    told += [(one.inner[1], -one.bulge if one.radii[1] > _NONE else 0.0) for one in reversed(stretches)]
    told.append((stretches[0].inner[0], 0.0))
    points, bulges = _distinct(told)
    return Loop(points, bulges)


def _distinct(told: Sequence[tuple[Array, float]]) -> tuple[Array, Array]:
    """Corners with the bulge of the edge that leaves each; of those in one place the last."""
    kept: list[tuple[Array, float]] = []
    for i, (point, bulge) in enumerate(told):
        following = told[(i + 1) % len(told)][0]
        if float(np.abs(following - point).max()) > 1e-6:
            kept.append((point, bulge))
    return np.array([point for point, _ in kept]), np.array([bulge for _, bulge in kept])


def _ahead(heading: float) -> Array:
    return np.array([math.cos(heading), math.sin(heading)])


def _left(heading: float) -> Array:
    return np.array([-math.sin(heading), math.cos(heading)])
