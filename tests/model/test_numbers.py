"""Texts of a boat file to numbers: lengths, angles, points, polylines, limits."""

from __future__ import annotations

import math

import numpy as np
import pytest

from model.boatfile.numbers import Numbers
from model.boatfile.reader import check_boat_file
from model.boatfile.schema import RunEntry
from parts.faults import FaultList
from parts.yamlfile import read_text

HEAD = "boat: test\nhull: {lines: [keel, gunwale], survey: x.csv}\n"


def reader(text: str = "", units: str = "mm") -> Numbers:
    document = read_text(f"{HEAD}units: {units}\n{text}", "t.yaml")
    return Numbers(document, check_boat_file(document), FaultList())


def told(numbers: Numbers) -> list[str]:
    return [f"{f.place.key}: {f.wrong}" for f in numbers.faults]


@pytest.mark.parametrize(
    ("units", "value", "mm"),
    [
        ("mm", 12, 12.0),
        ("in", 12, 304.8),
        ("in", "3-1/4", 82.55),
        ("in", "12 mm", 12.0),
        ("mm", "5' 3-1/4\"", 1606.55),
        ("in", "a", 1000.0),
        ("in", "(a - 4 in) / 2", 449.2),
        ("in", "a - 4", 898.4),
        ("mm", "min(a, 900)", 900.0),
        ("m", "-0.25", -250.0),
    ],
)
def test_lengths(units, value, mm):
    numbers = reader("dimensions: {a: 1000 mm}", units)
    assert numbers.length(value, "x") == pytest.approx(mm, abs=1e-9)
    assert not numbers.faults


def test_a_fault_is_nan_at_its_place():
    numbers = reader()
    assert math.isnan(numbers.length("12 inchs", "decks", "a", "height"))
    assert told(numbers) == ["decks.a.height: 'inchs' is not a unit of length"]


def test_signs_are_asked_for():
    numbers = reader()
    assert numbers.positive(3, "x") == 3.0
    assert numbers.not_negative(0, "x") == 0.0
    assert math.isnan(numbers.positive(0, "a"))
    assert math.isnan(numbers.not_negative(-1, "b"))
    assert told(numbers) == ["a: 0 is not above zero", "b: -1 is below zero"]


def test_what_is_absent_takes_its_default():
    numbers = reader()
    assert numbers.length_or(None, 7.0, "x") == 7.0
    assert numbers.length_or(3, 7.0, "x") == 3.0


@pytest.mark.parametrize(
    ("text", "degrees"),
    [
        (45, 45), ("45 deg", 45), ("22-1/2 deg", 22.5), ("face", 135), ("face - 180", -45),
        ("180 deg - face", 45),
        ("face / 3 + 1", 46), ("2 * 45", 90), (-30, -30), (f"{math.pi / 2} rad", 90),
    ],
)  # fmt: skip
def test_angles(text, degrees):
    numbers = reader("angles: {face: {value: 135, least: 110, greatest: 150}}")
    assert math.degrees(numbers.angle(text, "x")) == pytest.approx(degrees, abs=1e-9)
    assert not numbers.faults


@pytest.mark.parametrize("text", ["45 mm", "face + 3 in", "fase", "", "face *", "face * face", "400", "1/0"])
def test_what_is_no_angle(text):
    numbers = reader("angles: {face: 135}")
    assert math.isnan(numbers.angle(text, "x"))
    assert len(numbers.faults) == 1


def test_every_faulty_dimension_is_told_once():
    numbers = reader("dimensions: {a: b, b: a, c: 5 inchs, d: 2 * c, e: 300}")
    assert told(numbers) == [
        "dimensions.a: it loops back on itself: a -> b -> a",
        "dimensions.c: 'inchs' is not a unit of length",
    ]
    # and what leans on them says nothing more
    assert math.isnan(numbers.length("a + d + e", "x"))
    assert len(numbers.faults) == 2


@pytest.mark.parametrize(
    ("limits", "fault"),
    [
        ("value: 300, least: 200, greatest: 400", None),
        ("value: 200, least: 200, greatest: 200", None),
        ("value: 300, least: other + 100", None),
        ("value: 300, least: 301", "a.value: the value is below its own least"),
        ("value: 300, greatest: 299", "a.value: the value is above its own greatest"),
        ("value: 300, least: 400, greatest: 200", "a.least: least is above greatest"),
        ("value: 300, greatest: othr", "a.greatest: 'othr' is not a named dimension"),
    ],
)
def test_limits_of_a_dimension(limits, fault):
    numbers = reader(f"dimensions: {{other: 200, a: {{{limits}}}}}")
    assert told(numbers) == ([] if fault is None else [f"dimensions.{fault}"])


def test_a_polyline_with_runs():
    """The rod locker's edge: straight, then away at 45 degrees to a line, or by length."""
    numbers = reader()
    points = [[2000, 350], [1500, 350], RunEntry(angle=135, to_y=650), RunEntry(angle=90, length=50)]
    found = numbers.polyline(points, "x")
    np.testing.assert_allclose(found, [(2000, 350), (1500, 350), (1200, 650), (1200, 700)], atol=1e-9)
    found = numbers.polyline([[0, 0], RunEntry(angle=-45, to_x=100)], "x")
    np.testing.assert_allclose(found, [(0, 0), (100, -100)], atol=1e-9)
    assert not numbers.faults


@pytest.mark.parametrize(
    ("points", "fault"),
    [
        ([RunEntry(angle=0, length=5), [3, 3]], "x[1]: a polyline cannot begin with a run"),
        ([[0, 0], [0, 0.05]], "x[2]: the point is the same as the one before it"),
        ([[0, 0], RunEntry(angle=0, to_y=5)], "x[2]: a run at this angle never reaches to_y 5"),
        ([[0, 0], RunEntry(angle=180, to_x=5)], "x[2]: to_x 5 lies behind the run"),
        ([[0, 0], RunEntry(angle=0)], "x[2]: a run needs one end"),
        ([[0, 0], RunEntry(angle=0, length=3, to_x=3)], "x[2]: a run needs one end"),
        ([[0, 0], RunEntry(angle=0, length=0)], "x[2].length: 0 is not above zero"),
        ([[0, 0], RunEntry(angle="q", to_x=3)], "x[2].angle: 'q' is not an angle: 'q' is not a named angle"),
        ([["q", 0], RunEntry(angle=0, to_x=3)], "x[1][1]: 'q' is not a named dimension"),
    ],
)
def test_faulty_polylines(points, fault):
    numbers = reader()
    assert not np.isfinite(numbers.polyline(points, "x")).all()
    assert told(numbers) == [fault]
