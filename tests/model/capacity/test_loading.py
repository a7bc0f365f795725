"""Safe loading against the handbook's printed examples and arithmetic on the rule's own formulas.

Printed: Coast Guard Boatbuilder's Handbook, Safe Loading 6.2, special discussion of 33 CFR 183.41. The others
are worked by hand from 33 CFR 183.35, 183.37, 183.41 and 183.43.
"""

import pytest

from model.capacity.loading import (
    five_stations,
    outboard_loading,
    persons_of,
    small_motor_loading,
)
from model.capacity.outboards import ROWS, outboard_row
from parts.amounts import POUND

WATER = 62.4
"""lb/ft3, as the handbook has it."""


def left_for_persons(pounds: float, side: float | None = None):
    """A boat with so many pounds left for persons."""
    return outboard_loading(5.0 * (pounds + 350.0), 0.0, 350.0, side)


def test_printed_550_pounds_and_no_test():
    found = left_for_persons(550.0)
    assert not found.needs_test
    assert pytest.approx(4.1277, abs=1e-4) == (550.0 + 32.0) / 141.0
    assert found.persons == 4


def test_printed_547_pounds_with_545_along_the_side():
    assert left_for_persons(547.0).persons is None
    found = left_for_persons(547.0, 545.0)
    assert found.needs_test
    # 545 / 0.6 = 908 does not govern
    assert found.persons_weight == pytest.approx(547.0)
    assert found.persons == 4


def test_little_weight_along_the_side_governs():
    found = left_for_persons(500.0, 240.0)
    assert found.persons_weight == pytest.approx(400.0)
    assert found.persons == 3


@pytest.mark.parametrize(
    ("displacement", "boat", "power", "side", "weight", "left", "persons"),
    [
        (6400.0, 1150.0, 60.0, None, 1050.0, 591.0, 4),
        (3300.0, 310.0, 9.9, 290.0, 598.0, 413.0, 3),
        (5027.63, 480.0, 25.0, None, 909.53, 559.53, 4),
    ],
)
def test_outboards_by_hand(displacement, boat, power, side, weight, left, persons):
    found = outboard_loading(displacement, boat, outboard_row(power).total, side)
    assert found.weight == pytest.approx(weight, abs=0.01)
    assert found.persons_weight == pytest.approx(left, abs=0.01)
    assert found.persons == persons


def test_five_percent_less_water_calls_for_the_test():
    found = outboard_loading(4776.25, 480.0, outboard_row(25.0).total)
    assert found.weight == pytest.approx(859.25)
    assert found.needs_test
    assert found.persons_weight is None


def test_rowed_and_with_two_horsepower():
    rowed, motored = small_motor_loading(1650.0, 180.0, False), small_motor_loading(1650.0, 180.0, True)
    assert rowed.weight == pytest.approx(441.0)
    assert (rowed.persons_weight, rowed.persons) == (pytest.approx(396.9), 3)
    assert (motored.persons_weight, motored.persons) == (pytest.approx(371.9), 3)


def test_a_boat_heavier_than_her_water_carries_nothing():
    found = outboard_loading(900.0, 1000.0, 350.0, 0.0)
    assert (found.weight, found.persons_weight, found.persons) == (0.0, 0.0, 0)


@pytest.mark.parametrize(("pounds", "persons"), [(38.4, 0), (38.6, 1), (179.4, 1), (179.5, 2), (320.5, 3)])
def test_a_half_person_goes_up(pounds, persons):
    assert persons_of(pounds) == persons


@pytest.mark.parametrize(
    ("length", "areas", "cubic_feet", "pounds"),
    [
        (168.0, (1008.0,) * 5, 98.0, 6115.20),
        # 1000 (1 - (1 - x/L)^2): exactly 2/3 of 1000 L
        (180.0, (0.0, 437.5, 750.0, 937.5, 1000.0), 69.444, 4333.33),
        (184.0, (0.0, 520.0, 900.0, 1050.0, 1000.0), 80.571, 5027.63),
    ],
)
def test_volume_by_five_sections(length, areas, cubic_feet, pounds):
    volume = five_stations(length, areas) / 1728.0
    assert volume == pytest.approx(cubic_feet, abs=1e-3)
    assert WATER * volume == pytest.approx(pounds, abs=0.01)


def test_every_row_of_the_outboards_adds_up():
    # S-30 Table 1A: total is running + rigging + dry battery + tank; running 105 % of dry, swamped 85 % of it
    for row in ROWS:
        assert row.total == row.running + row.rigging + row.battery_dry + row.tank
        assert row.running == pytest.approx(1.05 * row.dry, abs=1.0)
        assert row.swamped == pytest.approx(0.85 * row.running, abs=1.0)


@pytest.mark.parametrize(("power", "total"), [(2.0, 32), (9.9, 185), (40.0, 459), (34.95, 459), (300.0, 914)])
def test_rows_are_found_by_horsepower(power, total):
    assert outboard_row(power).total == total


def test_a_motor_past_the_table_is_refused():
    with pytest.raises(ValueError, match="400 hp is beyond the table"):
        outboard_row(400.0)


def test_the_pound():
    assert POUND == 0.45359237
