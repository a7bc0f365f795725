"""Small jobs by going through every pattern there is: the best plan in all three aims, proven."""

from __future__ import annotations

from dataclasses import dataclass

from cutlists.sticks.knapsack import EPS
from cutlists.sticks.problem import Counts, Filled, Problem, total_cost
from cutlists.sticks.whole import Choice


def every_pattern(problem: Problem, most: int) -> list[Filled] | None:
    """All sets of pieces that fit a stock, with each stock they fit; None when there are more than `most`."""
    longest = float(problem.rooms.max()) + EPS
    if (problem.least <= 0.0).any():
        return None
    sets: list[Counts] = [{}]
    for kind in range(len(problem.kinds)):
        grown = []
        for counts in sets:
            need = sum(float(problem.least[k]) * n for k, n in counts.items())
            for number in range(int(problem.demand[kind]) + 1):
                if need + number * float(problem.least[kind]) > longest:
                    break
                grown.append({**counts, kind: number} if number else counts)
                if len(grown) > most:
                    return None
        sets = grown
    found = []
    for counts in sets:
        need = problem.need(counts)
        for place, room in enumerate(problem.rooms.tolist()):
            if counts and need <= room + EPS:
                found.append(Filled.of(place, counts))
    return found if len(found) <= 2 * most else None


@dataclass(frozen=True, slots=True)
class Best:
    """A plan that no other beats, and its longest drop, mm."""

    sticks: tuple[Filled, ...]


def best_of_every(problem: Problem, most: int, seconds: float) -> Best | None:
    """The best plan, or None when the job is not small, takes longer than `seconds`, or cannot be done."""
    patterns = every_pattern(problem, most)
    if not patterns:
        return None
    cheapest = Choice(problem, patterns, seconds=seconds / 3).least(
        [problem.stocks[p.stock].cost for p in patterns]
    )
    if cheapest.sticks is None or not cheapest.best:
        return None
    cost = total_cost(problem, cheapest.sticks)
    fewest = Choice(problem, patterns, cost=cost, seconds=seconds / 3).least([1.0] * len(patterns))
    if fewest.sticks is None or not fewest.best:
        return None
    number = len(fewest.sticks)
    longest = Choice(problem, patterns, cost=cost, sticks=number, seconds=seconds / 3).longest_drop()
    if longest.sticks is None or not longest.best:
        return None
    return Best(longest.sticks)
