"""The plan for one stock: least cost, then fewest sticks, then the longest drop, with what is proven of it.

Shared cuts are part of the model: the need of a stick's pieces is its least over all their arrangements
(`shared_cuts`), and every plan is judged by it. What is proven, and how:

- A small job (`SMALL` patterns or fewer) goes through every pattern; all three aims are then proven.
- Otherwise the cost is bounded below by the sum of needs with the most joins the whole job allows, and by
  the linear program over patterns (column generation), rounded up to what a set of sticks can cost. The
  program splits the worth of a join between its ends, so that no true pattern is missed and the bound holds
  with shared cuts too; it may then be a little low. Plans come from first fit, dives from the program,
  branch and bound over its columns and, with shared cuts, shuffles of pieces between sticks. A plan is
  proven when it meets the bound, and is otherwise the best found.
- The number of sticks is proven when no set of sticks of that cost with fewer is long enough.
- The longest drop is pushed by moving pieces between sticks, with a few short shuffles at the end; it is
  proven when it takes up all the slack.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from cutlists.sticks.attainable import CENT, Attainable
from cutlists.sticks.dive import Dive
from cutlists.sticks.every import best_of_every
from cutlists.sticks.first_fill import fill_in_turn, first_plans, rank
from cutlists.sticks.forced import forced
from cutlists.sticks.knapsack import EPS
from cutlists.sticks.master import Master
from cutlists.sticks.problem import Filled, Problem, total_cost
from cutlists.sticks.shuffle import Shuffle
from cutlists.sticks.squeeze import lengthened, squeezed
from cutlists.sticks.whole import Choice, trimmed

SMALL = 600
COLUMNS = 3000
DIVES = 40
CHANCES = (0.5, 1.0, 0.2)
FIRST_DIVES = 2
BETWEEN = 12
WITHIN = 4_000
MOVES = 100_000
SURE = 1e-6


@dataclass(frozen=True, slots=True)
class Solved:
    """A plan and what is known of it.

    Attributes:
        sticks: filled sticks.
        cost: of all of them.
        cost_bound: no plan costs less.
        fewest: no plan of this cost has fewer sticks than this, when the cost is proven.
        drop: the longest drop, mm: what is left of a stick, less one kerf.
        drop_bound: no plan of this cost and number of sticks leaves a longer one, mm.
        all_proven: every pattern was gone through, so that the plan is best in all three aims.
    """

    sticks: tuple[Filled, ...]
    cost: float
    cost_bound: float
    fewest: int
    drop: float
    drop_bound: float
    all_proven: bool = False

    @property
    def is_cheapest(self) -> bool:
        """Whether the cost is proven least."""
        return self.all_proven or self.cost <= self.cost_bound + CENT

    @property
    def is_fewest(self) -> bool:
        """Whether the number of sticks is proven least for this cost."""
        return self.all_proven or (self.is_cheapest and len(self.sticks) <= self.fewest)

    @property
    def is_longest(self) -> bool:
        """Whether the longest drop is proven, to 0.1 mm."""
        return self.all_proven or (self.is_fewest and self.drop >= self.drop_bound - 0.1)


class CannotCut(ValueError):  # noqa: N818  (says what is so, like BadInput)
    """There is not enough on hand and nothing to buy that would do."""


@dataclass
class Solver:
    """Plans a job.

    Attributes:
        problem: the job.
        seconds: after which no better plan is looked for; what was found by then is given.
        small: jobs with no more patterns than this are gone through whole.
        seed: of the chances that dives take.
        tell: hears how far it is.
        clock: tells the time, s.
        start: a plan that is known already; empty where there is none.
        aims: all three, or only the cost and the number of sticks.
    """

    problem: Problem
    seconds: float = 8.5
    small: int = SMALL
    seed: int = 0
    tell: Callable[[str], None] = field(default=lambda _: None)
    clock: Callable[[], float] = time.monotonic
    start: Sequence[Filled] = ()
    aims: Literal["all", "cost"] = "all"

    def __post_init__(self) -> None:
        """Start the clock."""
        self._end = self.clock() + self.seconds
        self._attainable = Attainable(self.problem)
        self._best: list[Filled] = []
        self._bound = 0.0

    def solve(self) -> Solved:
        """The plan.

        Raises:
            CannotCut: the pieces do not go into the sticks there are.
        """
        if not self.problem.kinds:
            return Solved((), 0.0, 0.0, 0, 0.0, 0.0, True)
        every = best_of_every(self.problem, self.small, self.seconds / 2.0) if self.small else None
        if every is not None:
            return self._solved(every.sticks, True)
        self._offer(
            [*first_plans(self.problem, self.problem.demand), *([list(self.start)] if self.start else [])]
        )
        if not self._best:
            self._offer(self._from_hand())
        self._raise_bound(0.0)
        if not self._met:
            self._offer([self._in_turn(np.random.default_rng(self.seed + run), run) for run in range(2)])
        for number in range(FIRST_DIVES):
            if not (self._met or self._out_of_time()):
                self._shuffle(number)
        if not self._met:
            self._by_columns()
        return self._solved(self._finished(), False)

    @property
    def _cost(self) -> float:
        return total_cost(self.problem, self._best)

    @property
    def _met(self) -> bool:
        return self._cost <= self._bound + CENT

    def _out_of_time(self) -> bool:
        return self.clock() > self._end

    def _offer(self, plans: Iterable[list[Filled]]) -> None:
        """Keep the best plan."""
        for plan in plans:
            if not self._best or rank(self.problem, plan) < rank(self.problem, self._best):
                self._best = plan

    def _raise_bound(self, bound: float) -> None:
        self._bound = max(self._bound, self._attainable.least_cost(max(bound, self._bound), self._cost))

    def _in_turn(self, rng: np.random.Generator, run: int) -> list[Filled]:
        bought = [place for place, stock in enumerate(self.problem.stocks) if stock.limit is None]
        longest = float(self.problem.charged.max())
        fit = [place for place in bought if self.problem.rooms[place] >= longest - EPS]
        return (
            fill_in_turn(self.problem, self.problem.demand, fit[run % len(fit)], rng) if fit else self._best
        )

    def _from_hand(self) -> list[list[Filled]]:
        raise CannotCut(
            "the pieces do not go into the sticks on hand, and nothing that can be bought is long enough"
        )

    def _by_columns(self) -> None:
        """Bound by the linear program; plans from its columns."""
        fixed, demand = forced(self.problem)
        spent = total_cost(self.problem, fixed)
        kinds = zip(self.problem.kinds, demand.tolist(), strict=True)
        rest = replace(self.problem, kinds=tuple(replace(kind, count=number) for kind, number in kinds))
        master = Master(rest)
        for plan in first_plans(rest, rest.demand):
            master.add(plan)
        self.tell("bounding")
        self._raise_bound(
            spent + master.relax(lambda value, bound: self._settled(spent, value, bound)).bound - SURE
        )
        for number in range(DIVES):
            if self._met or self._out_of_time():
                return
            self.tell(f"looking for a plan, {number + 1} of {DIVES}")
            if number == FIRST_DIVES and self._close(fixed, spent, master):
                return
            if number >= FIRST_DIVES and self.problem.savings.any:
                self._shuffle(number)
                continue
            if number in (0, FIRST_DIVES):
                lean = master.lean(COLUMNS)
            if number % BETWEEN == BETWEEN - 1:
                self._choose(fixed, spent, lean)
            self._dive(lean, fixed, spent, number)

    def _dive(self, lean: Master, fixed: list[Filled], spent: float, number: int) -> None:
        """Dives for one target after the other until one is hit."""
        for target in self._targets():
            rng = np.random.default_rng(1000 * self.seed + number)
            dive = Dive(lean, target - spent, rng, CHANCES[number % len(CHANCES)], self._out_of_time)
            found = dive.run()
            if found is not None:
                self._offer([[*fixed, *trimmed(lean.problem, found)]])
                return

    def _close(self, fixed: list[Filled], spent: float, master: Master) -> bool:
        """Go through every pattern a cheaper plan can hold, when they are few; whether that settled it."""
        self.tell("closing the gap")
        pause = min(self._end, self.clock() + self.seconds / 6.0)
        bound = master.relax(lambda *_: self.clock() > pause).bound
        self._raise_bound(spent + bound - SURE)
        if self._met:
            return True
        costs = self._attainable.costs(self._bound, self._cost) or [self._cost - CENT]
        patterns = master.within(costs[-1] - spent - bound + SURE, WITHIN)
        if patterns is None:
            return False
        one_cost = len(costs) == 1 and self._attainable.exact
        aims = [0.0 if one_cost else self.problem.stocks[p.stock].cost for p in patterns]
        left = max(0.1, self._end - self.clock())
        choice = Choice(master.problem, patterns, cost=costs[-1] - spent, seconds=left, each_once=True)
        found = choice.least(aims)
        if found.sticks is not None:
            self._offer([[*fixed, *found.sticks]])
        if found.none:
            self._bound = max(self._bound, self._cost)
        elif not one_cost:
            self._raise_bound(spent + found.bound - SURE)
        return self._met

    def _choose(self, fixed: list[Filled], spent: float, master: Master) -> None:
        """The best choice among the columns there are, as far as a short branch and bound finds it."""
        problem = master.problem
        true = [c for c in master.columns if problem.need(dict(c.counts)) <= problem.rooms[c.stock] + EPS]
        seconds = max(0.1, min(1.5, self._end - self.clock()))
        choice = Choice(problem, true, cost=self._cost - spent - CENT, seconds=seconds, nodes=300)
        found = choice.least([problem.stocks[c.stock].cost for c in true])
        if found.sticks is not None:
            self._offer([[*fixed, *found.sticks]])

    def _shuffle(self, number: int) -> None:
        """Pieces that share cuts shuffled between sticks that cost less, of one such set after another."""
        if not self.problem.savings.any:
            return
        targets = self._targets()
        target = targets[number % len(targets)]
        sets = list(self._attainable.sets_at(target))
        for stocks in sets[number // 2 % len(sets) :][:1] if sets else []:
            shuffle = Shuffle(self.problem, stocks, 1000 * self.seed + number)
            found = shuffle.run(MOVES, self._out_of_time)
            self._offer([found] if found is not None else [])

    def _settled(self, spent: float, value: float, bound: float) -> bool:
        """Whether the program's value and bound round up to one cost, or the plan meets the bound."""
        if self._out_of_time() or not np.isfinite(bound):
            return self._out_of_time()
        low = self._attainable.least_cost(max(0.0, spent + bound - SURE), self._cost)
        return (
            low >= self._cost - CENT
            or low >= self._attainable.least_cost(spent + value - SURE, self._cost) - CENT
        )

    def _targets(self) -> list[float]:
        """Costs to aim at: the bound, and the next best below the plan."""
        costs = self._attainable.costs(self._bound, self._cost)
        if not costs:
            return [self._cost - max(1e-3 * self._cost, 2 * CENT)]
        return [costs[0], costs[-1]] if len(costs) > 1 else costs

    def _finished(self) -> list[Filled]:
        if self.aims == "cost":
            return self._best
        enough = self._drop_bound(self._best)
        return lengthened(self.problem, squeezed(self.problem, self._best, enough), enough)

    def _drop_bound(self, sticks: Iterable[Filled]) -> float:
        """No plan of this cost and number of sticks leaves a longer drop, mm with its kerf."""
        plan = list(sticks)
        slack = (
            self._attainable.most_room(total_cost(self.problem, plan), len(plan)) - self.problem.least_total
        )
        return min(slack, float(self.problem.rooms.max()) - float(self.problem.least.min()))

    def _solved(self, sticks: Iterable[Filled], all_proven: bool) -> Solved:
        plan = list(sticks)
        cost = total_cost(self.problem, plan)
        drops = [float(self.problem.rooms[s.stock]) - self.problem.need(dict(s.counts)) for s in plan]
        kerf = self.problem.kerf
        drop = max(0.0, max(drops) - kerf)
        if all_proven:
            return Solved(tuple(plan), cost, cost, len(plan), drop, drop, True)
        bound = max(0.0, self._drop_bound(plan) - kerf)
        return Solved(tuple(plan), cost, self._bound, self._attainable.fewest(cost), drop, max(drop, bound))
