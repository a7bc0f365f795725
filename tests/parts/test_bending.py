"""Bend allowance and least radii against published examples, tables and shop charts."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from parts.bending import (
    INCH,
    LEAST_RADIUS,
    Bending,
    bend_allowance,
    bend_deduction,
    k_from_test,
    least_radius,
    setback,
)
from parts.catalogue import starter

QUARTER = math.pi / 2
SHOP_K = 0.0078 * 180.0 / math.pi
"""sheetmetalworkbook.com/90bends.htm: BA = (0.01743 R + 0.0078 T) A in degrees."""


def test_worked_example_of_three_bends_as_printed() -> None:
    """sheetmetalworkbook.com/90bends.htm: T 0.050, R 0.032, four legs, three right angles; inches."""
    thickness, radius, legs = 0.050, 0.032, (0.740, 0.420, 1.050, 1.000)
    allowance = bend_allowance(QUARTER, radius, thickness, SHOP_K)
    deduction = bend_deduction(QUARTER, radius, thickness, SHOP_K)
    assert f"{allowance:.3f}" == "0.085"
    assert f"{2 * setback(QUARTER, radius, thickness):.3f}" == "0.164"
    assert f"{deduction:.3f}" == "0.079"
    assert f"{sum(legs) - 3 * round(deduction, 3):.3f}" == "2.973"


def test_formulas_at_another_angle() -> None:
    """A 60 degree bend drawn out: the tangent lines of a circle of R + T meet at (R + T) tan 30."""
    assert setback(math.radians(60), 3.0, 2.0) == pytest.approx(5.0 / math.sqrt(3))
    assert bend_allowance(math.radians(60), 3.0, 2.0, 0.5) == pytest.approx(2 * math.pi * 4.0 / 6)


@given(angle=st.floats(0.1, 2.6), radius=st.floats(0, 20), thickness=st.floats(0.5, 8), k=st.floats(0.2, 0.5))
def test_a_test_bend_gives_its_k_back(angle: float, radius: float, thickness: float, k: float) -> None:
    allowance = bend_allowance(angle, radius, thickness, k)
    assert k_from_test(angle, radius, thickness, allowance) == pytest.approx(k, abs=1e-9)


# bjg-design.com/designbook/shbend.htm: multiples of the thickness at 1/16, 1/8 and 1/4 in.
@pytest.mark.parametrize(
    ("alloy", "sixteenth", "eighth", "quarter"),
    [
        ("5052-O", 0, 0.5, 1),
        ("5052-H32", 1, 1.5, 1.5),
        ("5052-H34", 1.5, 2, 2.5),
        ("6061-T4", 1, 1.5, 3),
        ("6061-T6", 1.5, 2.5, 3.5),
    ],
)
def test_least_radii_of_the_table(alloy: str, sixteenth: float, eighth: float, quarter: float) -> None:
    for part, times in ((1 / 16, sixteenth), (1 / 8, eighth), (1 / 4, quarter)):
        assert least_radius(alloy, part * INCH) == pytest.approx(times * part * INCH)


def test_between_two_columns_the_thicker_one_holds() -> None:
    assert least_radius("6061-T6", 0.090 * INCH) == pytest.approx(2.5 * 0.090 * INCH)
    assert least_radius("5052-H32", 2.0) == pytest.approx(3.0)


def test_every_row_rises_with_thickness_and_has_every_column() -> None:
    for row in LEAST_RADIUS.values():
        assert len(row) == 8
        assert list(row) == sorted(row)


def test_what_the_table_lacks_is_not_made_up() -> None:
    assert least_radius("5086-H116", 3.0) is None
    assert least_radius("5052-H32", 16.0) is None
    assert Bending().radius(starter().sheets["5086-0.125"]) is None


# The shop chart of the same page, preferred radii of 5052-H32, inches: an independent check of the least
# radius taken up to the next punch.
@pytest.mark.parametrize(
    ("gauge", "chart"),
    [("0.063", 0.094), ("0.080", 0.125), ("0.090", 0.156), ("0.100", 0.156), ("0.125", 0.188)],
)
def test_the_usual_radius_is_the_one_shop_charts_prefer(gauge: str, chart: float) -> None:
    found = Bending().radius(starter().sheets[f"5052-{gauge}"])
    assert found is not None
    assert found / INCH == pytest.approx(chart, abs=0.0006)  # the chart prints three places


def test_the_shop_comes_before_the_table() -> None:
    sheet = starter().sheets["5052-0.125"]
    shop = Bending(radii={sheet.name: 6.0}, tested={sheet.name: 0.41}, relief=3.0)
    assert (shop.radius(sheet), shop.k(sheet), shop.relief_width(sheet)) == (6.0, 0.41, 3.0)
    assert Bending().relief_width(sheet) == sheet.thickness
    assert Bending().k(sheet) == pytest.approx(SHOP_K, abs=5e-4)
