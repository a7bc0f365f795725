"""Bundles: how thick, how long, how full passages become."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from model.ways.bundles import around, bundles, fillings
from model.ways.passages import Passage
from model.ways.run import Run

# Radius of the least circle about n equal circles of radius 1: Graham, Lubachevsky, Nurmela, Ostergard,
# Dense packings of congruent circles in a circle, Discrete Math. 181 (1998), to three places.
PACKINGS = {
    2: 2.000, 3: 2.154, 4: 2.414, 5: 2.701, 6: 3.000, 7: 3.000, 8: 3.304, 9: 3.613, 10: 3.813,
    11: 3.923, 12: 4.029, 13: 4.236, 14: 4.328, 15: 4.521, 16: 4.615, 17: 4.792, 18: 4.863, 19: 4.863,
}  # fmt: skip


@pytest.mark.parametrize("count", PACKINGS)
def test_equal_runs_need_no_less_than_the_densest_packing_and_little_more(count):
    need = around([10.0] * count)
    least = 10.0 * PACKINGS[count]
    assert least - 0.01 <= need <= 1.10 * least


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(2.0, 40.0), min_size=3, max_size=3))
def test_three_runs_lie_in_the_circle_about_them(own):
    """Laid side by side, two touching and the third against both, all three lie in a circle of that size.

    Its middle is found by scipy as the point from which the furthest run reaches least.
    """
    from scipy.optimize import minimize

    a, b, c = sorted((d / 2.0 for d in own), reverse=True)
    along = ((a + b) ** 2 + (a + c) ** 2 - (b + c) ** 2) / (2.0 * (a + b))
    middles = np.array([(0.0, 0.0), (a + b, 0.0), (along, math.sqrt(max(0.0, (a + c) ** 2 - along**2)))])
    radii = np.array([a, b, c])

    def reach(at):
        return float((np.hypot(*(middles - at).T) + radii).max())

    found = minimize(
        reach, middles.mean(axis=0), method="Nelder-Mead", options={"xatol": 1e-7, "fatol": 1e-9}
    )
    assert 2.0 * found.fun <= around(own) * (1.0 + 1e-4)


def run(name, path, diameter=6.0, passages=()):
    return Run(name, "wire", np.array(path, float), diameter, passages=passages)


def test_runs_that_share_a_stretch_are_a_bundle_there_and_only_there():
    one = run("a", [(0, 0, 0), (1000, 0, 0), (1000, 500, 0)])
    two = run("b", [(0, 0, 0), (1000, 0, 0), (1000, -500, 0)])
    far = run("c", [(0, 0, 200), (1000, 0, 200)])
    found = bundles([one, two, far])
    assert [b.runs for b in found] == [("a", "b")]
    assert found[0].length == pytest.approx(1000.0, abs=40.0)  # told to two steps of 20 mm
    assert found[0].diameter == pytest.approx(12.0)


def test_runs_that_cross_are_no_bundle():
    assert bundles([run("a", [(0, 0, 0), (800, 0, 0)]), run("b", [(400, -400, 0), (400, 400, 0)])]) == ()


def tube(length, diameter):
    return Passage("passage.tube", np.array([(0.0, 0, 0), (length, 0, 0)]), diameter, diameter, True, ())


@pytest.mark.parametrize(
    ("length", "count", "share"),
    [(1000, 1, 0.53), (1000, 2, 0.31), (1000, 3, 0.40), (1000, 9, 0.40), (600, 2, 0.60), (600, 9, 0.60)],
)
def test_passages_are_filled_no_further_than_the_table(length, count, share):
    """NEC chapter 9, table 1 and its note 4 (nipples up to 24 in); from memory."""
    for times, full in ((0.98, False), (1.02, True)):
        diameter = math.sqrt(times * share * 50.0**2 / count)
        runs = [run(f"w{k}", [(0, 0, 0), (length, 0, 0)], diameter, ("passage.tube",)) for k in range(count)]
        found = fillings(runs, [tube(length, 50.0)])[0]
        if found.thick <= 50.0:
            assert found.is_too_full is full
        assert found.share == pytest.approx(times * share)


def test_one_run_need_only_go_into_a_hole():
    hole = tube(40, 20.0)
    assert not fillings([run("a", [(0, 0, 0), (40, 0, 0)], 19.9, ("passage.tube",))], [hole])[0].is_too_full
    assert fillings([run("a", [(0, 0, 0), (40, 0, 0)], 20.1, ("passage.tube",))], [hole])[0].is_too_full
