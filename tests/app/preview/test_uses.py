"""Uses as the page is told them: members and deck sheets in the colour of their use, the worst row first."""

from __future__ import annotations

import pytest

from app.preview.uses import piece_uses, strength_sections
from cutlists.strength.picture import STEPS, UNKNOWN, colour_of
from model.strength.check import check_strength
from tests.model.boats import demo


@pytest.fixture(scope="module")
def boat():
    return demo("flat14")


@pytest.fixture(scope="module")
def report(boat):
    return check_strength(boat)


def test_every_member_and_deck_sheet_has_a_use(boat, report):
    found = piece_uses(boat, report)
    assert {m.name for m in boat.members} <= set(found)
    assert {m.name: m.use for m in report.members}.items() <= found.items()
    bays = [bay for bay in report.bays if bay.bay.name.startswith("deck.sole/")]
    assert found["deck.sole/sheet.1"] == max(bay.use for bay in bays)


def test_colours_go_by_steps(boat, report):
    told = strength_sections(boat, report)["uses"]
    found = piece_uses(boat, report)
    steps = {colour.hexadecimal for _, colour in STEPS}
    assert set(told["colours"].values()) <= steps
    assert {name: colour_of(use).hexadecimal for name, use in found.items()} == told["colours"]
    assert [words for words, _ in told["legend"]] == [colour.name for _, colour in STEPS]
    assert "licensed" in told["caution"]


def test_a_member_that_nothing_holds_is_told_so(boat, report):
    first, *others = report.members
    told = strength_sections(boat, type(report)(**{**vars(report), "members": tuple(others)}))["uses"]
    assert told["colours"][first.name] == UNKNOWN.hexadecimal
    assert told["legend"][-1] == [UNKNOWN.name, UNKNOWN.hexadecimal]


def test_the_table_has_the_worst_first_and_picks_its_pieces(boat, report):
    table = strength_sections(boat, report)["strength"]
    uses = [float(row["cells"][0]) for row in table["rows"]]
    assert uses == sorted(uses, reverse=True)
    assert len(uses) == len(report.all_uses)
    names = {m.name for m in boat.members} | {p.name for p in boat.panels}
    assert all(set(row["names"]) <= names and row["names"] for row in table["rows"])
