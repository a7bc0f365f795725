"""The boats that come with the program: all that is removable leaves, all that needs a hand is reached."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from model.access.check import AccessReport, check_access
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
    # ways out, those of them that are no straight lift, and reach
    turned = sum(1 for line in found.summary() if " leaves: " in line)
    assert len(found.summary()) == 2 + turned
    assert "each has a way out; tightest" in found.summary()[0]
    assert "each within reach; longest arm" in found.summary()[-1]


def test_the_demo_boat_has_a_pump_a_drain_a_valve_and_fuses() -> None:
    names = {reach.point.name for reach in report("lake16").reaches}
    assert {"fixture.pump/top", "fixture.drain/top", "fixture.seacock/handle", "fixture.fuses/fuses"} <= names


def flat14(*changes: tuple[str, str]) -> AccessReport:
    text = (CONFIGS / "flat14.yaml").read_text()
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return check_access(build_boat(read_text(text, "flat14.yaml"), CONFIGS))


def test_a_drain_put_away_from_the_hatch_is_buried() -> None:
    found = flat14(("on: hull, at: [rear_edge + 53 + 6 in, 0]", "on: hull, at: [1700, 0]"))
    assert [f.kind for f in found.findings] == ["buried"]
    assert found.findings[0].pieces == ("fixture.drain",)
    assert found.findings[0].shown
    assert len(found.buried) == 1


def test_the_check_is_on_the_list() -> None:
    assert "access" in {check.name for check in CHECKS}
