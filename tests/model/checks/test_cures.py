"""Findings cured by one dimension of the boat file, found by building the boat again."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from model.boat import Boat, build_boat
from model.checks.cures import with_cures
from model.checks.listed import CHECKS, Check
from model.checks.named import named_values, with_value
from model.checks.run import Checked, run_checks
from model.findings import Finding
from model.hull import Hull
from parts.yamlfile import Document, read_text
from tests.model.clearance.small_boat import TEXT

FIT = [check for check in CHECKS if check.name == "fit"]
MORE = """
dimensions:
  rail: {value: 500, least: 300, greatest: 700}
  box: 520
  shelf: rail - 100
  idle: 77
angles:
  swing: {value: 90, least: 10, greatest: 170}
members:
  low: {start: [1000, rail, 320], end: [1600, rail, 320]}
fixtures:
  battery: {part: group-31, on: sole, at: [1300, box - 100]}
"""
BAR = """
dimensions:
  high: 640
members:
  bar: {start: [200, 200, high], end: [800, 200, high], section: square-1x1x0.125}
"""


def rebuild(document: Document, hull: Hull | None) -> Boat:
    # what the frame finds of itself is not of these tests
    return replace(build_boat(document, Path("."), hull=hull), findings=())


def boat(more: str = MORE) -> Boat:
    text = TEXT.replace("MORE", more).replace("RIBS", "").replace("HINGE", "port").replace("AT", "470")
    return rebuild(read_text(text, "punt.yaml"), None)


def cured(built: Boat, seconds: float = 600.0) -> Checked:
    return with_cures(built, run_checks(built, checks=FIT), rebuild, seconds, checks=FIT)


@cache
def usual() -> tuple[Boat, Checked]:
    built = boat()
    return built, cured(built)


def test_a_finding_is_cured_by_the_least_move_of_one_dimension() -> None:
    built, found = usual()
    (before,) = run_checks(built, checks=FIT).findings
    (after,) = found.findings
    assert set(after.pieces) == {"fixture.battery", "member.low"}
    assert after.dimension is not None
    name, value = after.dimension
    assert name in ("rail", "box")
    was = {"rail": 500.0, "box": 520.0}[name]
    assert value == round(value)  # to a millimetre
    assert after.cure == f"{before.cure}, or set `{name}` to {value:.1f} mm (it is {was:.1f} mm)"
    assert found.summary[-1] == "1 finding tried against 4 dimensions: 1 cured by one"


def test_the_cure_holds_when_the_boat_is_built_so_and_a_step_less_does_not() -> None:
    built, found = usual()
    assert found.findings[0].dimension is not None
    name, value = found.findings[0].dimension
    named = next(one for one in named_values(built) if one.name == name)
    step = 1.0 if value > named.value else -1.0
    for at, left in ((value, 0), (value - step, 1)):
        changed = with_value(built, named, at, rebuild)
        assert changed is not None
        assert len(run_checks(changed, checks=FIT).findings) == left


def test_what_is_told_by_others_is_not_moved_and_angles_are() -> None:
    assert [(one.group, one.name) for one in named_values(boat())] == [
        ("dimensions", "rail"), ("dimensions", "box"), ("dimensions", "idle"), ("angles", "swing"),
    ]  # fmt: skip


def test_limits_of_a_dimension_are_kept() -> None:
    tight = MORE.replace("least: 300, greatest: 700", "least: 499, greatest: 501")
    (found,) = cured(boat(tight)).findings
    assert found.dimension is not None
    assert found.dimension[0] == "box"


def test_a_cure_that_brings_another_finding_is_none() -> None:
    """The bar moved clear of the battery would lie in the tank beside it; the battery has no room either."""
    crowded = MORE.replace("box: 520", "box: {value: 520, least: 519, greatest: 521}")
    crowded += "  left: {part: group-31, on: sole, at: [1300, 200]}\n"
    crowded = crowded.replace("greatest: 700", "greatest: 505")
    built = boat(crowded)
    before = {(f.kind, f.pieces) for f in run_checks(built, checks=FIT).findings}
    for finding in cured(built).findings:
        if finding.dimension is None:
            continue
        named = next(one for one in named_values(built) if one.name == finding.dimension[0])
        changed = with_value(built, named, finding.dimension[1], rebuild)
        assert changed is not None
        after = {(f.kind, f.pieces) for f in run_checks(changed, checks=FIT).findings}
        assert after <= before - {(finding.kind, finding.pieces)}


def test_a_lid_that_is_stopped_is_cured_too() -> None:
    built = boat(BAR)
    (finding,) = cured(built).findings
    assert finding.kind == "lid"
    assert finding.dimension is not None
    assert finding.dimension[0] == "high"
    assert finding.dimension[1] > 640.0


def test_no_time_is_no_search_and_a_clean_boat_takes_none() -> None:
    built, _ = usual()
    checked = run_checks(built, checks=FIT)
    assert with_cures(built, checked, _never, 0.0, checks=FIT) is checked
    clean = boat("")
    assert with_cures(clean, run_checks(clean, checks=FIT), _never, 60.0, checks=FIT).findings == ()


def test_a_search_out_of_time_says_so() -> None:
    built, _ = usual()
    checked = run_checks(built, checks=FIT)
    found = with_cures(built, checked, rebuild, 1e-9, checks=FIT)
    assert found.findings == checked.findings
    assert found.summary[-1].endswith("0 cured by one; stopped after 1e-09 s")


def _never(document: Document, hull: Hull | None) -> Boat:
    raise AssertionError("a clean boat is not built again")


class _Report:
    def __init__(self, short: float | None) -> None:
        self.findings = (
            ()
            if short is None
            else (Finding("water", ("sole",), "stands", "drain", short=short, measure="litre"),)
        )

    def summary(self) -> str:
        return ""


def _pond(built: Boat, _asked: object) -> _Report:
    """Water that stands by two litres for each 10 mm that `idle` lacks to 100."""
    named = {one.name: one.value for one in named_values(built)}
    lacking = 100.0 - named["idle"]
    return _Report(lacking / 5.0 if lacking > 0.0 else None)


def test_a_check_without_a_quick_measure_is_run_again() -> None:
    built = boat(MORE.partition("members")[0])
    checks = [Check("water", "pouring", _pond)]
    found = with_cures(built, run_checks(built, checks=checks), rebuild, 60.0, checks=checks)
    assert found.findings[0].dimension == ("idle", 100.0)


@pytest.mark.parametrize("name", ["rail", "idle"])
def test_a_hull_that_does_not_lean_on_a_name_is_kept(name: str) -> None:
    seen: list[Hull | None] = []

    def spied(document: Document, hull: Hull | None) -> Boat:
        seen.append(hull)
        return rebuild(document, hull)

    built = boat()
    named = next(one for one in named_values(built) if one.name == name)
    changed = with_value(built, named, named.value + 1.0, spied)
    assert changed is not None
    assert seen == [built.hull]
    assert changed.hull is built.hull


def test_a_boat_without_a_piece_that_is_let_off_is_no_cure() -> None:
    """Checks refuse such a boat; the search goes on."""
    named = MORE + "clearances:\n  exempt:\n    - {between: [member.low, deck.aft/beam.1], least: 1}\n"
    built = boat(named)
    gone = replace(built, exempt=(replace(built.exempt[0], second="deck.aft/beam.99"),))

    def lost(document: Document, hull: Hull | None) -> Boat:
        return replace(rebuild(document, hull), exempt=gone.exempt)

    found = with_cures(built, run_checks(built, checks=FIT), lost, 60.0, checks=FIT)
    assert [f.dimension for f in found.findings] == [None]
