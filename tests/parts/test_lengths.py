"""Lengths as people write them. The inch is 25.4 mm and the foot 304.8 mm (NIST SP 811, appendix B.8)."""

import contextlib
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from parts.lengths import UNITS, format_fraction, format_length, parse_angle, parse_length


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("63-1/4 in", 63.25),
        ("63 1/4 in", 63.25),
        ('63-1/4"', 63.25),
        ("63-1/4", 63.25),
        ("63¼ in", 63.25),
        ("63-¼″", 63.25),
        ("¾ in", 0.75),
        ("3/4 inch", 0.75),
        ("1/4", 0.25),
        (".5 in", 0.5),
        ("5' 3-1/4\"", 63.25),
        ("5'3-1/4\"", 63.25),
        ("5'-3\"", 63),
        ("5′ 3¼″", 63.25),
        ("5’ 3”", 63),
        ("5' 3''", 63),
        ("5' 3/4\"", 60.75),
        ("5 ft 3 in", 63),
        ("5.5 ft", 66),
        ("16 feet", 192),
        ("-5' 3\"", -63),
        ("+2 in", 2),
        ("−2 in", -2),
        (63.25, 63.25),
        (63, 63),
    ],
)
def test_inches_and_feet_in_every_spelling(text, inches):
    assert parse_length(text, "in") == pytest.approx(inches * 25.4, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "mm"), [("1606 mm", 1606), ("160.6cm", 1606), ("1.6 m", 1600), ("1606", 1606), (16.5, 16.5)]
)
def test_metric_lengths_and_bare_numbers_in_the_files_units(text, mm):
    assert parse_length(text, "mm") == pytest.approx(mm, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("1,5 m", "a comma; write decimals with a point"),
        ("12 yards", "'yards' is not a unit of length"),
        ("5' 3", "lacks the unit after the inches"),
        ("5' 14\"", "12 inches or more"),
        ("3-5/4", "not below one"),
        ("1/0 in", "divides by zero"),
        ("63.99/64", "decimal inside a fraction"),
        ("3 - 1/4", "is not a length"),
        ("12:30", "is not a length"),
        ("1e3", "is not a length"),
        ("", "empty text"),
        ("in", "is not a length"),
        ("9" * 500, "is not a length"),
        ("2000000", "over 1 km"),
        (math.inf, "over 1 km"),
        (math.nan, "over 1 km"),
        (10**400, "over 1 km"),
        (True, "true is not a length"),
        (None, "an empty value is not a length"),
        ([1], "a list is not a length"),
        ({"a": 1}, "a dict is not a length"),
    ],
)
def test_what_is_no_length_is_refused_with_how_to_write_it(text, said):
    with pytest.raises(ValueError, match=r"write|use one of") as caught:
        parse_length(text, "mm")
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("inches", "denominator", "written"),
    [
        (63.25, 16, '63-1/4"'),
        (60.75, 16, '60-3/4"'),
        (0.75, 16, '3/4"'),
        (63, 16, '63"'),
        (0, 16, '0"'),
        (63 + 63.99 / 64, 64, '64"'),
        (63 + 63.4 / 64, 64, '63-63/64"'),
        (63.99 / 64, 16, '1"'),
        (-63.25, 16, '-63-1/4"'),
        (-0.001, 16, '0"'),
        (1 / 3, 8, '3/8"'),
    ],
)
def test_fractions_are_reduced_and_carry(inches, denominator, written):
    assert format_fraction(inches * 25.4, denominator) == written


@pytest.mark.parametrize(
    ("inches", "written"),
    [
        (63.25, "5' 3-1/4\""),
        (60.75, "5' 3/4\""),
        (60, "5' 0\""),
        (11.75, '11-3/4"'),
        (11.99, "1' 0\""),
        (59.99, "5' 0\""),
        (-63.25, "-5' 3-1/4\""),
    ],
)
def test_feet_and_inches_carry_too(inches, written):
    assert format_fraction(inches * 25.4, feet=True) == written


@given(
    mm=st.floats(-30_000, 30_000),
    denominator=st.sampled_from([1, 2, 4, 8, 10, 16, 32, 64, 100]),
    feet=st.booleans(),
)
def test_what_is_written_reads_back_within_half_a_mark(mm, denominator, feet):
    back = parse_length(format_fraction(mm, denominator, feet), "mm")
    assert abs(back - mm) <= 25.4 / denominator / 2 + 1e-9


@given(sixteenths=st.integers(-20_000, 20_000), feet=st.booleans())
def test_a_length_on_a_mark_reads_back_exactly(sixteenths, feet):
    mm = float(sixteenths * 127) / 80  # 25.4 / 16 = 127 / 80, so that one rounding is made, as in parsing
    assert parse_length(format_fraction(mm, feet=feet), "in") == mm


@given(mm=st.floats(-9_000, 9_000), units=st.sampled_from(sorted(UNITS)))
def test_every_unit_reads_back_what_it_shows(mm, units):
    tolerance = 25.4 / 32 if units in ("in", "ft") else 0.05
    assert abs(parse_length(format_length(mm, units), "mm") - mm) <= tolerance + 1e-9


def test_metric_lengths_keep_a_tenth_of_a_millimetre():
    assert [format_length(1606.44, unit) for unit in ("mm", "cm", "m")] == [
        "1606.4 mm",
        "160.64 cm",
        "1.6064 m",
    ]
    assert format_length(-0.01, "mm") == "0.0 mm"


def test_fractions_of_nothing_are_refused():
    with pytest.raises(ValueError, match="1/0 inch"):
        format_fraction(1.0, 0)
    with pytest.raises(ValueError, match="nan"):
        format_fraction(math.nan)


@given(st.text(max_size=60))
def test_any_text_is_a_length_or_a_value_error(text):
    # A text that holds a number is likelier to get far into the parser than a text at large.
    for tried in (text, f"5' {text}", f"{text} in", f"3-1/{text}"):
        with contextlib.suppress(ValueError):
            assert abs(parse_length(tried, "in")) <= 1e6


@pytest.mark.parametrize(
    ("text", "degrees"),
    [
        ("45", 45),
        ("45 deg", 45),
        ("22-1/2°", 22.5),
        (-30, -30),
        ("-12.5 degrees", -12.5),
        (f"{math.pi} rad", 180),
    ],
)
def test_angles(text, degrees):
    assert parse_angle(text) == pytest.approx(math.radians(degrees), abs=1e-12)


@pytest.mark.parametrize("text", ["45 in", "", "a", "400", True, None, [45], "1e2", math.nan])
def test_what_is_no_angle_is_refused(text):
    with pytest.raises(ValueError, match="write it like 45"):
        parse_angle(text)
