"""Least squares against certified reference data and scipy."""

import math

import numpy as np
import pytest
from scipy import stats

from cutlists.price.regression import least_squares

# NIST Statistical Reference Datasets, linear regression, "Norris" (lower difficulty): calibration of ozone
# monitors. Data and certified values from memory; that they fit each other to ten digits is what shows that
# memory served.
NORRIS = """
0.1 0.2 338.8 337.4 118.1 118.2 888.0 884.6 9.2 10.1 228.1 226.5 668.5 666.3 998.5 996.3 449.1 448.6
778.9 777.0 559.2 558.2 0.3 0.4 0.1 0.6 778.1 775.5 668.8 666.9 339.3 338.0 448.9 447.5 10.8 11.6
557.7 556.0 228.3 228.1 998.0 995.8 888.8 887.6 119.6 120.2 0.3 0.3 0.6 0.3 557.6 556.8 339.3 339.1
888.0 887.2 998.5 999.0 778.9 779.0 10.2 11.1 117.6 118.3 228.9 229.2 668.4 669.1 449.2 448.9 0.2 0.5
"""
# The same collection, "Longley" (higher difficulty): six measures that go up together. From memory too.
LONGLEY = """
60323 83.0 234289 2356 1590 107608 1947
61122 88.5 259426 2325 1456 108632 1948
60171 88.2 258054 3682 1616 109773 1949
61187 89.5 284599 3351 1650 110929 1950
63221 96.2 328975 2099 3099 112075 1951
63639 98.1 346999 1932 3594 113270 1952
64989 99.0 365385 1870 3547 115094 1953
63761 100.0 363112 3578 3350 116219 1954
66019 101.2 397469 2904 3048 117388 1955
67857 104.6 419180 2822 2857 118734 1956
68169 108.4 442769 2936 2798 120445 1957
66513 110.8 444546 4681 2637 121950 1958
68655 112.6 482704 3813 2552 123366 1959
69564 114.2 502601 3931 2514 125368 1960
69331 115.7 518173 4806 2572 127852 1961
70551 116.9 554894 4007 2827 130081 1962
"""


def test_a_line_has_the_certified_values_of_norris():
    y, x = np.array(NORRIS.split(), dtype=float).reshape(-1, 2).T
    fit = least_squares(x[:, None], y, intercept=True)
    assert fit.cases == 36
    assert fit.coefficients == pytest.approx([-0.262323073774029, 1.00211681802045], rel=1e-10)
    assert fit.errors == pytest.approx([0.232818234301152, 0.429796848199937e-3], rel=1e-10)
    assert fit.spread == pytest.approx(0.884796396144373, rel=1e-10)
    assert fit.explained == pytest.approx(0.999993745883712, rel=1e-12)


def test_a_line_through_the_origin_has_the_certified_values_of_noint1_and_noint2():
    # NIST StRD "NoInt1" and "NoInt2" (average difficulty), from memory.
    fit = least_squares([[x] for x in range(60, 71)], list(range(130, 141)), intercept=False)
    assert fit.coefficients[0] == pytest.approx(2.07438016528926, rel=1e-13)
    assert fit.errors[0] == pytest.approx(0.165289256198347e-1, rel=1e-12)
    assert fit.spread == pytest.approx(3.56753034006338, rel=1e-12)
    assert fit.explained == pytest.approx(0.999365492298663, rel=1e-13)
    fit = least_squares([[4], [5], [6]], [3, 4, 4], intercept=False)
    assert fit.coefficients[0] == pytest.approx(0.727272727272727, rel=1e-13)
    assert fit.errors[0] == pytest.approx(0.420827318078432e-1, rel=1e-12)
    assert fit.spread == pytest.approx(0.369274472937998, rel=1e-12)


def test_measures_that_go_up_together_have_the_certified_values_of_longley():
    table = np.array(LONGLEY.split(), dtype=float).reshape(-1, 7)
    fit = least_squares(table[:, 1:], table[:, 0], intercept=True)
    assert fit.coefficients == pytest.approx(
        [
            -3482258.63459582, 15.0618722713733, -0.358191792925910e-1, -2.02022980381683,
            -1.03322686717359, -0.511041056535807e-1, 1829.15146461355,
        ],
        rel=1e-8,  # the condition of these data costs half of the digits of a double
    )  # fmt: skip
    assert fit.errors[0] == pytest.approx(890420.383607373, rel=1e-8)
    assert fit.spread == pytest.approx(304.854073561965, rel=1e-9)


def test_intervals_hold_the_share_they_promise_and_agree_with_scipy():
    rng = np.random.default_rng(7)
    x = np.array([4.0, 9.0, 15.0, 22.0, 30.0])
    line = stats.linregress(x, 3 * x + 2 + np.array([0.3, -0.2, 0.5, -0.6, 0.1]))
    fit = least_squares(x[:, None], 3 * x + 2 + np.array([0.3, -0.2, 0.5, -0.6, 0.1]), intercept=True)
    assert fit.coefficients == pytest.approx([line.intercept, line.slope])
    assert fit.errors == pytest.approx([line.intercept_stderr, line.stderr])
    # 2000 sets of five boats with normal scatter: a sixth falls within its interval 95 times in a hundred.
    held, trials = 0, 2000
    for _ in range(trials):
        hours = 0.8 * x + rng.normal(0, 1.5, len(x))
        learnt = least_squares(x[:, None], hours, intercept=False)
        held += abs(0.8 * 12 + rng.normal(0, 1.5) - learnt.at([12.0])) <= learnt.margin([12.0])
    # Three standard deviations of a binomial share.
    assert abs(held / trials - 0.95) < 3 * math.sqrt(0.95 * 0.05 / trials)


def test_what_cannot_be_told_is_refused_or_endless():
    with pytest.raises(ValueError, match="2 numbers cannot be found from 1 cases"):
        least_squares([[1.0]], [1.0], intercept=True)
    with pytest.raises(ValueError, match="nothing in every case"):
        least_squares([[0.0], [0.0]], [1.0, 2.0], intercept=False)
    with pytest.raises(ValueError, match="go up and down together"):
        least_squares([[1.0, 2.0], [2.0, 4.0], [3.0, 6.0]], [1, 2, 4], intercept=False)
    assert math.isinf(least_squares([[2.0]], [3.0], intercept=False).margin([2.0]))
