"""The search for a box's way out among triangles: slides and turns by steps, each sure over its whole move.

Best first: of all poses reached, the one is gone on from whose way here and way still to go (as a ball as
thick as the box would go) are least together. At each the box is tried straight up and out.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np

from model.access.aim import Held
from model.access.box import Swept, Triangles, clear, turn_is_clear
from model.access.path import Way
from model.clearance.motion import Motion, Slide, Turn
from model.geometry import UP, Array

Key = tuple[int, int, int, int, int, int]

GREED = 2.0
"""How much more the way to go counts than the way gone: the search is after a way, not the shortest."""


@dataclass(frozen=True)
class Fineness:
    """Steps of a search: mm, rad, and how many moves it tries before it gives up."""

    slide: float
    turn: float
    most: int

    def told(self) -> str:
        """The steps in words."""
        return f"{self.slide:.0f} mm and {math.degrees(self.turn):.1f} degrees"


COARSE = Fineness(32.0, math.radians(15.0), 1000)
FINE = Fineness(12.0, math.radians(7.5), 1200)


class Goal(Protocol):
    """What leads a search."""

    def to_go(self, point: Array) -> float:
        """How far a box with its middle at a point `(3,)` has still to go, mm; inf where it cannot."""
        ...

    def turns_to_go(self, held: Held) -> float:
        """How many steps it has still to be turned."""
        ...

    def may_rise(self, point: Array) -> bool:
        """Whether there may be nothing over a box with its middle there, so that it is worth trying."""
        ...


@dataclass(order=True)
class _Move:
    """A move in the queue: what it costs in all, the order it was found in, to which pose, from which."""

    cost: float
    number: int
    key: Key = field(compare=False)
    gone: float = field(compare=False)
    before: Key | None = field(compare=False)
    motion: Motion | None = field(compare=False)


@dataclass(frozen=True, eq=False)
class _Pose:
    """A pose that was reached: the box, its own axes, the length of the way, from where, by what."""

    box: Swept
    axes: Array
    gone: float
    before: Key | None
    motion: Motion | None


def straight_out(box: Swept, triangles: Triangles, top: float) -> Slide | None:
    """The slide straight up that brings all of a box over `top`, mm; None where something is in its way."""
    rise = top - float(box.box[0, 2])
    if rise <= 0.0:
        return Slide(UP.copy(), 1.0)
    return Slide(UP.copy(), rise) if clear([box.along(UP * rise)], triangles)[0] else None


def find_way(rest: Swept, triangles: Triangles, top: float, goal: Goal, fineness: Fineness) -> Way | None:
    """A way out for a box, straight up and over `top` at its end; None if none was found.

    Args:
        rest: the box, three half edges, the first two level.
        triangles: what is in its way, with the gap asked of each.
        top: nothing is as high as this, mm.
        goal: guides the search.
        fineness: its steps.
    """
    return _Search(rest, triangles, top, goal, fineness).found()


class _Search:
    def __init__(self, rest: Swept, triangles: Triangles, top: float, goal: Goal, fineness: Fineness) -> None:
        self.rest, self.triangles, self.top, self.goal, self.fineness = rest, triangles, top, goal, fineness
        self.size = float(np.sqrt((rest.edges**2).sum()))
        # a small box is not to be turned about for want of a longer way
        self.turn_cost = 0.5 * max(self.size * fineness.turn, fineness.slide)
        self.known: dict[Key, _Pose] = {}
        self.queue: list[_Move] = []
        self.count = 0

    def found(self) -> Way | None:
        axes = self.rest.edges / np.sqrt((self.rest.edges**2).sum(axis=1))[:, None]
        self._reach((0, 0, 0, 0, 0, 0), _Pose(self.rest, axes, 0.0, None, None))
        tried = 0
        while self.queue and tried < self.fineness.most:
            move = heapq.heappop(self.queue)
            if move.key in self.known or move.before is None or move.motion is None:
                continue
            tried += 1
            before = self.known[move.before]
            if not self._sound(before.box, move.motion):
                continue
            pose = self._moved(before, move)
            if self.goal.may_rise(pose.box.centre):
                out = straight_out(pose.box, self.triangles, self.top)
                if out is not None:
                    self.known[move.key] = pose
                    return shortened(Way(self.rest, (*self._motions(move.key), out)), self.triangles)
            self._reach(move.key, pose)
        return None

    def _sound(self, box: Swept, motion: Motion) -> bool:
        if isinstance(motion, Turn):
            about = self.triangles.near(np.stack([box.centre - self.size, box.centre + self.size]), 10.0)
            return turn_is_clear(box, motion, about)
        swept = box.along(motion.pose(motion.limit)[1])
        return bool(clear([swept], self.triangles.near(swept.box, 10.0))[0])

    @staticmethod
    def _moved(before: _Pose, move: _Move) -> _Pose:
        assert move.motion is not None
        matrix, offset = move.motion.pose(move.motion.limit)
        box = before.box.posed(matrix, offset)
        return _Pose(box, before.axes @ matrix.T, move.gone, move.before, move.motion)

    def _reach(self, key: Key, pose: _Pose) -> None:
        """Goes on from a pose: its moves go into the queue, not yet tried."""
        self.known[key] = pose
        for step in self._slides(pose):
            place = pose.box.centre + step - self.rest.centre
            i, j, k = (int(v) for v in np.round(place / (0.6 * self.fineness.slide)))
            motion = Slide(step / self.fineness.slide, self.fineness.slide)
            self._push((i, j, k, *key[3:]), pose, key, motion, self.fineness.slide)
        for new, turn in _turns(key, pose, self.fineness.turn):
            self._push(new, pose, key, turn, self.turn_cost)

    def _push(self, new: Key, pose: _Pose, key: Key, motion: Motion, cost: float) -> None:
        if new in self.known:
            return
        _, offset = motion.pose(motion.limit)
        middle = pose.box.centre + offset if isinstance(motion, Slide) else pose.box.centre
        left = self.goal.to_go(middle)
        if math.isinf(left):
            return
        left += self.turn_cost * self.goal.turns_to_go(new[3:])
        self.count += 1
        gone = pose.gone + cost
        heapq.heappush(self.queue, _Move(gone + GREED * left, self.count, new, gone, key, motion))

    def _motions(self, key: Key) -> list[Motion]:
        found: list[Motion] = []
        while True:
            pose = self.known[key]
            if pose.before is None or pose.motion is None:
                return found[::-1]
            found.append(pose.motion)
            key = pose.before

    def _slides(self, pose: _Pose) -> Iterator[Array]:
        """Steps along the boat's axes, and of a box that is tilted or turned along its own."""
        ways = list(np.eye(3))
        ways += [axis for axis in pose.axes if np.abs(axis).max() < 0.999]
        for way in ways:
            yield self.fineness.slide * way
            yield -self.fineness.slide * way


def _turns(key: Key, pose: _Pose, step: float) -> Iterator[tuple[Key, Turn]]:
    """Turns about the upright, and tilts about one of the box's own two level axes at a time."""
    for sign in (1, -1):
        yaw, first, second = key[3] + sign, key[4], key[5]
        if abs(yaw) * step < math.pi + 1e-9:
            yield (*key[:3], yaw, first, second), Turn(pose.box.centre, sign * UP, step)
        for tilt in (0, 1):
            other = key[5 - tilt]
            now = key[4 + tilt] + sign
            if other == 0 and abs(now) * step < math.pi / 2.0 + 1e-9:
                new = (*key[:4], now, 0) if tilt == 0 else (*key[:4], 0, now)
                yield new, Turn(pose.box.centre, sign * pose.axes[tilt], step)


def shortened(way: Way, triangles: Triangles) -> Way:
    """The same way with slides put together, and with needless detours of them cut off."""
    poses = way.poses
    motions: list[Motion] = []
    at = 0
    while at < len(way.motions):
        box = way.rest.posed(poses[at].matrix, poses[at].offset)
        last = at
        while last < len(way.motions) and isinstance(way.motions[last], Slide):
            last += 1
        if last == at:
            motions.append(way.motions[at])
            at += 1
            continue
        for end in range(last, at, -1):
            step = poses[end].matrix @ way.rest.centre + poses[end].offset - box.centre
            if end == at + 1 or clear([box.along(step)], triangles)[0]:
                size = float(np.sqrt(step @ step))
                if size > 1e-6:
                    motions.append(Slide(step / size, size))
                at = end
                break
    return Way(way.rest, tuple(_turned_on(motions)))


def _turned_on(motions: list[Motion]) -> Iterator[Motion]:
    """Turns about the same line that follow each other as one."""
    held: Turn | None = None
    for motion in motions:
        if isinstance(motion, Turn):
            if held is not None and np.allclose(held.axis, motion.axis) and _same_line(held, motion):
                held = Turn(held.point, held.axis, held.limit + motion.limit)
                continue
            if held is not None:
                yield held
            held = motion
        else:
            if held is not None:
                yield held
                held = None
            yield motion
    if held is not None:
        yield held


def _same_line(one: Turn, other: Turn) -> bool:
    between = other.point - one.point
    return bool(np.abs(np.cross(between, one.axis)).max() < 1e-6)
