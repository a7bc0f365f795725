"""Current over the day and battery hours against Peukert's law worked by hand."""

from __future__ import annotations

import pytest

from model.capacity.drive import hours_at
from model.electrics.settings import Use
from tests.model.electrics.small import bank, circuit, house, load, report


def day(own):
    found = report(own)
    assert found.budget is not None
    (only,) = found.budget.banks
    return only, found


def lamp(amps, uses, shares, **bank_more):
    own = house(
        circuit("lamp", "box", "lamp", back="bus"), loads=[load("lamp", 4.0, amps, **shares)], uses=uses
    )
    own.banks["house"] = bank("house", 0.0, **bank_more)
    return own


def test_at_the_rated_current_a_battery_lasts_its_rated_hours():
    """100 Ah at the 20 hour rate are 5 A for 20 h: 10 h leave half."""
    found, _ = day(lamp(5.0, [Use("day", 10.0, {})], {"day": 1.0}))
    assert found.left == pytest.approx(0.5)
    assert found.lasts is None


def test_above_it_by_peukert_as_the_drive_has_it():
    """25 A from 100 Ah, k 1.2: 20 (100 / 500)^1.2 = 2.90 h to empty, half of it to the reserve."""
    found, report_ = day(lamp(25.0, [Use("day", 4.0, {})], {"day": 1.0}))
    assert found.lasts == pytest.approx(0.5 * 20.0 * 0.2**1.2)
    assert found.lasts == pytest.approx(hours_at(100.0, 25.0, "lead", 0.5))
    assert [f.kind for f in report_.findings] == ["charge"]
    assert found.left == 0.0


def test_below_it_no_more_than_rated():
    found, _ = day(lamp(1.0, [Use("day", 10.0, {})], {"day": 1.0}))
    assert found.left == pytest.approx(0.9)


def test_part_of_the_time_costs_as_much_as_the_same_current_for_that_part():
    part, _ = day(lamp(25.0, [Use("day", 4.0, {})], {"day": 0.25}))
    whole, _ = day(lamp(25.0, [Use("day", 1.0, {})], {"day": 1.0}))
    assert part.left == pytest.approx(whole.left)
    assert part.amp_hours == pytest.approx(25.0)


def test_uses_follow_on_each_other_and_charge_comes_in_between():
    uses = [Use("out", 4.0, {}), Use("run", 2.0, {"house": 8.0}), Use("night", 5.0, {})]
    found, _ = day(lamp(5.0, uses, {"out": 1.0, "night": 1.0}))
    assert [round(spent.left, 3) for spent in found.spent] == [0.8, 0.96, 0.71]
    assert found.amp_hours == pytest.approx(45.0)


def test_a_battery_is_not_charged_beyond_full():
    found, _ = day(lamp(1.0, [Use("run", 9.0, {"house": 30.0})], {}))
    assert found.left == 1.0


def test_a_battery_of_unknown_charge_is_named():
    own = lamp(1.0, [Use("day", 1.0, {})], {"day": 1.0}, amp_hours=None)
    budget = report(own).budget
    assert budget is not None
    assert (budget.banks, budget.unknown) == ((), ("house",))
