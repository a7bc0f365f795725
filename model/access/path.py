"""The way that a thing takes out of a boat: slides and turns one after the other."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import manifold3d
import numpy as np

from model.access.box import Swept, Triangles, clear, turn_is_clear
from model.clearance.motion import Motion, Slide, Turn
from model.clearance.nearest import nearest_points
from model.clearance.solid import Solid
from model.geometry import Array
from parts.lengths import format_length

FAR = 60.0
"""Gaps are asked no further than this, mm."""

FINE = 0.2
"""The least gap of a turn is right within this, mm."""


@dataclass(frozen=True, eq=False)
class Pose:
    """A place: each point p of the thing as it rests lies at `matrix @ p + offset`."""

    matrix: Array = field(default_factory=lambda: np.eye(3))
    offset: Array = field(default_factory=lambda: np.zeros(3))

    def then(self, matrix: Array, offset: Array) -> Pose:
        """This place, moved on by a motion of the boat's frame."""
        return Pose(matrix @ self.matrix, matrix @ self.offset + offset)

    @property
    def turned(self) -> float:
        """How far it is turned from how it rests, rad."""
        return math.acos(float(np.clip((np.trace(self.matrix) - 1.0) / 2.0, -1.0, 1.0)))


@dataclass(frozen=True, eq=False)
class Way:
    """Motions in the boat's frame, each from where the one before ended.

    Attributes:
        rest: the box where it rests, lifted by as much as frees it.
        motions: slides and turns.
    """

    rest: Swept
    motions: tuple[Motion, ...]

    @cached_property
    def poses(self) -> tuple[Pose, ...]:
        """Where it is before the first motion and after each."""
        found = [Pose()]
        for motion in self.motions:
            found.append(found[-1].then(*motion.pose(motion.limit)))
        return tuple(found)

    def boxes(self) -> list[Swept]:
        """The box before each motion."""
        return [self.rest.posed(pose.matrix, pose.offset) for pose in self.poses[:-1]]

    @cached_property
    def lengths(self) -> tuple[float, ...]:
        """How far the fastest point goes in each motion, mm."""
        pairs = zip(self.motions, self.boxes(), strict=True)
        return tuple(m.limit * float(m.reach(box.corners).max()) for m, box in pairs)

    def at(self, share: float) -> Pose:
        """Where it is after a share of the way, 0 to 1: for a picture that moves."""
        left = min(max(share, 0.0), 1.0) * sum(self.lengths)
        for motion, pose, length in zip(self.motions, self.poses, self.lengths, strict=False):
            if left <= length and length > 0.0:
                return pose.then(*motion.pose(motion.limit * left / length))
            left -= length
        return self.poses[-1]

    def told(self, units: str = "mm") -> tuple[str, ...]:
        """Each motion in words: `120 mm up`, `turn 15 degrees`, in the boat's directions."""
        return tuple(_told(motion, units) for motion in self.motions)

    def is_clear(self, triangles: Triangles) -> bool:
        """Whether the box keeps from every triangle what is asked of it, all the way."""
        for motion, box in zip(self.motions, self.boxes(), strict=True):
            if isinstance(motion, Turn):
                if not turn_is_clear(box, motion, triangles):
                    return False
            elif not clear([box.along(motion.pose(motion.limit)[1])], triangles)[0]:
                return False
        return True

    @property
    def most_turned(self) -> float:
        """The greatest turn from how it rests, rad."""
        return max(pose.turned for pose in self.poses)


def _told(motion: Motion, units: str) -> str:
    if isinstance(motion, Turn):
        axis = int(np.argmax(np.abs(motion.axis)))
        how = ("roll", "pitch", "turn")[axis]
        return f"{how} {math.degrees(motion.limit):.0f} degrees"
    assert isinstance(motion, Slide)
    axis = int(np.argmax(np.abs(motion.way)))
    ahead = motion.way[axis] > 0.0
    way = (("forward", "aft"), ("to port", "to starboard"), ("up", "down"))[axis][0 if ahead else 1]
    straight = abs(float(motion.way[axis])) > 0.999
    return f"{format_length(motion.limit, units)} {'' if straight else 'aslant '}{way}"


@dataclass(frozen=True, eq=False)
class Tightest:
    """Where a way is tightest: least gap, mm, to which solid of those given, in which motion, and where."""

    gap: float
    solid: int
    motion: int
    where: Array


def tightest(way: Way, still: Sequence[Solid]) -> Tightest | None:
    """The tightest place of a way among solids that stand still; None where none comes within 60 mm."""
    best: Tightest | None = None
    for number, (motion, box) in enumerate(zip(way.motions, way.boxes(), strict=True)):
        least = FAR if best is None else best.gap
        found = _least(box, motion, still, least)
        if found is not None and found[0] < least - 1e-6:
            gap, solid, body = found
            points = nearest_points(Solid.of_body(body).mesh, still[solid].mesh, gap)
            best = Tightest(gap, solid, number, points.mean(axis=0))
    return best


def _least(
    box: Swept, motion: Motion, still: Sequence[Solid], least: float
) -> tuple[float, int, manifold3d.Manifold] | None:
    """The least gap below `least` over one motion, to which solid, and the box (or what it sweeps) there."""
    if isinstance(motion, Slide):
        body = _hull(box.along(motion.way * motion.limit))
        near = _reached(box.along(motion.way * motion.limit), still, least)
        gaps = [(float(still[k].body.min_gap(body, least)), k) for k in near]
        return (*min(gaps), body) if gaps else None
    around = Swept(box.centre, np.eye(3) * float(np.abs(box.edges).sum()))
    near = _reached(around, still, least)
    if not near:
        return None
    everything = manifold3d.Manifold.compose([still[k].body for k in near])
    reach = max(float(motion.reach(box.corners).max()), 1e-6)
    at, best, where = 0.0, least, None
    while True:
        body = _hull(box.posed(*motion.pose(at)))
        gap = float(everything.min_gap(body, FAR))
        if gap < best:
            best, where = gap, body
        if at >= motion.limit:
            break
        # no point goes faster than `reach`: until then no gap falls below the best by more than FINE
        at = min(motion.limit, at + (gap - best + FINE) / reach)
    if where is None:
        return None
    gaps = [(float(still[k].body.min_gap(where, FAR)), k) for k in near]
    return (*min(gaps), where)


def _reached(swept: Swept, still: Sequence[Solid], reach: float) -> list[int]:
    low, high = swept.box
    return [
        k
        for k, solid in enumerate(still)
        if (solid.box[0] <= high + reach).all() and (solid.box[1] >= low - reach).all()
    ]


def _hull(swept: Swept) -> manifold3d.Manifold:
    return manifold3d.Manifold.hull_points(swept.corners)
