"""A rod in a room made as long as it can be where it is: it slides and turns until it is wedged.

Each step is a linear programme: how butt, tip and roll may move a little so that the rod grows most while no
feature that is near comes nearer than nothing. At a length that cannot grow, contacts hold it on all sides,
and there the steps end on it to a thousandth of a millimetre.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import highspy
import numpy as np

from model.geometry import Array
from model.rods.reel_gap import parting
from model.rods.rod import Pose, Rod, reel_corners
from model.rods.room import Room
from model.rods.soup import contacts, pierced

CLEAR = 2e-3
"""Every contact is held this far off, mm, so that what rounding adds does not make an overlap of it."""

FIRST_STEP, MOST_STEP, LEAST_STEP = 25.0, 80.0, 1e-3
"""How far ends may move in a step, mm."""

MOST_STEPS = 60
PRICE = 30.0
"""Millimetres of length that a millimetre of overlap must gain."""

ROLL_ARM = 50.0
"""A roll by one radian counts as a move of so much, mm."""


@dataclass(frozen=True, eq=False)
class Settled:
    """A rod wedged in a room.

    Attributes:
        pose: where it lies.
        length: over all, mm.
        short: what it lacks of lying clear of everything, mm; 0 where it does.
        steps: how many were taken.
    """

    pose: Pose
    length: float
    short: float
    steps: int


@dataclass(frozen=True, eq=False)
class Limits:
    """What holds a rod, as rows `gap + move . x >= CLEAR`; x is butt, tip (mm each) and roll."""

    gap: Array
    move: Array
    blocked: bool

    @property
    def short(self) -> float:
        """How much the worst row lacks, mm."""
        if self.blocked:
            return np.inf
        return max(0.0, CLEAR - float(self.gap.min(initial=np.inf)))


def limits(room: Room, rod: Rod, pose: Pose, reach: float) -> Limits:
    """What is within reach of a rod in a pose."""
    soup = room.soup
    found = contacts(soup, pose.butt, pose.tip, rod.radii, reach)
    blocked = bool(len(pierced(soup, pose.butt, pose.tip)))
    near, far = (1.0 - found.share)[:, None] * found.normal, found.share[:, None] * found.normal
    gaps, moves = [found.gap], [np.column_stack([near, far, np.zeros(len(near))])]
    if rod.reel is not None:
        gap, move = _reel_limits(room, rod, pose, reach)
        gaps.append(gap)
        moves.append(move)
    return Limits(np.concatenate(gaps), np.concatenate(moves), blocked)


def bar_short(room: Room, rod: Rod, pose: Pose) -> float:
    """What a rod without its reel lacks of lying clear in a pose, mm; infinite with metal through it."""
    if len(pierced(room.soup, pose.butt, pose.tip)):
        return np.inf
    found = contacts(room.soup, pose.butt, pose.tip, rod.radii, 2.0 * CLEAR)
    return max(0.0, CLEAR - float(found.gap.min(initial=np.inf)))


def reel_short(room: Room, rod: Rod, pose: Pose) -> float:
    """What the reel's box lacks of lying clear in a pose, mm; 0 for a rod without one."""
    if rod.reel is None:
        return 0.0
    return max(0.0, CLEAR - float(parting(room.soup, pose.reel_corners(rod), CLEAR).gap.min(initial=np.inf)))


def rolled(room: Room, rod: Rod, poses: Sequence[Pose], rolls: int, most: int) -> list[tuple[float, Pose]]:
    """Poses rolled so that their reel is least in the way, with what they lack, mm; least first.

    Args:
        room: where the rod is to lie.
        rod: its thickness and reel.
        poses: to be rolled; those with metal through the rod are left out.
        rolls: how many ways the reel is hung.
        most: how many rolls of one pose are kept.
    """
    found = []
    for pose in poses:
        short = bar_short(room, rod, pose)
        if np.isfinite(short):
            turns = [pose.turned(2.0 * np.pi * k / rolls) for k in range(rolls if rod.reel else 1)]
            scored = [(max(short, reel_short(room, rod, turn)), turn) for turn in turns]
            found += sorted(scored, key=_lack)[:most]
    return sorted(found, key=lambda own: (own[0], -own[1].span))


def _lack(scored: tuple[float, Pose]) -> float:
    return scored[0]


def _reel_limits(room: Room, rod: Rod, pose: Pose, reach: float) -> tuple[Array, Array]:
    """Rows for each corner of the reel's box against each triangle near it."""
    corners = pose.reel_corners(rod)
    held = parting(room.soup, corners, reach)
    if not len(held.gap):
        return np.zeros(0), np.zeros((0, 7))
    gap = corners @ held.way.T - held.edge  # (8, n)
    move = np.einsum("nj,cjx->cnx", held.way, _corner_moves(rod, pose))
    kept = gap < held.gap + reach
    return gap[kept], move[kept]


def _corner_moves(rod: Rod, pose: Pose) -> Array:
    """How the box's corners move with butt, tip and roll, `(8, 3, 7)`, by small moves each way."""
    found = np.zeros((8, 3, 7))
    for k in range(7):
        x = np.zeros(7)
        x[k] = 1e-3 if k < 6 else 1e-5
        ahead, back = (moved(pose, way * x) for way in (1.0, -1.0))
        corners = [reel_corners(rod, p.butt, p.tip, p.hang) for p in (ahead, back)]
        found[:, :, k] = (corners[0] - corners[1]) / (2.0 * x[k])
    return found


def moved(pose: Pose, x: Array) -> Pose:
    """A pose with its butt and tip moved and the rod rolled, x `(7,)`."""
    carried = Pose.along(pose.butt + x[:3], pose.tip + x[3:6], pose.hang)
    return carried.turned(float(x[6])) if x[6] else carried


def settle(room: Room, rod: Rod, start: Pose, most: float = np.inf, steps: int = MOST_STEPS) -> Settled:
    """The rod from a pose that is nearly free, as long as it can grow there.

    Args:
        room: where it lies.
        rod: its thickness and reel; its own length does not count.
        start: where to begin.
        most: no need to grow longer than this, mm over all.
        steps: no more of them are taken.
    """
    step = FIRST_STEP
    pose, held = start, limits(room, rod, start, 3.0 * step)
    taken = 0
    least = LEAST_STEP
    while step > least and taken < steps:
        taken += 1
        x = _best_move(held, pose, rod, step, most - pose.length(rod))
        tried = moved(pose, x)
        found = limits(room, rod, tried, 3.0 * step)
        gain = tried.span - pose.span - PRICE * (found.short - held.short)
        if gain > 0.0:
            worth = gain
            pose, held = tried, found
            step = min(1.7 * step, MOST_STEP)
            if held.short < CLEAR / 2.0 and (worth < 2e-3 or pose.length(rod) >= most - 1e-6):
                break
        else:
            step = min(step, float(np.abs(x).max(initial=0.0)) + 1e-9) / 3.0
            held = limits(room, rod, pose, max(3.0 * step, 0.01))
    if pose.length(rod) > most:  # a turn lengthens it by more than the step was asked for
        pose = pose.longer((most - rod.ends) / pose.span)
    return Settled(pose, pose.length(rod), 0.0 if held.short < CLEAR else held.short, taken)


def _best_move(held: Limits, pose: Pose, rod: Rod, step: float, room_left: float) -> Array:
    """The move that lengthens the rod most, by the rows; overlap is paid for."""
    way = pose.way
    arms = np.array([1.0] * 6 + [1.0 / ROLL_ARM])
    bound = step * arms
    if rod.reel is None:
        bound[6] = 0.0
    cost = np.append(-np.concatenate([-way, way, [0.0]]), PRICE)
    felt = held.gap - np.abs(held.move) @ bound < CLEAR  # no other row can come to hold within the step
    rows = np.column_stack([held.move[felt], np.ones(int(felt.sum()))])
    floor = CLEAR - held.gap[felt]
    if np.isfinite(room_left):
        rows = np.vstack([rows, np.append(cost[:7], 0.0)])
        floor = np.append(floor, -max(room_left, 0.0))
    slack = max(held.short, step) * 4.0 if np.isfinite(held.short) else step
    return solve(cost, rows, floor, np.append(-bound, 0.0), np.append(bound, slack))[:7]


@lru_cache(maxsize=1)
def _solver() -> highspy.Highs:
    solver = highspy.Highs()  # type: ignore[no-untyped-call]
    for option, value in (("output_flag", False), ("threads", 1), ("presolve", "off"), ("solver", "simplex")):
        solver.setOptionValue(option, value)
    return solver


def solve(cost: Array, rows: Array, floor: Array, low: Array, high: Array) -> Array:
    """Least `cost . x` with `rows @ x >= floor` and x between bounds; zeros where there is none."""
    model = highspy.HighsLp()
    count = len(cost)
    model.num_col_, model.num_row_ = count, len(floor)
    model.col_cost_, model.col_lower_, model.col_upper_ = cost, low, high
    model.row_lower_, model.row_upper_ = floor, np.full(len(floor), highspy.kHighsInf)
    model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    model.a_matrix_.start_ = np.arange(len(floor) + 1, dtype=np.int32) * count
    model.a_matrix_.index_ = np.tile(np.arange(count, dtype=np.int32), len(floor))
    model.a_matrix_.value_ = rows.ravel()
    solver = _solver()
    solver.clearSolver()  # nothing of an earlier model may sway which of equal corners is found
    solver.passModel(model)
    solver.run()
    found = np.array(solver.getSolution().col_value)
    return found if len(found) == count else np.zeros(count)
