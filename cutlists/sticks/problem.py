"""What is to be cut from what: kinds of pieces, stocks, kerf; and the patterns that fit.

Pieces in one stick fit when  sum of lengths + kerf between neighbours - what shared cuts save  <=  stick.
There is no kerf after the last piece: a drop shorter than the blade is eaten by it. With a kerf k this reads
sum(length + k) - saving <= stick + k, and the left side is called the pieces' need.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TypeAlias

import numpy as np

from cutlists.sticks.knapsack import EPS, Ints
from cutlists.sticks.shared_cuts import LONE, Ports, Savings, joins_at, tally_ports
from model.geometry import Array

Counts: TypeAlias = dict[int, int]
"""How many of each kind (by its place in the problem)."""


@dataclass(frozen=True, slots=True)
class Kind:
    """Pieces that are cut alike: a name, the long-point length (mm), how many, and the ports of the ends."""

    name: str
    length: float
    count: int
    ports: Ports = (LONE, LONE)


@dataclass(frozen=True, slots=True)
class Stock:
    """A length that pieces can be cut from.

    Attributes:
        name: for messages.
        length: what can be cut up, end trim taken off, mm.
        cost: of one, in any currency, or its length where nothing has a price.
        limit: how many there are; None for what can be bought.
    """

    name: str
    length: float
    cost: float
    limit: int | None = None


@dataclass(frozen=True)
class Problem:
    """Kinds, stocks and kerf (mm), and what a shared join is worth at each vertex (mm)."""

    kinds: tuple[Kind, ...]
    stocks: tuple[Stock, ...]
    kerf: float
    worth: tuple[float, ...] = ()
    savings: Savings = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Set up the savings."""
        object.__setattr__(self, "savings", Savings([kind.ports for kind in self.kinds], self.worth))

    @cached_property
    def charged(self) -> Array:
        """Length and one kerf of each kind, `(n,) float`."""
        return np.array([kind.length for kind in self.kinds]) + self.kerf

    @cached_property
    def demand(self) -> Ints:
        """Pieces of each kind, `(n,) int`."""
        return np.array([kind.count for kind in self.kinds], dtype=np.int64)

    @cached_property
    def rooms(self) -> Array:
        """Greatest need that each stock holds, `(s,) float`."""
        return np.array([stock.length for stock in self.stocks]) + self.kerf

    @cached_property
    def least(self) -> Array:
        """A need for each kind that adds up to no more than the need of any set of pieces, `(n,) float`.

        The worth of a join is split between the ends that make it: half and half in a plain vertex, all of
        it to the scarcer hand where two hands meet, nothing where there is no partner in the whole job.
        """
        tallies = tally_ports((kind.ports, kind.count) for kind in self.kinds)
        share = {vertex: _shares(tally, self.worth[vertex]) for vertex, tally in tallies.items()}
        taken = [
            sum(share[vertex][side] for vertex, side in kind.ports if vertex >= 0) for kind in self.kinds
        ]
        found: Array = self.charged - np.array(taken)
        return found

    @cached_property
    def least_total(self) -> float:
        """No set of sticks holds all the pieces with less need than this, mm."""
        tallies = tally_ports((kind.ports, kind.count) for kind in self.kinds)
        most = sum(self.worth[vertex] * joins_at(tally) for vertex, tally in tallies.items())
        by_joins = float(self.charged @ self.demand) - most
        return max(by_joins, float(self.least @ self.demand))

    def need(self, counts: Mapping[int, int]) -> float:
        """The need of a set of pieces in one stick, mm."""
        total = math.fsum(float(self.charged[kind]) * number for kind, number in counts.items())
        return total - self.savings.of(counts)

    def cheapest(self, need: float) -> int:
        """The stock to be bought that holds `need` at the least cost, the shortest of those; -1 if none."""
        fit = [
            (stock.cost, stock.length, place)
            for place, stock in enumerate(self.stocks)
            if stock.limit is None and need <= stock.length + self.kerf + EPS
        ]
        return min(fit)[2] if fit else -1


def _shares(tally: tuple[int, int, int], worth: float) -> tuple[float, float, float]:
    """What of a join's worth an end of side 0, +1 and -1 gets."""
    plain, plus, minus = tally
    half = worth / 2.0 if plain > 1 else 0.0
    if not plus or not minus:
        return half, 0.0, 0.0
    return (half, worth, 0.0) if plus <= minus else (half, 0.0, worth)


@dataclass(frozen=True, slots=True)
class Filled:
    """One stick of a stock (by its place) and how many of each kind are cut from it."""

    stock: int
    counts: tuple[tuple[int, int], ...]

    @classmethod
    def of(cls, stock: int, counts: Mapping[int, int]) -> Filled:
        """With the kinds in order and empty ones left out."""
        return cls(stock, tuple(sorted((kind, number) for kind, number in counts.items() if number)))


def total_cost(problem: Problem, sticks: Iterable[Filled]) -> float:
    """What a set of sticks costs."""
    return math.fsum(problem.stocks[stick.stock].cost for stick in sticks)
