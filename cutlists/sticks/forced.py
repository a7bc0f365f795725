"""Sticks that some best plan holds anyway, found before any search (for one stock length, no shared cuts).

The longest piece left, i, is taken with a partner j when no stick with i can do better than hold j too:
- j fills the stick up with i exactly, or
- i takes at most one piece beside it, and j is the longest that fits (or none does).
In any plan the pieces beside i can then change places with j, since together they are no longer than j.
(The reduction is Martello and Toth's, Knapsack Problems, 1990, chapter 8; from memory.)
"""

from __future__ import annotations

import numpy as np

from cutlists.sticks.knapsack import EPS, Ints
from cutlists.sticks.problem import Filled, Problem


def forced(problem: Problem) -> tuple[list[Filled], Ints]:
    """Sticks that can be fixed, and the demand that is left; nothing is fixed for other kinds of job."""
    left = problem.demand.copy()
    stock = problem.stocks[0]
    if len(problem.stocks) != 1 or stock.limit is not None or problem.savings.any:
        return [], left
    need, room = problem.charged, float(problem.rooms[0]) + EPS
    order = np.argsort(-need, kind="stable").tolist()
    found: list[Filled] = []
    for kind in order:
        while left[kind]:
            left[kind] -= 1
            partner = _partner(need, left, room - float(need[kind]), order)
            if partner is None:
                left[kind] += 1
                break
            counts = {kind: 1}
            if partner >= 0:
                counts[partner] = counts.get(partner, 0) + 1
                left[partner] -= 1
            found.append(Filled.of(0, counts))
    return found, left


def _partner(need: np.ndarray, left: Ints, room: float, order: list[int]) -> int | None:
    """The piece that goes beside the one taken; -1 when none fits, None when that is open."""
    fit = [kind for kind in order if left[kind] and need[kind] <= room]
    if not fit:
        return -1
    if need[fit[0]] >= room - 2 * EPS:
        return fit[0]
    shortest = [kind for kind in reversed(fit) for _ in range(min(2, int(left[kind])))][:2]
    if len(shortest) < 2 or float(need[shortest].sum()) > room:
        return fit[0]
    return None
