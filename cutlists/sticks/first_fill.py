"""Sticks filled piece by piece, the longest piece first: quick, often best, and a start for the rest."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from cutlists.sticks.knapsack import EPS, Ints, fill
from cutlists.sticks.problem import Counts, Filled, Problem, total_cost


@dataclass
class OpenStick:
    """A stick that is being filled: its stock, what is in it, and the need of that."""

    stock: int
    room: float
    counts: Counts = field(default_factory=dict)
    need: float = 0.0
    saving: float = 0.0

    def need_with(self, problem: Problem, kind: int) -> tuple[float, float]:
        """The need and the saving once a piece of `kind` is put in."""
        if problem.savings.pair_of[kind] < 0:
            return self.need + float(problem.charged[kind]), self.saving
        counts = self.counts.copy()
        counts[kind] = counts.get(kind, 0) + 1
        saving = problem.savings.of(counts)
        return self.need + float(problem.charged[kind]) - (saving - self.saving), saving

    def put(self, kind: int, need: float, saving: float) -> None:
        """Put a piece of `kind` in."""
        self.counts[kind] = self.counts.get(kind, 0) + 1
        self.need, self.saving = need, saving


def pieces_of(demand: Ints, order: Sequence[int]) -> Iterator[int]:
    """The kind of each piece, kinds in `order`."""
    for kind in order:
        yield from [kind] * int(demand[kind])


def by_length(problem: Problem) -> list[int]:
    """Kinds from the longest."""
    order: list[int] = np.argsort(-problem.charged, kind="stable").tolist()
    return order


def fit_first(
    problem: Problem,
    pieces: Iterable[int],
    bought: int,
    start: Sequence[OpenStick] = (),
    tightest: bool = False,
) -> list[Filled] | None:
    """Each piece into the first stick that holds it, or the one it leaves least in; None if one fits nowhere.

    Args:
        problem: kinds and stocks.
        pieces: kinds in the order to be placed.
        bought: stock of each further stick; -1 to buy none.
        start: sticks that are there already.
        tightest: the stick with the least left after it, rather than the first.
    """
    sticks = list(start)
    for kind in pieces:
        chosen, told, least = None, (0.0, 0.0), np.inf
        for stick in sticks:
            need, saving = stick.need_with(problem, kind)
            left = stick.room - need
            if left >= -EPS and left < least:
                chosen, told, least = stick, (need, saving), left
                if not tightest:
                    break
        if chosen is None:
            if bought < 0 or problem.charged[kind] > problem.rooms[bought] + EPS:
                return None
            chosen = OpenStick(bought, float(problem.rooms[bought]))
            sticks.append(chosen)
            told = chosen.need_with(problem, kind)
        chosen.put(kind, *told)
    return [Filled.of(stick.stock, stick.counts) for stick in sticks if stick.counts]


def offcuts(problem: Problem, limits: Mapping[int, int] | None = None) -> list[OpenStick]:
    """An open stick for every length on hand, the shortest first."""
    found = [
        OpenStick(place, float(problem.rooms[place]))
        for place, stock in enumerate(problem.stocks)
        if stock.limit is not None
        for _ in range(stock.limit if limits is None else limits[place])
    ]
    return sorted(found, key=lambda stick: stick.room)


def cheapened(problem: Problem, sticks: Iterable[Filled]) -> list[Filled]:
    """Each bought stick changed for the cheapest bought length that holds its pieces."""
    found = []
    for stick in sticks:
        place = stick.stock
        if problem.stocks[place].limit is None:
            place = problem.cheapest(problem.need(dict(stick.counts)))
        found.append(Filled(place if place >= 0 else stick.stock, stick.counts))
    return found


def rank(problem: Problem, sticks: Sequence[Filled]) -> tuple[float, int, float]:
    """What makes a plan better, in order: cost, number of sticks, the longest drop (negative)."""
    drops = [problem.rooms[stick.stock] - problem.need(dict(stick.counts)) for stick in sticks]
    return round(total_cost(problem, sticks), 6), len(sticks), -round(float(max(drops, default=0.0)), 6)


def first_plans(
    problem: Problem, demand: Ints, limits: Mapping[int, int] | None = None
) -> list[list[Filled]]:
    """Plans by first fit and best fit from the longest piece, for each length that can be bought.

    Args:
        problem: kinds and stocks.
        demand: pieces of each kind.
        limits: how many there are of each limited stock, when not all are left.
    """
    order = by_length(problem)
    held = offcuts(problem, limits)
    found = []
    for bought in [place for place, stock in enumerate(problem.stocks) if stock.limit is None] or [-1]:
        for tightest in (False, True):
            for start in (held, []) if held else ([],):
                sticks = [OpenStick(stick.stock, stick.room) for stick in start]
                plan = fit_first(problem, pieces_of(demand, order), bought, sticks, tightest)
                if plan is not None:
                    found.append(cheapened(problem, plan))
    return found


def fill_in_turn(
    problem: Problem, demand: Ints, bought: int, rng: np.random.Generator, beam: int = 60
) -> list[Filled]:
    """Stick after stick filled as full as can be with the longest piece left in it.

    What is in a stick is worth its length, a little more for some kinds by chance, so that runs differ.
    """
    left = demand.copy()
    order = by_length(problem)
    found: list[Filled] = []
    stocks = [stick.stock for stick in offcuts(problem)]
    favour = problem.least * (1.0 + 0.02 * rng.random(len(left)))
    while left.any():
        place = stocks.pop(0) if stocks else bought
        stick = OpenStick(place, float(problem.rooms[place]))
        longest = next((k for k in order if left[k] and problem.charged[k] <= stick.room + EPS), None)
        if longest is None:
            if place == bought:
                raise ValueError("a piece is longer than the stick")
            continue
        stick.put(longest, *stick.need_with(problem, longest))
        left[longest] -= 1
        room = stick.room - float(problem.least[longest])
        front = fill(problem.least, favour, left, np.array([room]), np.array([-1.0]), beam)
        chosen = front.counts(len(front.length) - 1) if len(front.length) else {}
        for kind in sorted(chosen, key=lambda kind: -problem.charged[kind]):
            for _ in range(chosen[kind]):
                need, saving = stick.need_with(problem, kind)
                if need <= stick.room + EPS:
                    stick.put(kind, need, saving)
                    left[kind] -= 1
        found.append(Filled.of(place, stick.counts))
    return cheapened(problem, found)
