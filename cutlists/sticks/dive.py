"""Whole sticks from the linear program: fix the surest patterns, solve for what is left, and so on."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from cutlists.sticks.first_fill import first_plans
from cutlists.sticks.knapsack import EPS, Ints
from cutlists.sticks.master import Master
from cutlists.sticks.problem import Filled, Problem, total_cost
from model.geometry import Array

WHOLE = 1e-6
TRIES = 2
STEPS = 40
ROUNDS = 40


@dataclass
class Part:
    """What is fixed so far and what is still to be cut."""

    sticks: list[Filled]
    demand: Ints
    limits: dict[int, int]

    @property
    def is_done(self) -> bool:
        """Whether every piece is placed."""
        return not self.demand.any()


def take(problem: Problem, part: Part, pattern: Filled) -> bool:
    """Fix one stick: the pattern without the pieces that are no longer asked for, cut down until it fits."""
    if part.limits.get(pattern.stock, 1) < 1:
        return False
    counts = {k: min(n, int(part.demand[k])) for k, n in pattern.counts if part.demand[k] > 0}
    room = float(problem.rooms[pattern.stock])
    while counts and problem.need(counts) > room + EPS:
        least = min(counts, key=lambda kind: problem.charged[kind])
        counts[least] -= 1
        if not counts[least]:
            del counts[least]
    if not counts:
        return False
    part.sticks.append(Filled.of(pattern.stock, counts))
    for kind, number in counts.items():
        part.demand[kind] -= number
    if pattern.stock in part.limits:
        part.limits[pattern.stock] -= 1
    return True


class Dive:
    """A search for a plan that costs no more than `target`, from the program's own amounts downwards.

    At each step the whole parts of the amounts are fixed, or else the surest pattern, and the program is
    solved for what is left, with new columns; where that cannot end within the target, the next surest is
    tried instead, up to `TRIES` a step and `STEPS` in all. `chance` is by how much, at most, a pattern may
    seem surer than it is.
    """

    def __init__(
        self,
        master: Master,
        target: float,
        rng: np.random.Generator,
        chance: float,
        give_up: Callable[[], bool],
    ) -> None:
        self.master, self.problem = master, master.problem
        self.target, self.rng, self.chance, self.give_up = target, rng, chance, give_up
        self.steps = 0

    def run(self) -> list[Filled] | None:
        """A plan within the target, or None. What the program is asked for is put back."""
        demand, limits = self.master.demand.copy(), dict(self.master.limits)
        try:
            return self._down(Part([], demand.copy(), dict(limits)))
        finally:
            self.master.ask(demand, limits)

    def _down(self, part: Part) -> list[Filled] | None:
        spent = total_cost(self.problem, part.sticks)
        if part.is_done:
            return part.sticks if spent <= self.target + WHOLE else None
        left = self.target - spent
        rest = self._quick(part, left)
        if rest is not None:
            return [*part.sticks, *rest]
        if self.steps >= STEPS or self.give_up():
            return None
        self.steps += 1
        self.master.ask(part.demand, part.limits)
        there = self.master.relax(lambda value, bound: value <= left + 1e-7 or bound > left + 1e-6, ROUNDS)
        if there.bound > left + 1e-6:
            return None
        for child in self._children(part, there.amounts):
            found = self._down(child)
            if found is not None or self.steps >= STEPS:
                return found
        return None

    def _quick(self, part: Part, left: float) -> list[Filled] | None:
        """The rest placed piece by piece, when that is good enough."""
        if not part.sticks:
            return None
        for plan in first_plans(self.problem, part.demand, part.limits):
            if total_cost(self.problem, plan) <= left + WHOLE:
                return plan
        return None

    def _children(self, part: Part, amounts: Array) -> Iterator[Part]:
        used = np.flatnonzero(amounts > WHOLE)
        whole = np.floor(amounts[used] + WHOLE)
        sure = (amounts[used] - whole) * (1.0 + self.chance * self.rng.random(len(used)))
        order = [
            p
            for p, s in sorted(zip(used.tolist(), sure.tolist(), strict=True), key=lambda x: -x[1])
            if s > WHOLE
        ]
        first = [
            p for p, number in zip(used.tolist(), whole.tolist(), strict=True) for _ in range(int(number))
        ]
        groups = [first] if first else []
        groups += [[place] for place in order[: TRIES - len(groups)]]
        for group in groups:
            child = Part(list(part.sticks), part.demand.copy(), dict(part.limits))
            if sum(take(self.problem, child, self.master.columns[place]) for place in group):
                yield child
