"""Whole numbers of patterns by branch and bound on HiGHS."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import highspy
import numpy as np

from cutlists.sticks.problem import Filled, Problem

INF = highspy.kHighsInf


@dataclass(frozen=True, slots=True)
class Chosen:
    """What the solver found.

    Attributes:
        sticks: None when nothing was found.
        bound: on the aim.
        best: whether the sticks are proven best.
        none: whether it is proven that there is nothing to find.
    """

    sticks: tuple[Filled, ...] | None
    bound: float
    best: bool
    none: bool = False


@dataclass
class Choice:
    """Patterns to choose from so that every kind gets its demand.

    Attributes:
        problem: kinds and stocks.
        patterns: true patterns, none too long for its stock.
        cost: keep to this total cost; None leaves it free.
        sticks: keep to this number of sticks; None leaves it free.
        seconds: give up after so long.
        nodes: give up after so many branchings.
        each_once: cut no piece too often, where the patterns allow it; else the plan is trimmed afterwards.
    """

    problem: Problem
    patterns: Sequence[Filled]
    cost: float | None = None
    sticks: int | None = None
    seconds: float = 10.0
    nodes: int = 50_000
    each_once: bool = False

    def _start(self, aims: Sequence[float]) -> highspy.Highs:
        """A program with a column for every pattern."""
        highs = highspy.Highs()  # type: ignore[no-untyped-call]
        for option, value in (
            ("output_flag", False), ("threads", 1), ("mip_rel_gap", 0.0), ("mip_abs_gap", 1e-6),
            ("time_limit", self.seconds), ("mip_max_nodes", self.nodes),
        ):  # fmt: skip
            highs.setOptionValue(option, value)
        none = np.zeros(0, dtype=np.int32)
        stocks = self.problem.stocks
        for number in self.problem.demand.tolist():
            highs.addRow(float(number), float(number) if self.each_once else INF, 0, none, np.zeros(0))
        for stock in stocks:
            highs.addRow(-INF, INF if stock.limit is None else float(stock.limit), 0, none, np.zeros(0))
        highs.addRow(-INF, INF if self.cost is None else self.cost + 1e-6, 0, none, np.zeros(0))
        highs.addRow(-INF, INF if self.sticks is None else float(self.sticks), 0, none, np.zeros(0))
        kinds = len(self.problem.demand)
        for pattern, aim in zip(self.patterns, aims, strict=True):
            rows = [kind for kind, _ in pattern.counts]
            rows += [kinds + pattern.stock, kinds + len(stocks), kinds + len(stocks) + 1]
            values = [float(number) for _, number in pattern.counts]
            values += [1.0, stocks[pattern.stock].cost, 1.0]
            highs.addCol(aim, 0.0, INF, len(rows), np.array(rows, dtype=np.int32), np.array(values))
        self._whole(highs, 0, len(self.patterns))
        return highs

    @staticmethod
    def _whole(highs: highspy.Highs, start: int, end: int) -> None:
        places = np.arange(start, end, dtype=np.int32)
        highs.changeColsIntegrality(
            len(places), places, np.array([highspy.HighsVarType.kInteger] * len(places))
        )

    def least(self, aims: Sequence[float]) -> Chosen:
        """The choice with the least sum of `aims`, one for each pattern."""
        return self._run(self._start(aims))

    def longest_drop(self) -> Chosen:
        """The choice that leaves the longest drop in one stick; its bound is that of the drop, mm."""
        highs = self._start([0.0] * len(self.patterns))
        n = len(self.patterns)
        one = highs.getNumRow()
        highs.addRow(1.0, 1.0, 0, np.zeros(0, dtype=np.int32), np.zeros(0))
        for place, pattern in enumerate(self.patterns):
            row = highs.getNumRow()
            highs.addRow(0.0, INF, 1, np.array([place], dtype=np.int32), np.array([1.0]))
            drop = float(self.problem.rooms[pattern.stock]) - self.problem.need(dict(pattern.counts))
            highs.addCol(-drop, 0.0, 1.0, 2, np.array([row, one], dtype=np.int32), np.array([-1.0, 1.0]))
        self._whole(highs, n, 2 * n)
        found = self._run(highs)
        return Chosen(found.sticks, -found.bound, found.best)

    def _run(self, highs: highspy.Highs) -> Chosen:
        highs.run()
        info = highs.getInfo()
        status = highs.getModelStatus()
        best = status == highspy.HighsModelStatus.kOptimal
        if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
            return Chosen(None, -INF, False, status == highspy.HighsModelStatus.kInfeasible)
        amounts = highs.getSolution().col_value[: len(self.patterns)]
        picked = [p for p, amount in zip(self.patterns, amounts, strict=True) for _ in range(round(amount))]
        return Chosen(tuple(trimmed(self.problem, picked)), float(info.mip_dual_bound), best)


def trimmed(problem: Problem, sticks: Sequence[Filled]) -> list[Filled]:
    """The sticks without pieces cut too often (taken out of the emptiest first) and without empty ones.

    Raises:
        ValueError: a piece is missing.
    """
    spare = -problem.demand.copy()
    for stick in sticks:
        for kind, number in stick.counts:
            spare[kind] += number
    if (spare < 0).any():
        raise ValueError("a piece is missing from the plan")
    order = sorted(range(len(sticks)), key=lambda i: problem.need(dict(sticks[i].counts)))
    found: list[Filled | None] = [None] * len(sticks)
    for place in order:
        counts = dict(sticks[place].counts)
        for kind in list(counts):
            less = min(counts[kind], int(spare[kind]))
            counts[kind] -= less
            spare[kind] -= less
        found[place] = Filled.of(sticks[place].stock, counts)
    return [stick for stick in found if stick is not None and stick.counts]
