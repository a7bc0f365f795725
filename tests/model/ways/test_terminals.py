"""Where runs end, by name; and boats with little in them."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from model.boat import Boat, build_boat
from model.ways.check import check_ways
from model.ways.route import NoWay, Run, Wanted, Ways
from model.ways.terminals import where
from parts.yamlfile import read_text
from tests.model.ways.punts import PUNT, punt


def test_a_fixture_is_met_at_its_point_of_service_or_over_its_top():
    boat = punt("service:\n  clamp: {at: [500, 100, 50]}\n")
    fuses = where(boat, "fuses")
    # the fuse box stands at [300, 300]; its catalogue entry serves fuses 2-1/4 in above its foot
    assert fuses == pytest.approx([300.0, 300.0, 57.15])
    assert where(boat, "fixture.fuses") == pytest.approx(fuses)
    assert where(boat, "fuses/fuses") == pytest.approx(fuses)
    assert where(boat, "service.clamp") == pytest.approx([500.0, 100.0, 50.0])
    # the pump is 4-1/8 in high and names no point: over the middle of its top
    assert where(boat, "pump")[:2] == pytest.approx([150.0, -200.0])
    assert where(boat, "pump")[2] > 104.775


@pytest.mark.parametrize(("name", "near"), [("fuse", "fuses"), ("fuses/fuse", "fuses")])
def test_what_is_not_there_is_told_with_what_is(name, near):
    with pytest.raises(KeyError, match=near):
        where(punt(), name)


def bare(more: str = "") -> Boat:
    text = re.sub(r"decks:.*", more, PUNT, flags=re.DOTALL)
    return build_boat(read_text(text, "bare.yaml"), Path("."))


def test_a_bare_hull_has_no_ways_and_says_so():
    ends = np.array([(300.0, 0, 100), (2500.0, 0, 100)])
    found = Ways(bare()).route([Wanted("wires.lamp", "wire", *ends, 6.0)])[0]
    assert isinstance(found, NoWay)
    assert "nothing leads" in found.why
    assert found.cure


def test_a_hull_with_a_deck_only_is_run_along_its_skin():
    boat = bare("decks:\n  whole: {height: 400, aft: 60, forward: 2940, frame: {posts: false}}\n")
    ends = np.array([(300.0, 500, 30), (2500.0, 500, 30)])
    found = Ways(boat).route([Wanted("wires.lamp", "wire", *ends, 6.0)])[0]
    assert isinstance(found, Run)
    assert found.length < 1.35 * 2200.0
    assert check_ways(boat, [found], hands=False).findings == ()


def test_no_runs_are_no_work():
    boat = bare()
    assert Ways(boat).route([]) == ()
    assert check_ways(boat, ()).findings == ()
