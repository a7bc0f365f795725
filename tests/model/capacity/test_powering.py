"""Greatest horsepower: multiples of five as Wisconsin NR 5.12 prints them, else by hand from the rule."""

import pytest

from model.capacity.powering import greatest_power


@pytest.mark.parametrize(
    ("length", "transom", "remote", "height", "hard_chine", "power"),
    [
        (12.0, 3.0, False, 15.0, False, 5.0),
        (12.0, 3.25, False, 15.0, True, 3.0),
        (13.5, 3.1, False, 15.0, False, 7.5),
        (14.0, 4.0, False, 15.0, False, 20.0),
        (14.0, 4.0, False, 15.0, True, 15.0),
        (16.0, 5.5, True, 20.0, False, 90.0),
        (16.0, 5.5, True, 20.0, True, 90.0),
        (16.0, 5.5, False, 15.0, False, 50.0),
        (16.0, 5.5, False, 15.0, True, 30.0),
        (17.5, 6.0, True, 20.0, False, 120.0),
        # remote steering alone is not enough: the transom is low
        (16.0, 5.5, True, 19.0, False, 50.0),
    ],
)
def test_by_hand(length, transom, remote, height, hard_chine, power):
    assert greatest_power(length, transom, remote, height, hard_chine).power == power


def test_a_factor_of_46_is_not_rounded_down():
    # 12 ft x 46 in is 46.0 exactly: 15 hp, and 10 only for a flat bottom with a hard chine
    assert greatest_power(12.0, 46.0 / 12.0, False, 15.0, False).power == 15.0
    assert greatest_power(12.0, 46.0 / 12.0, False, 15.0, True).power == 10.0


@pytest.mark.parametrize(
    ("formula", "marked"),
    [(21, 25), (22, 25), (23, 25), (24, 25), (26, 30), (27, 30), (28, 30), (29, 30), (25, 25), (30, 30)],
)
def test_printed_multiples_of_five(formula, marked):
    # 0.8 F - 25 gives the computed figure for a boat 10 ft long
    factor = (formula + 25.0) / 0.8
    found = greatest_power(10.0, factor / 10.0, False, 15.0, False)
    assert found.formula == pytest.approx(formula)
    assert found.power == marked


@pytest.mark.parametrize(
    ("factor", "power"), [(20, 3), (35.4, 3), (35.5, 5), (39, 5), (42, 7.5), (45, 10), (46, 15), (52.4, 15)]
)
def test_the_steps_below_52(factor, power):
    assert greatest_power(10.0, factor / 10.0, False, 15.0, False).power == power
