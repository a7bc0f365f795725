"""The linear program over patterns, grown column by column on HiGHS."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import highspy
import numpy as np

from cutlists.sticks.knapsack import EPS, Front, Ints, every_set, fill
from cutlists.sticks.problem import Filled, Problem
from model.geometry import Array

PRICE_EPS = 1e-9
BEAM = 150
PULL = 0.8
OFFERS = 20


def _never(value: float, bound: float) -> bool:
    return False


@dataclass(frozen=True, eq=False, slots=True)
class Relaxed:
    """Where the program stands.

    Attributes:
        value: its optimum over the patterns it has.
        bound: no plan costs less than this.
        amounts: of each column, `(c,) float`.
    """

    value: float
    bound: float
    amounts: Array


class Master:
    """Least cost of patterns that give each kind its demand, any amount of a pattern.

    Patterns are priced by `Problem.least`, which leaves no true pattern out but lets some in that are too
    long where cuts are shared; hence the bound holds and a column is not always a stick.
    """

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.columns: list[Filled] = []
        self._seen: set[Filled] = set()
        self.demand = problem.demand.copy()
        self._limited = [place for place, stock in enumerate(problem.stocks) if stock.limit is not None]
        self.limits = {place: problem.stocks[place].limit or 0 for place in self._limited}
        self._costs = np.array([stock.cost for stock in problem.stocks])
        self.rounds = 0
        self._proof: tuple[Array, Array] | None = None
        self._highs = highs = highspy.Highs()  # type: ignore[no-untyped-call]
        highs.setOptionValue("output_flag", False)
        highs.setOptionValue("threads", 1)
        inf = highspy.kHighsInf
        none: Ints = np.zeros(0, dtype=np.int32)
        for number in self.demand.tolist():
            highs.addRow(float(number), inf, 0, none, np.zeros(0))
        for place in self._limited:
            highs.addRow(-inf, float(problem.stocks[place].limit or 0), 0, none, np.zeros(0))

    def add(self, patterns: Sequence[Filled]) -> int:
        """Take in patterns that are new; how many were."""
        fresh = [pattern for pattern in dict.fromkeys(patterns) if pattern not in self._seen]
        for pattern in fresh:
            rows = [kind for kind, _ in pattern.counts]
            values = [float(number) for _, number in pattern.counts]
            if pattern.stock in self._limited:
                rows.append(len(self.demand) + self._limited.index(pattern.stock))
                values.append(1.0)
            self._highs.addCol(
                float(self._costs[pattern.stock]),
                0.0,
                highspy.kHighsInf,
                len(rows),
                np.array(rows, dtype=np.int32),
                np.array(values),
            )
            self.columns.append(pattern)
            self._seen.add(pattern)
        return len(fresh)

    def lean(self, most: int) -> Master:
        """The same program with only the `most` columns that cost least above their worth."""
        _, _, duals = self._solve()
        n = len(self.demand)
        above = []
        for column in self.columns:
            worth = sum(duals[kind] * number for kind, number in column.counts)
            if column.stock in self._limited:
                worth += duals[n + self._limited.index(column.stock)]
            above.append(self._costs[column.stock] - worth)
        kept = np.sort(np.argsort(above, kind="stable")[:most])
        found = Master(self.problem)
        found.add([self.columns[place] for place in kept.tolist()])
        return found

    def ask(self, demand: Ints, limits: dict[int, int]) -> None:
        """Ask for other numbers of pieces, with other numbers of the limited stocks at hand."""
        for kind in np.flatnonzero(demand != self.demand).tolist():
            self._highs.changeRowBounds(kind, float(demand[kind]), highspy.kHighsInf)
        self.demand = demand.copy()
        for row, place in enumerate(self._limited, start=len(demand)):
            if limits[place] != self.limits[place]:
                self._highs.changeRowBounds(row, -highspy.kHighsInf, float(limits[place]))
        self.limits = dict(limits)

    def _solve(self) -> tuple[float, Array, Array]:
        self._highs.run()
        solution = self._highs.getSolution()
        value = float(self._highs.getInfo().objective_function_value)
        return value, np.array(solution.col_value), np.array(solution.row_dual)

    def relax(self, enough: Callable[[float, float], bool] = _never, rounds: int = 600) -> Relaxed:
        """Grow columns until none is worth its cost.

        Patterns are priced at worths between those of the program and the best so far, which keeps the
        worths from leaping about (smoothing after Wentges, 1997; from memory). Only a few sets are kept in
        pricing as long as that finds new patterns.

        Args:
            enough: told the program's value and the bound, says whether that will do.
            rounds: stop after so many.
        """
        bound, centre, beam, pull = -np.inf, self._by_length(), BEAM, PULL
        n = len(self.demand)
        self._proof = None
        for _ in range(rounds):
            value, amounts, duals = self._solve()
            if enough(value, bound):
                break
            duals[:n] = np.clip(duals[:n], 0.0, None)
            while True:
                at = pull * centre + (1.0 - pull) * duals
                found, offers = self._price(at, beam)
                if found > bound:
                    bound, centre = found, at
                    self._proof = self._told
                if self.add(offers):
                    pull = PULL
                    break
                if pull > 0.0:
                    pull = pull / 2.0 if pull > 0.2 else 0.0
                elif beam:
                    beam = 0
                else:
                    return Relaxed(value, bound, amounts)
            self.rounds += 1
        return Relaxed(value, bound, amounts)

    def _by_length(self) -> Array:
        """Worths in proportion to length: what the cheapest stock costs for each mm."""
        rates = self._costs / self.problem.rooms
        free = [place for place, stock in enumerate(self.problem.stocks) if stock.limit is None]
        rate = rates[free].min() if free else rates.max()
        return np.concatenate([self.problem.least * rate, np.zeros(len(self._limited))])

    def _price(self, duals: Array, beam: int) -> tuple[float, list[Filled]]:
        """The bound that these duals prove, and patterns worth more than their cost."""
        n = len(self.demand)
        worth = duals[:n]
        asked = self._costs.copy()
        asked[self._limited] -= np.minimum(duals[n:], 0.0)
        front = fill(self.problem.least, worth, self.demand, self.problem.rooms, asked + PRICE_EPS, beam)
        best = self._best(front, asked)
        return self._bound(worth, best), self._offers(front, asked)

    def _best(self, front: Front, asked: Array) -> Array:
        """The most that a pattern of each stock can be worth, `(s,) float`."""
        found = np.maximum(asked, front.beyond)
        for place, room in enumerate(self.problem.rooms.tolist()):
            at = front.best(room)
            if at >= 0:
                found[place] = max(found[place], front.value[at])
        return found

    def _bound(self, worth: Array, best: Array) -> float:
        """The dual bound: worths scaled until no pattern that can be bought is worth more than its cost."""
        stocks = self.problem.stocks
        free = [p for p, stock in enumerate(stocks) if stock.limit is None and best[p] > 0.0]
        scale = min([1.0, *(stocks[p].cost / best[p] for p in free)])
        rents = np.zeros(len(stocks))
        for place in self._limited:
            rents[place] = min(0.0, stocks[place].cost - scale * best[place])
        self._told = (scale * worth, rents)
        rent = sum(self.limits[place] * float(rents[place]) for place in self._limited)
        return float(scale * float(worth @ self.demand) + rent)

    def within(self, gap: float, cap: int) -> list[Filled] | None:
        """All patterns that a plan which costs no more than the bound and `gap` can hold; None if too many.

        By the duals of the best bound of the last `relax`, a plan costs the bound and at least the sum over
        its sticks of what each costs above its worth; so none of its sticks is further above than the gap.
        """
        if self._proof is None or (self.problem.least <= EPS).any():
            return None
        worth, rents = self._proof
        found: list[Filled] = []
        for place, room in enumerate(self.problem.rooms.tolist()):
            if place in self._limited and self.limits[place] == 0:
                continue
            asked = float(self._costs[place] - rents[place]) - gap - 1e-7
            sets = every_set(self.problem.least, worth, self.demand, room, asked, cap)
            if sets is None or len(found) + len(sets) > cap:
                return None
            found += [
                Filled.of(place, {int(k): int(row[k]) for k in np.flatnonzero(row)})
                for row in sets
                if row.any()
            ]
        return [f for f in found if self.problem.need(dict(f.counts)) <= self.problem.rooms[f.stock] + EPS]

    def _offers(self, front: Front, asked: Array) -> list[Filled]:
        """Patterns worth more than their cost: the best of each stock, and others that share little."""
        found: list[Filled] = []
        for place, room in enumerate(self.problem.rooms.tolist()):
            last = front.best(room)
            seen: dict[int, int] = {}
            for at in range(last, max(-1, last - 200), -1):
                if front.value[at] <= asked[place] + PRICE_EPS or len(found) >= OFFERS * (place + 1):
                    break
                counts = front.counts(at)
                if all(seen.get(kind, 0) >= 2 for kind in counts):
                    continue
                for kind in counts:
                    seen[kind] = seen.get(kind, 0) + 1
                found.append(Filled.of(place, counts))
        return found
