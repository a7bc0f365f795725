"""Masses and volumes as people write them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from parts.amounts import format_force, format_mass, parse_force, parse_mass, parse_volume


# NIST SP 811, appendix B.8: the avoirdupois pound, the ounce, the US gallon and liquid quart.
@pytest.mark.parametrize(
    ("text", "kilograms"),
    [
        ("12 lb", 5.44310844),
        ("12lb", 5.44310844),
        ("16 oz", 0.45359237),
        (".5 kg", 0.5),
        ("900 g", 0.9),
        (3, 3.0),
    ],
)
def test_masses(text: str | int, kilograms: float) -> None:
    assert parse_mass(text) == pytest.approx(kilograms, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "litres"), [("12 gal", 45.424941408), ("4 qt", 3.785411784), ("45 L", 45), (7.5, 7.5)]
)
def test_volumes(text: str | float, litres: float) -> None:
    assert parse_volume(text) == pytest.approx(litres, rel=1e-9)


@given(st.floats(1e-3, 1e4))
def test_a_mass_that_is_written_out_reads_back(mass: float) -> None:
    assert parse_mass(f"{mass:.6f} kg") == pytest.approx(mass, abs=1e-6)


@pytest.mark.parametrize(
    "text", ["", "heavy", "-3 kg", "0", 0, -1, "3 stone", "1e9", "12 lb 3 oz", "nan", "inf", "3,5 kg", True]
)
def test_what_is_no_mass_is_refused_with_the_way_to_write_it(text: str | int) -> None:
    with pytest.raises(ValueError, match=r"write it like 5\.4 kg|that a boat could carry"):
        parse_mass(text)


@pytest.mark.parametrize(
    ("units", "told"), [("in", "40 lbf (178 N)"), ("ft", "40 lbf (178 N)"), ("mm", "178 N")]
)
def test_a_force_for_people(units, told):
    assert format_force(parse_force("40 lbf"), units) == told


@pytest.mark.parametrize(
    ("text", "newtons"),
    [("80 lbf", 355.8577), ("80 lb", 355.8577), ("356 N", 356.0), ("10 kgf", 98.0665), (55, 55.0)],
)
def test_forces(text, newtons):
    # NIST SP 811, appendix B.8: 1 lbf = 4.448222 N, 1 kgf = 9.80665 N
    assert parse_force(text) == pytest.approx(newtons, rel=1e-6)


@pytest.mark.parametrize("text", ["strong", "-5 N", "0", "80 stone", "", True])
def test_no_forces(text):
    with pytest.raises(ValueError, match="not a force above zero"):
        parse_force(text)


@pytest.mark.parametrize(("units", "shown"), [("in", "412 lb"), ("ft", "412 lb"), ("mm", "186.9 kg")])
def test_masses_are_shown_in_the_units_of_the_boat(units, shown):
    assert format_mass(186.9, units) == shown
