"""What a set of sticks can cost at all: sums of prices whose sticks are long enough together."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from cutlists.sticks.knapsack import EPS
from cutlists.sticks.problem import Problem

CENT = 1e-6
Bag: TypeAlias = tuple[float, tuple[int, ...], float]
MOST = 200_000
"""Sets of sticks gone through; beyond it only plain bounds are given."""


@dataclass(frozen=True, slots=True)
class Shop:
    """A set of sticks by number: its cost, how many sticks, and the need they hold together (mm)."""

    cost: float
    sticks: int
    room: float


class Attainable:
    """Sets of sticks that could hold a job by their total length.

    Offcuts on hand count as there for nothing when all of them are; when any is worth keeping, prices do not
    make a lattice and only the plain bound is given.
    """

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self._bought = [
            (stock.cost, float(problem.rooms[place]), place)
            for place, stock in enumerate(problem.stocks)
            if stock.limit is None
        ]
        self._bought.sort(key=lambda told: -told[0])
        held = [
            (float(room), stock.cost)
            for stock, room in zip(problem.stocks, problem.rooms, strict=True)
            for _ in range(stock.limit or 0)
        ]
        self._free = sorted((room for room, cost in held if cost <= 0.0), reverse=True)
        self.exact = all(cost <= 0.0 for _, cost in held) and bool(self._bought)

    def shops(self, low: float, high: float) -> Iterator[Shop]:
        """Sets that cost between `low` and `high` (both included) and are long enough; few offcuts first."""
        need = self.problem.least_total
        runs = np.concatenate([[0.0], np.cumsum(self._free)])
        for cost, numbers, room in self._bags(high):
            if cost < low - CENT:
                continue
            lacking = need - room
            extra = int(np.searchsorted(runs, lacking - EPS)) if lacking > EPS else 0
            if extra < len(runs):
                yield Shop(cost, sum(numbers) + extra, room + float(runs[extra]))

    def sets_at(self, cost: float) -> Iterator[tuple[int, ...]]:
        """Sets of this cost that are long enough, as places of stocks, all that is on hand first."""
        if not self._few(cost):
            return
        held = [place for place, stock in enumerate(self.problem.stocks) for _ in range(stock.limit or 0)]
        free = sum(self._free)
        for spent, numbers, room in self._bags(cost):
            if abs(spent - cost) <= CENT and room + free >= self.problem.least_total - EPS:
                bought = (
                    place for (_, _, place), n in zip(self._bought, numbers, strict=True) for _ in range(n)
                )
                yield (*held, *bought)

    def _bags(self, high: float) -> Iterator[Bag]:
        """Numbers of bought sticks up to a cost: cost, how many of each, room."""

        def grow(numbers: tuple[int, ...], cost: float, room: float) -> Iterator[Bag]:
            if len(numbers) == len(self._bought):
                yield cost, numbers, room
                return
            price, length, _ = self._bought[len(numbers)]
            for number in range(int((high - cost + CENT) / price) + 1):
                yield from grow((*numbers, number), cost + number * price, room + number * length)

        return grow((), 0.0, 0.0)

    def _few(self, high: float) -> bool:
        return self.exact and math.prod(high / price + 1.0 for price, _, _ in self._bought) < MOST

    def least_cost(self, bound: float, high: float) -> float:
        """The least cost of a long enough set that is no less than `bound`; `bound` where it is unknown."""
        if not self._few(high):
            return bound
        return min((shop.cost for shop in self.shops(bound - CENT, high)), default=high)

    def costs(self, low: float, high: float) -> list[float]:
        """Costs of long enough sets from `low` to below `high`, lowest first."""
        if not self._few(high):
            return []
        found = {round(shop.cost, 6) for shop in self.shops(low, high - 2 * CENT)}
        return sorted(found)

    def fewest(self, cost: float) -> int:
        """No plan of this cost has fewer sticks than this."""
        if not self._few(cost):
            return 1
        return min((shop.sticks for shop in self.shops(cost, cost)), default=1)

    def most_room(self, cost: float, sticks: int) -> float:
        """The most need that so many sticks of this cost hold together, mm."""
        if not self._few(cost):
            return float(self.problem.rooms.max()) * sticks
        runs = np.concatenate([[0.0], np.cumsum(self._free)])
        most = 0.0
        for spent, numbers, room in self._bags(cost):
            extra = sticks - sum(numbers)
            if abs(spent - cost) <= CENT and 0 <= extra < len(runs):
                most = max(most, room + float(runs[extra]))
        return most
