"""Electric drive: draws and runs worked by hand."""

import pytest

from model.capacity.drive import DriveFound, draw_at, drive_found, hours_at
from model.findings import Finding
from model.hydrostatics.plan import Drive
from parts.faults import Place
from tests.model.boats import build

NOWHERE = Place("test.yaml", None, "")


def drive(volts=24.0, draws=(), names=("b",), kind="lead", reserve=0.5):
    return Drive(355.9, volts, 56.0, tuple(draws), names, kind, reserve, NOWHERE)


def boat(count=2, part="group-31"):
    fixtures = {"b": {"part": part, "on": "hull", "at": [500, 0], "every": {"step": 500, "count": count}}}
    return build(decks={"d": {"height": 350, "aft": 200, "forward": 2800}}, fixtures=fixtures)


def test_draw_falls_with_the_three_halves_of_thrust():
    # momentum theory: P = T^1.5 / sqrt(2 rho A)
    assert draw_at(drive(), 1.0) == pytest.approx(56.0)
    assert draw_at(drive(), 0.5) == pytest.approx(56.0 / 2.0**1.5)
    assert draw_at(drive(), 0.25) == pytest.approx(7.0)


def test_measured_draws_are_joined_straight():
    measured = drive(draws=[(0.25, 9.0), (0.75, 37.0)])
    assert draw_at(measured, 0.5) == pytest.approx(23.0)
    assert draw_at(measured, 0.875) == pytest.approx((37.0 + 56.0) / 2.0)


def test_a_battery_lasts_its_rated_hours_at_its_rated_draw():
    assert hours_at(100.0, 5.0, "lead", 0.0) == pytest.approx(20.0)
    # Peukert: twice the draw, 2^1.2 less time
    assert hours_at(100.0, 10.0, "lead", 0.0) == pytest.approx(20.0 / 2.0**1.2)
    assert hours_at(100.0, 10.0, "lithium", 0.2) == pytest.approx(0.8 * 20.0 / 2.0**1.05)


def test_two_batteries_in_series_drive_24_volts():
    found = drive_found(boat(2), drive())
    assert isinstance(found, DriveFound)
    assert (found.series, found.strings, found.amp_hours) == (2, 1, 105.0)
    assert [run.share for run in found.runs] == [0.25, 0.5, 0.75, 1.0]
    assert found.runs[-1].hours == pytest.approx(0.5 * 20.0 * (105.0 / (56.0 * 20.0)) ** 1.2)
    assert found.mass == pytest.approx(2 * 64 * 0.45359237)


def test_four_make_two_strings():
    found = drive_found(boat(4), drive())
    assert isinstance(found, DriveFound)
    assert (found.series, found.strings, found.amp_hours) == (2, 2, 210.0)


@pytest.mark.parametrize(("count", "volts"), [(3, 24.0), (1, 24.0), (2, 36.0)])
def test_batteries_that_do_not_add_up_are_a_finding(count, volts):
    found = drive_found(boat(count), drive(volts))
    assert isinstance(found, Finding)
    assert "do not make" in found.what
