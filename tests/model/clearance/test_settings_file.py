"""The shop's own gaps and limits, and what is refused."""

from __future__ import annotations

import pytest

from model.boatfile.clearance_schema import ClearanceEntry
from model.clearance.bodies import boat_bodies
from model.clearance.check import check_fit
from model.clearance.exempt import check_exempt
from model.clearance.settings import ClearanceSettings, Exempt
from model.clearance.settings_file import FitSettings, fit_settings
from parts.checked import checked
from parts.faults import BadInput, FaultList
from parts.yamlfile import read_text
from tests.model.clearance.small_boat import punt

GOOD = """\
gaps:
  - {between: [battery, any], least: 1/2 in}
  - {between: [member, hull], least: 3}
exempt:
  - {between: [deck.aft/*, fixture.battery], least: 1/16 in, why: strap}
  - {between: [member.rail, seat.driver/*], overlap: true}
heights: {step: 400, knees: none}
weld_overlap: 1
"""


def read(text: str) -> tuple[FitSettings | None, list[str]]:
    document, faults = read_text(text, "shop.yaml"), FaultList()
    entry = checked(ClearanceEntry, document.data, document.place, faults)
    found = None
    if entry is not None:
        found = fit_settings(entry, "mm", document.place, ("battery", "seat"), faults)
    return found, [str(fault) for fault in faults]


def test_a_shop_says_its_own_gaps() -> None:
    found, faults = read(GOOD)
    assert faults == []
    assert found is not None
    asked = found.clearances
    assert asked.least("battery", "sheet") == pytest.approx(12.7)
    assert asked.least("member", "hull") == 3.0
    assert asked.least("lid", "sheet") == pytest.approx(1.5875)  # as usual
    assert asked.slack == 1.0
    first = asked.exemption("fixture.battery", "deck.aft/rim.aft.1")
    assert first is not None
    assert first.least == pytest.approx(1.5875)
    assert first.why == "strap"
    second = asked.exemption("seat.driver/sheet.1", "member.rail")
    assert second is not None
    assert second.least is None
    assert asked.exemption("seat.driver/sheet.1", "member.other") is None
    assert found.heights.step == 400.0
    assert found.heights.knees is None
    assert found.heights.gunwale == pytest.approx(50.8)


def test_nothing_said_is_what_is_usual() -> None:
    found, faults = read("gaps: []\n")
    assert faults == []
    assert found is not None
    usual = FitSettings()
    assert found.clearances.least("member", "hull") == usual.clearances.least("member", "hull")
    assert found.heights == usual.heights


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("gaps:\n  - {between: [batery, any], least: 1}\n", "unknown kind 'batery'; did you mean 'battery'?"),
        ("gaps:\n  - {between: [member, hull], least: -3}\n", "below zero"),
        ("gaps:\n  - {between: [member], least: 3}\n", "between"),
        ("gaps:\n  - {between: [member, hull], least: wide}\n", "wide"),
        ("heights: {stepp: 3}\n", "did you mean 'step'?"),
        ("exempt:\n  - {between: [a, b], overlap: maybe}\n", "overlap"),
        ("weld_overlap: true\n", "weld_overlap"),
    ],
)  # fmt: skip
def test_what_is_refused(text: str, told: str) -> None:
    _, faults = read(text)
    assert len(faults) == 1
    assert told in faults[0]
    assert faults[0].startswith("shop.yaml:")


def test_an_exemption_for_a_piece_that_is_not_there() -> None:
    found, _ = read(
        "exempt:\n  - {between: [deck.aft/rim.aft.2, hull]}\n  - {between: [deck.aft/*, locker.*]}\n"
    )
    assert found is not None
    faults = FaultList()
    check_exempt(found.clearances.exempt, [body.name for body in boat_bodies(punt())], faults)
    first, second = map(str, faults)
    assert "no piece called 'deck.aft/rim.aft.2'" in first
    assert "did you mean 'deck.aft/rim.aft.1'" in first
    assert first.startswith("shop.yaml:2")
    assert "no piece called 'locker.*'" in second


OVER = """
fixtures:
  deep: {part: group-31, on: sole, at: [1200, 0]}
  deeper: {part: group-31, on: sole, at: [1200, 40]}
"""


def let_off(pair: str) -> str:
    return f"clearances:\n  exempt:\n    - {pair}\n"


def test_a_boat_lets_off_pieces_of_its_own() -> None:
    assert [f.kind for f in check_fit(punt(OVER)).findings] == ["overlap"]
    report = check_fit(
        punt(OVER + let_off("{between: [fixture.deep, fixture.deeper], overlap: true, why: one on order}"))
    )
    assert report.findings == ()
    assert report.clearances.exempt == (("fixture.deep", "fixture.deeper", "one on order"),)
    named = let_off("{between: [fixture.deep, fixture.deeper], overlap: true, by: R. Tamm}")
    assert check_fit(punt(OVER + named)).clearances.exempt[0][2] == "accepted by R. Tamm"


def test_a_name_let_off_that_is_no_piece_of_the_boat_is_refused() -> None:
    with pytest.raises(BadInput) as caught:
        check_fit(punt(OVER + let_off("{between: [fixture.deeep, fixture.deeper]}")))
    (fault,) = caught.value.faults
    assert "no piece called 'fixture.deeep'" in fault.wrong
    assert "fixture.deep" in fault.right
    assert fault.place.key == "clearances.exempt[1].between"


def test_a_pattern_of_a_shop_need_not_tell_of_every_boat() -> None:
    asked = ClearanceSettings(exempt=(Exempt("console.*", "hull", 0.0),))
    assert check_fit(punt(), asked).findings == ()
    with pytest.raises(BadInput):
        check_fit(punt(), ClearanceSettings(exempt=(Exempt("console.helm", "hull", 0.0),)))
