"""Hoses as they lie: their ends, high loops made by rule, the ways found for them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from model.geometry import Array
from model.hoses.friction import (
    Stretch,
    bend_loss,
    elbow_loss,
    narrowing_loss,
    tail_loss,
    valve_loss,
)
from model.hoses.loops import Loop, loop_of
from model.hoses.on_wall import TAIL_LENGTH
from model.hoses.plan import FALLING, End, HosePlan, PlumbingPlan
from model.hoses.profile import Profile, profile_of
from model.hoses.waters import Waters
from model.water.names import holder_height
from model.ways.bends import turn_at
from model.ways.run import NoWay, Run, Wanted

if TYPE_CHECKING:
    from model.boat import Boat

PREFIX = "hoses."
"""Runs of hoses are called so, with the hose's name."""

TRIM = 25.0
"""A hose is cut longer than its way by this at each end, and trimmed when it lies, mm (common practice)."""


@dataclass(frozen=True, eq=False)
class HoseFound:
    """A hose as it lies.

    Attributes:
        plan: what the file says of it.
        run: its way; None where there is none.
        no_way: why there is none.
        profile: how it rises and falls, at rest; None without a way.
        loop: height of the high loop made by rule, mm; None where none was made.
        clamps: two where its end lies near the water or below it, for its start and its end.
    """

    plan: HosePlan
    run: Run | None
    no_way: NoWay | None
    profile: Profile | None
    loop: float | None
    clamps: tuple[int, int]

    @property
    def name(self) -> str:
        """As in the file."""
        return self.plan.name

    @property
    def length(self) -> float:
        """Of its way, mm; of the straight line between its ends where it has none."""
        if self.run is not None:
            return self.run.length
        start, end = self.plan.start.port("out"), self.plan.end.port("in")
        return float(np.linalg.norm(np.nan_to_num(start - end)))

    @property
    def to_cut(self) -> float:
        """Length to cut, mm."""
        return self.length + 2.0 * TRIM

    @property
    def clips(self) -> int:
        """How many places hold it."""
        return 0 if self.run is None else len(self.run.clips)

    @property
    def turns(self) -> tuple[float, ...]:
        """Angles of its bends that are no elbows, rad."""
        if self.run is None or len(self.run.corners) < 3:
            return ()
        every = sorted(turn_at(self.run.corners).tolist(), reverse=True)
        return tuple(every[self.plan.elbows :])

    def stretch(self, last: bool = True) -> Stretch:
        """What water loses in it: its bore with bends, elbows, tails, and what narrows it at its ends.

        Args:
            last: whether what is at its end counts; where another hose goes on from there, it counts there.
        """
        plan, hose = self.plan, self.plan.hose
        losses = 2.0 * tail_loss(hose.inside) + plan.elbows * elbow_loss(hose.inside)
        losses += sum(bend_loss(hose.inside, hose.bend_radius, turn, hose.roughness) for turn in self.turns)
        for end in (plan.start, plan.end) if last else (plan.start,):
            losses += _end_loss(end, hose.inside)
        return Stretch(hose.inside, self.length, hose.roughness, losses)


def _end_loss(end: End, bore: float) -> float:
    """K of what a hose is pushed on, by the speed in the hose."""
    own = end.bore or bore
    valve = valve_loss(bore, own) if end.valve else 0.0
    return valve + narrowing_loss(bore, own)


def lay(boat: Boat, asked: PlumbingPlan, waters: Waters) -> tuple[HoseFound, ...]:
    """All hoses of a boat's file laid, in their order, in the water about her at rest."""
    ends = [(start_of(boat, plan.start), end_of(boat, plan.end)) for plan in asked.hoses]
    loops = [loop_of(plan, *own, waters, asked) for plan, own in zip(asked.hoses, ends, strict=True)]
    found = _led(boat, [_wanted(plan, *own) for plan, own in zip(asked.hoses, ends, strict=True)], loops)
    plane, near = waters.level, asked.near_water
    laid = []
    for plan, (start, end), way, loop in zip(asked.hoses, ends, found, loops, strict=True):
        run = way if isinstance(way, Run) else None
        laid.append(
            HoseFound(
                plan,
                run,
                way if isinstance(way, NoWay) else None,
                None if run is None else profile_of(run.path, plane),
                None if loop is None else loop.top,
                (_clamps(plan.start, start, waters, near), _clamps(plan.end, end, waters, near)),
            )
        )
    return tuple(laid)


def _led(boat: Boat, wanted: Sequence[Wanted], loops: Sequence[Loop | None]) -> list[Run | NoWay]:
    """The ways of all hoses; those with a loop are led to its foot, and over it by its own corners."""
    from model.ways.route import ways_of

    ways = ways_of(boat)
    to_foot = [
        one if loop is None else replace(one, end=loop.foot) for one, loop in zip(wanted, loops, strict=True)
    ]
    found = list(ways.route(to_foot))
    for k, (one, loop) in enumerate(zip(wanted, loops, strict=True)):
        way = found[k]
        if loop is not None and isinstance(way, Run):
            given = np.vstack([way.corners, loop.corners, one.end])
            found[k] = ways.route([replace(one, via=(), given=given)])[0]
    return found


def start_of(boat: Boat, end: End) -> Array:
    """Where a hose is pushed on that leads out of an end, `(3,)` mm."""
    return _below(boat, end) if end.group == "drain" else end.port("out")


def end_of(boat: Boat, end: End) -> Array:
    """Where a hose is pushed on that leads into an end, `(3,)` mm."""
    return _below(boat, end) if end.group == "drain" else end.port("in")


def hole_of(boat: Boat, end: End) -> Array:
    """The middle of the hole itself, `(3,)` mm; of a fixture where the hose is pushed on."""
    if end.group == "drain":
        x, y, z = _below(boat, end).tolist()
        return np.array([x, y, z + TAIL_LENGTH])
    return start_of(boat, end) if end.group == "fixture" else end.at


def _below(boat: Boat, end: End) -> Array:
    """Below a drain's hole in its floor."""
    x, y = float(end.at[0]), float(end.at[1])
    height = holder_height(boat, end.where, (x, y))
    z = float(boat.hull.bottom(x, y)) if height is None else height
    return np.array([x, y, z - TAIL_LENGTH])


def _clamps(end: End, at: Array, waters: Waters, near: float) -> int:
    """Two clamps where the end lies near the water or below it (common practice), none at an open end."""
    if end.group == "open":
        return 0
    least = waters.least(at)
    return 2 if least is not None and least[0] <= near else 1


def _wanted(plan: HosePlan, start: Array, end: Array) -> Wanted:
    given = np.vstack([start, np.array(plan.points), end]) if plan.points else None
    return Wanted(
        f"{PREFIX}{plan.name}", "hose", start, end, plan.hose.outside, plan.hose.bend_radius,
        list(plan.via), given, plan.place, falls=plan.kind in FALLING,
    )  # fmt: skip
