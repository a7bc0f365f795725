"""One long drop out of many short ones: pieces moved until one stick is as empty as it gets."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutlists.sticks.first_fill import OpenStick
from cutlists.sticks.knapsack import EPS, fill
from cutlists.sticks.problem import Counts, Filled, Problem
from cutlists.sticks.shuffle import Shuffle

BEAM = 300
PASSES = 6
SHUFFLES, MOVES, STEP = 4, 4_000, 0.3
WORTH_IT = 25.0
"""A drop longer by less is not looked for, mm."""


def squeezed(problem: Problem, sticks: Sequence[Filled], enough: float) -> list[Filled]:
    """The plan with the same sticks and the longest drop that moving pieces between pairs of them finds.

    Each other stick in turn is filled as full as can be from its own pieces and those of the emptiest one.

    Args:
        problem: kinds and stocks.
        sticks: a plan.
        enough: a drop this long cannot be bettered, mm.
    """
    contents: list[Counts] = [dict(stick.counts) for stick in sticks]
    rooms = [float(problem.rooms[stick.stock]) for stick in sticks]
    if len(sticks) > 1:
        drops = [room - problem.need(counts) for room, counts in zip(rooms, contents, strict=True)]
        last = int(np.argmax(drops))
        for _ in range(PASSES):
            moved = False
            for other in range(len(sticks)):
                if other != last and rooms[last] - problem.need(contents[last]) < enough - EPS:
                    moved = _pour(problem, contents, rooms, other, last) or moved
            if not moved:
                break
    return [Filled.of(stick.stock, counts) for stick, counts in zip(sticks, contents, strict=True) if counts]


def lengthened(problem: Problem, sticks: Sequence[Filled], enough: float) -> list[Filled]:
    """The plan with a longer drop still, where a short shuffle finds one.

    What is asked for lies a step of the way from the drop there is to the longest there can be; where it is
    not found, a step of the way to that.

    Args:
        problem: kinds and stocks.
        sticks: a plan.
        enough: a drop this long cannot be bettered, mm.
    """
    best = list(sticks)
    for turn in range(SHUFFLES):
        drops = [float(problem.rooms[stick.stock]) - problem.need(dict(stick.counts)) for stick in best]
        drop = max(drops, default=0.0)
        if len(best) < 2 or drop >= enough - WORTH_IT:
            break
        last = int(np.argmax(drops))
        order = [*best[:last], *best[last + 1 :], best[last]]
        wanted = drop + STEP * (enough - drop)
        shuffle = Shuffle(problem, [stick.stock for stick in order], turn, order, wanted)
        found = shuffle.run(MOVES)
        if found is None:
            enough = wanted
        elif len(found) == len(best):
            best = found
    return best


def _pour(problem: Problem, contents: list[Counts], rooms: list[float], other: int, last: int) -> bool:
    """Fill `other` from its own pieces and those of `last`; whether that left less in `last`."""
    both = contents[other].copy()
    for kind, number in contents[last].items():
        both[kind] = both.get(kind, 0) + number
    most = np.zeros(len(problem.kinds), dtype=np.int64)
    for kind, number in both.items():
        most[kind] = number
    room, before = rooms[other], problem.need(contents[last])
    # A touch more worth for long pieces keeps the short ones, which fit anywhere, in the last stick.
    worth = problem.least * (1.0 + 1e-4 * problem.least / room)
    front = fill(
        problem.least, worth, most, np.array([room]), np.array([problem.need(contents[other]) - 1.0]), BEAM
    )
    for place in range(len(front.length) - 1, max(-1, len(front.length) - 6), -1):
        full = _true(problem, front.counts(place), room)
        rest = {
            kind: number - full.get(kind, 0) for kind, number in both.items() if number > full.get(kind, 0)
        }
        if problem.need(rest) < before - 1e-3 and problem.need(rest) <= rooms[last] + EPS:
            contents[other], contents[last] = full, rest
            return True
    return False


def _true(problem: Problem, counts: Counts, room: float) -> Counts:
    """As many of the pieces as truly fit, the longest first."""
    if problem.need(counts) <= room + EPS:
        return counts
    stick = OpenStick(0, room)
    for kind in sorted(counts, key=lambda kind: -problem.charged[kind]):
        for _ in range(counts[kind]):
            need, saving = stick.need_with(problem, kind)
            if need <= room + EPS:
                stick.put(kind, need, saving)
    return stick.counts
