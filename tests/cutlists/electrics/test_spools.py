"""Spools of wire: the cheapest set, held against every set there is and an exact integer solver."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from cutlists.electrics.spool_file import WireStock
from cutlists.electrics.spools import FOOT, Spool, SpoolPlan, bought, spool_plan

SMALL, LARGE = Spool(25 * FOOT, 9.0), Spool(100 * FOOT, 30.0)


def holds(plan: SpoolPlan, lengths: list[float]) -> None:
    """Every length lies on one spool, and no spool is cut beyond its length."""
    assert sorted(itertools.chain(*(own for _, own in plan.spools))) == sorted(lengths)
    assert all(sum(own) <= spool.length + 1e-6 or spool.cut for spool, own in plan.spools)


def least_cost(lengths: list[float], spools: list[Spool]) -> float:
    """By a mixed integer program (HiGHS through scipy): of each kind at most one spool a length."""
    kinds = [spool for spool in spools for _ in lengths]
    n, m = len(lengths), len(kinds)
    cost = np.concatenate([[s.price for s in kinds], np.zeros(n * m)])
    rows, low, high = [], [], []
    for i in range(n):  # each length on one spool
        row = np.zeros(m + n * m)
        row[m + i * m : m + (i + 1) * m] = 1.0
        rows.append(row)
        low.append(1.0)
        high.append(1.0)
    for j, spool in enumerate(kinds):  # no spool over its length
        row = np.zeros(m + n * m)
        row[j] = -spool.length
        row[m + j :: m] = lengths
        rows.append(row)
        low.append(-np.inf)
        high.append(0.0)
    held = LinearConstraint(np.array(rows), low, high)
    found = milp(cost, constraints=held, integrality=np.ones(len(cost)), bounds=Bounds(0, 1))
    return float(found.fun)


@settings(max_examples=12, deadline=None)
@given(st.lists(st.integers(2, 25), min_size=1, max_size=6))
def test_the_cheapest_set_is_found(feet):
    lengths = [k * FOOT for k in feet]
    plan = spool_plan(lengths, [SMALL, LARGE])
    holds(plan, lengths)
    assert plan.cost == pytest.approx(least_cost(lengths, [SMALL, LARGE]))


def test_one_large_spool_where_it_is_cheaper_than_many():
    lengths = [20 * FOOT] * 4
    plan = spool_plan(lengths, [SMALL, LARGE])
    assert [spool for spool, _ in plan.spools] == [LARGE]
    assert plan.waste == pytest.approx(20 * FOOT)


def test_without_prices_the_least_length_is_bought():
    plain = [Spool(25 * FOOT), Spool(100 * FOOT)]
    plan = spool_plan([20 * FOOT, 5 * FOOT, 24 * FOOT], plain)
    assert sum(spool.length for spool, _ in plan.spools) == pytest.approx(50 * FOOT)
    assert plan.cost is None


def test_wire_that_is_cut_off():
    off = Spool(FOOT, 2.0, cut=True)
    plan = spool_plan([3.5 * FOOT, 3.6 * FOOT], [off])
    ((spool, lengths),) = plan.spools
    assert bought(spool, lengths) == 8  # 7.1 ft by the foot
    assert plan.cost == 16.0
    assert plan.waste == 0.0


def test_a_length_beyond_every_spool_is_bought_by_itself():
    plan = spool_plan([30 * FOOT, 5 * FOOT], [SMALL])
    assert [spool.length / FOOT for spool, _ in plan.spools] == pytest.approx([30.0, 25.0])
    assert plan.cost is None


def test_many_short_pieces_take_no_time_and_no_more_than_one_spool_over_their_length():
    lengths = [(3 + k % 9) * FOOT for k in range(30)]
    plan = spool_plan(lengths, [SMALL])
    holds(plan, lengths)
    assert len(plan.spools) <= math.ceil(sum(lengths) / SMALL.length) + 1


def test_hundreds_of_lengths_come_from_the_spools_that_are_cheapest_by_the_length():
    lengths = [(3 + k % 17) * FOOT for k in range(500)]
    plan = spool_plan(lengths, [SMALL, LARGE])
    holds(plan, lengths)
    assert {spool for spool, _ in plan.spools} == {LARGE}
    assert plan.waste < 2 * LARGE.length


def test_usual_spools_of_sizes_that_the_shop_does_not_name():
    stock = WireStock()
    assert [spool.length / FOOT for spool in stock.of("16")] == pytest.approx([25.0, 100.0])
    (heavy,) = stock.of("2/0")
    assert heavy.cut
