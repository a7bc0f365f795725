"""A clash cured by one dimension of the boat file, found by building the boat again."""

from __future__ import annotations

from pathlib import Path

import pytest

from model.boat import Boat, build_boat
from model.clearance.cures import dimension_cures, with_cures
from model.clearance.report import clearance_findings
from parts.yamlfile import Document, read_text
from tests.model.clearance.small_boat import TEXT

DIMENSIONS = """
dimensions:
  rail: {value: 500, least: 300, greatest: 700}
  box: 520
  shelf: rail - 100
  idle: 77
members:
  low: {start: [1000, rail, 320], end: [1600, rail, 320]}
fixtures:
  battery: {part: group-31, on: sole, at: [1300, box - 100]}
"""


def rebuild(document: Document) -> Boat:
    return build_boat(document, Path("."))


def boat(text: str = DIMENSIONS) -> Boat:
    whole = TEXT.replace("MORE", text).replace("RIBS", "").replace("HINGE", "port").replace("AT", "470")
    return rebuild(read_text(whole, "punt.yaml"))


def test_each_dimension_that_cures_a_clash_by_itself_is_told() -> None:
    built = boat()
    report = clearance_findings(built)
    (clash,) = report.clashes
    assert set(clash.finding.pieces) == {"fixture.battery", "member.low"}
    cures = dimension_cures(built, report.clashes, rebuild)[clash.finding.pieces]
    assert {cure.name for cure in cures} == {"rail", "box"}
    assert [abs(c.after - c.before) for c in cures] == sorted(abs(c.after - c.before) for c in cures)
    for cure in cures:
        assert cure.before == {"rail": 500.0, "box": 520.0}[cure.name]
        assert cure.after == pytest.approx(round(cure.after))
        assert f"set `{cure.name}` to {cure.after:.1f} mm" in cure.told
        changed = DIMENSIONS.replace(f"value: {cure.before:.0f}", f"value: {cure.after}")
        changed = changed.replace(f"box: {cure.before:.0f}", f"box: {cure.after}")
        assert clearance_findings(boat(changed)).clashes == ()
        assert abs(cure.after - cure.before) < clash.short + 1.01


def test_the_least_move_is_told_with_the_finding() -> None:
    built = boat()
    report = clearance_findings(built)
    (finding,) = with_cures(report.findings, dimension_cures(built, report.clashes, rebuild))
    assert finding.cure.startswith(report.findings[0].cure)
    assert ", or set `" in finding.cure
    assert with_cures(report.findings, {}) == report.findings


def test_limits_of_a_dimension_are_kept() -> None:
    tight = DIMENSIONS.replace("least: 300, greatest: 700", "least: 499, greatest: 501")
    built = boat(tight)
    report = clearance_findings(built)
    cures = dimension_cures(built, report.clashes, rebuild)[report.clashes[0].finding.pieces]
    assert {cure.name for cure in cures} == {"box"}


def test_a_clean_boat_needs_no_cure() -> None:
    assert dimension_cures(boat(""), (), rebuild) == {}
