"""How much is lacking and where, in the units of the boat."""

import math

import numpy as np
import pytest

from model.checks.words import short_told, where_told
from model.findings import Finding


def finding(short=None, measure="mm", where=None):
    return Finding("gap", ("a", "b"), "stand too near", "part them", where, short=short, measure=measure)


@pytest.mark.parametrize(
    ("short", "measure", "units", "told"),
    [
        (25.4 * 3.25, "mm", "in", '3-1/4"'),
        (2.0, "mm", "in", "2.0 mm (3/32\")"),
        (12.34, "mm", "mm", "12.3 mm"),
        (math.radians(23.0), "rad", "in", "23.0 degrees"),
        (7.570823568, "litre", "in", "7.6 litres (2.00 US gal)"),  # NIST: 1 US gal = 3.785 411 784 L
        (7.5, "litre", "mm", "7.5 litres"),
        (0.25, "", "mm", "25 %"),
        (4.25, "kg", "mm", "4.2 kg"),
        (3, "rods", "mm", "3 rods"),
        (None, "mm", "mm", ""),
        (math.inf, "mm", "mm", ""),
    ],
)  # fmt: skip
def test_how_much_is_lacking(short, measure, units, told):
    assert short_told(finding(short, measure), units) == told


@pytest.mark.parametrize(
    ("y", "told"),
    [(-100.0, "100.0 mm to starboard"), (100.0, "100.0 mm to port"), (0.0, "on the centreline")],
)
def test_where_it_is(y, told):
    words = where_told(finding(where=np.array([1500.0, y, 300.0])), "mm")
    assert words.startswith("1500.0 mm from the transom, ")
    assert told in words
    assert words.endswith("300.0 mm up")
    assert where_told(finding(), "mm") == ""
