"""The boats that come with the program: all that is removable leaves, all that needs a hand is reached."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from model.access.check import AccessReport, check_access
from model.access.search import Fineness
from model.boat import build_boat, load_boat
from model.checks.listed import CHECKS
from parts.yamlfile import read_text

CONFIGS = Path(__file__).parents[3] / "configs"


@cache
def report(name: str) -> AccessReport:
    return check_access(load_boat(CONFIGS / f"{name}.yaml"))


@pytest.mark.parametrize("name", ["lake16", "flat14", "vee18"])
def test_the_demo_boats_are_clean(name: str) -> None:
    found = report(name)
    assert found.findings == ()
    assert all(out.way is not None for out in found.ways)
    assert all(0.0 <= (reach.length or 0.0) <= found.settings.reach for reach in found.reaches)
    assert len(found.summary()) == 2
    assert "each has a way out; tightest" in found.summary()[0]
    assert "each within reach; longest arm" in found.summary()[1]


def test_the_demo_boat_has_a_pump_a_drain_a_valve_and_fuses() -> None:
    names = {reach.point.name for reach in report("lake16").reaches}
    assert {"fixture.pump/top", "fixture.drain/top", "fixture.seacock/handle", "fixture.fuses/fuses"} <= names


def lake16(*changes: tuple[str, str]) -> AccessReport:
    text = (CONFIGS / "lake16.yaml").read_text()
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return check_access(build_boat(read_text(text, "lake16.yaml"), CONFIGS))


def test_a_smaller_hatch_keeps_the_batteries_in(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two batteries 173 mm wide below hatches of 150: they cannot pass, and both are told of."""
    few = Fineness(
        40.0, np.radians(15.0), 60
    )  # aft of the deck there is a gap that a search would try at length
    monkeypatch.setattr("model.access.ways_out.COARSE", few)
    monkeypatch.setattr("model.access.ways_out.FINE", few)
    found = lake16(("lid: lid-20x14, hinge: aft", "length: 20, width: 5-7/8, lid: {flange: 3/4}, hinge: aft"))
    assert [f.pieces[0] for f in found.findings] == ["fixture.battery.port", "fixture.battery.starboard"]
    assert all("by deck.aft/hatch" in f.what for f in found.findings)
    assert all("no circle of that size" in f.what for f in found.findings)


def test_fuses_put_away_from_the_hatch_are_buried() -> None:
    found = lake16(("at: [31-1/4, 19-1/2], raise_by: 5", "at: [78, -15], raise_by: 8"))
    assert [f.kind for f in found.findings] == ["buried"]
    assert found.findings[0].pieces == ("fixture.fuses",)
    assert found.findings[0].shown


def test_the_check_is_on_the_list() -> None:
    assert "access" in {check.name for check in CHECKS}
