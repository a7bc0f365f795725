"""Pieces shuffled between a given set of sticks until all of them fit, for jobs with shared cuts.

The linear program splits the worth of a shared cut between its two ends, so it cannot tell which matching
ends should meet in one stick. Here pieces are moved and exchanged between sticks; what counts is by how
much the sticks' needs, shared cuts and all, are too long together. Moves that make it worse are taken by
chance, less and less often (simulated annealing; Kirkpatrick, Gelatt and Vecchi, Science 220, 1983; from
memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from random import Random

from cutlists.sticks.knapsack import EPS
from cutlists.sticks.problem import Filled, Problem

HOT, COLD = 3.0, 0.5
"""How much worse a move may well be at the beginning and at the end, mm."""
LOOKS = 64
"""Moves between two looks at the clock."""
ALONE, PAIR = 0.3, 0.8
"""Chance of moving one piece, and of that or of exchanging one for one; else two for one."""


@dataclass(slots=True)
class _Stick:
    """A stick while it is shuffled: pieces by kind, how many of each pair of ports, their charged length."""

    room: float
    pieces: list[int]
    pairs: list[int]
    charged: float = 0.0
    over: float = 0.0


class Shuffle:
    """One search.

    Attributes:
        problem: kinds, kerf, savings.
        stocks: the sticks there are, by the places of their stocks; some may stay empty.
    """

    def __init__(
        self,
        problem: Problem,
        stocks: Sequence[int],
        seed: int,
        start: Sequence[Filled] = (),
        less: float = 0.0,
    ) -> None:
        """Pieces spread evenly, or as in a plan.

        Args:
            problem: the job.
            stocks: places of the sticks' stocks; those of the plan, in its order, where there is one.
            seed: of the chances.
            start: a plan to begin with.
            less: what the last stick may not be filled with, mm.
        """
        self.problem, self.stocks = problem, tuple(stocks)
        self._random = Random(seed)
        self._charged: list[float] = problem.charged.tolist()
        self._pair_of = problem.savings.pair_of
        none = [0] * len(problem.savings.pairs)
        self._sticks = [_Stick(float(problem.rooms[stock]), [], list(none)) for stock in self.stocks]
        self._sticks[-1].room -= less
        if start:
            for stick, filled in zip(self._sticks, start, strict=True):
                self._give(stick, [kind for kind, number in filled.counts for _ in range(number)])
        else:
            for kind in sorted(self._all(), key=lambda kind: -self._charged[kind]):
                self._give(max(self._sticks, key=lambda stick: stick.room - stick.charged), [kind])
        for stick in self._sticks:
            stick.over = self._over(stick)

    def _give(self, stick: _Stick, kinds: Sequence[int]) -> None:
        for kind in kinds:
            self._put(stick, kind)
            stick.pieces.append(kind)

    def _all(self) -> list[int]:
        return [k for k, kind in enumerate(self.problem.kinds) for _ in range(kind.count)]

    def _put(self, stick: _Stick, kind: int, number: int = 1) -> None:
        """Add to what is counted, or take off; the list of pieces is left as it is."""
        stick.charged += number * self._charged[kind]
        pair = self._pair_of[kind]
        if pair >= 0:
            stick.pairs[pair] += number

    def _over(self, stick: _Stick) -> float:
        """By how much the need is longer than the room, mm."""
        over = stick.charged - stick.room
        return max(0.0, over - self.problem.savings.of_pairs(tuple(stick.pairs))) if over > 0.0 else 0.0

    def run(self, moves: int, give_up: Callable[[], bool] = lambda: False) -> list[Filled] | None:
        """Sticks that hold everything, or None when so many moves found none, or it is time to give up."""
        total = sum(stick.over for stick in self._sticks)
        if len(self._sticks) < 2:
            moves = 0
        for move in range(moves):
            if total <= EPS:
                break
            if move % LOOKS == 0:
                if give_up():
                    break
                hot = HOT * (COLD / HOT) ** (move / moves)
            total += self._move(hot)
        return self._filled() if total <= EPS else None

    def _move(self, hot: float) -> float:
        """Tries a move; by how much the total of what is too long changes."""
        chance = self._random.random
        count = len(self._sticks)
        a = int(chance() * count)
        b = (a + 1 + int(chance() * (count - 1))) % count
        one, other = self._sticks[a], self._sticks[b]
        kind = chance()
        give = self._picked(one, 1)
        take = [] if kind < ALONE else self._picked(other, 1 if kind < PAIR else 2)
        if not give:
            return 0.0
        self._swap(one, other, give, take)
        over = self._over(one), self._over(other)
        change = over[0] + over[1] - one.over - other.over
        if change <= 0.0 or chance() < math.exp(-change / hot):
            given = [one.pieces[i] for i in give]
            taken = [other.pieces[i] for i in take]
            one.pieces = [p for i, p in enumerate(one.pieces) if i not in give] + taken
            other.pieces = [p for i, p in enumerate(other.pieces) if i not in take] + given
            one.over, other.over = over
            return change
        self._swap(one, other, give, take, back=True)
        return 0.0

    def _picked(self, stick: _Stick, number: int) -> list[int]:
        """Places of as many pieces, or as there are."""
        count = len(stick.pieces)
        if number >= count:
            return list(range(count))
        first = int(self._random.random() * count)
        return (
            [first]
            if number == 1
            else [first, (first + 1 + int(self._random.random() * (count - 1))) % count]
        )

    def _swap(
        self, one: _Stick, other: _Stick, give: Sequence[int], take: Sequence[int], back: bool = False
    ) -> None:
        way = -1 if back else 1
        for place in give:
            self._put(one, one.pieces[place], -way)
            self._put(other, one.pieces[place], way)
        for place in take:
            self._put(one, other.pieces[place], way)
            self._put(other, other.pieces[place], -way)

    def _filled(self) -> list[Filled]:
        found = []
        for place, stick in zip(self.stocks, self._sticks, strict=True):
            counts: dict[int, int] = {}
            for kind in stick.pieces:
                counts[kind] = counts.get(kind, 0) + 1
            if counts:
                found.append(Filled.of(place, counts))
        return found
