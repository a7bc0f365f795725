"""The whole boat: names, marks and places that stay put, whatever else is changed."""

from __future__ import annotations

import copy
from typing import Any

import numpy as np
import pytest

from model.boat import Boat, build_boat, load_boat
from parts.faults import BadInput
from parts.yamlfile import read_text
from tests.model.boats import CONFIGS, DECK, boat_file, build, demo, document

DEMOS = ("lake16", "flat14", "vee18")
TWO = {
    "aft": {"height": 250, "aft": 100, "forward": 1000},
    "front": {**DECK, "aft": 1600, "forward": 2800},
}


def pieces(boat: Boat) -> list[str]:
    return [p.name for p in (*boat.members, *boat.panels, *boat.strips)]


def kept(boat: Boat) -> dict[str, tuple[str, str]]:
    """What an earlier build hands on: mark and signature by name."""
    return {name: (mark, boat.signatures[name]) for name, mark in boat.marks.items()}


@pytest.mark.parametrize("name", DEMOS)
def test_every_piece_has_a_name_a_mark_a_signature_and_a_line(name):
    boat = demo(name)
    names = pieces(boat)
    assert len(names) == len(set(names))
    assert set(boat.marks) == set(names)
    assert set(boat.signatures) == set(names)
    for piece in names:
        place = boat.place(piece)
        assert place is not None, piece
        assert place.file.startswith(name)
        assert place.line is not None
    for fixture in boat.fixtures:
        assert boat.place(fixture.name) is not None


@pytest.mark.parametrize("name", DEMOS)
def test_pieces_of_one_mark_are_one_piece(name):
    boat = demo(name)
    by_mark: dict[str, set[str]] = {}
    for piece, mark in boat.marks.items():
        by_mark.setdefault(mark, set()).add(boat.signatures[piece])
    assert all(len(found) == 1 for found in by_mark.values())
    assert len(by_mark) == len(set(boat.signatures.values()))
    numbers = sorted(int(mark[1:]) for mark in by_mark if mark.startswith("F"))
    assert numbers == list(range(1, len(numbers) + 1))


def test_a_piece_leads_back_to_its_own_lines():
    boat = build(decks=TWO)
    assert boat.place("deck.front/beam.1").key == "decks.front"
    assert boat.place("deck.front/beam.1").line == boat.place("deck.front").line
    assert boat.place("deck.nowhere/beam.1") is None


def test_names_follow_the_order_of_the_file():
    """Members come deck by deck as written; the posts after them in the same order."""
    for order in (TWO, dict(reversed(TWO.items()))):
        boat = build(decks=order)
        decks = [n.partition("/")[0] for n in pieces(boat) if "/beam." in n and "/post." not in n]
        assert list(dict.fromkeys(decks)) == [f"deck.{key}" for key in order]
        posts = [m.name.partition("/")[0] for m in boat.members if "/post." in m.name]
        assert list(dict.fromkeys(posts)) == [f"deck.{key}" for key in order]


def test_the_order_of_the_file_changes_no_name():
    assert set(pieces(build(decks=TWO))) == set(pieces(build(decks=dict(reversed(TWO.items())))))


def test_a_deck_more_renames_no_other():
    before = set(pieces(build(decks=TWO)))
    after = set(pieces(build(decks={"sole": {"height": 100, "aft": 1100, "forward": 1500}, **TWO})))
    assert before <= after


def test_two_builds_are_the_same():
    one, two = build(decks=TWO), build(decks=TWO)
    assert pieces(one) == pieces(two)
    assert one.marks == two.marks
    assert one.signatures == two.signatures
    for a, b in zip(one.members, two.members, strict=True):
        np.testing.assert_array_equal(a.a, b.a)
        np.testing.assert_array_equal(a.b, b.b)


# --- marks when one thing changes


def changed(change: dict[str, Any]) -> tuple[Boat, Boat]:
    """A boat, and the same built again with one deck changed and the first one's marks kept."""
    before = build(decks=TWO)
    decks = copy.deepcopy(TWO)
    decks["front"].update(change)
    return before, build(previous=kept(before), decks=decks)


@pytest.mark.parametrize(
    "change",
    [
        {"height": 310},
        {"forward": 2750},
        {"port": 400},
        {"frame": {"move": {"beam.1": 15}}},
        {"frame": {"leave_out": ["beam.1"]}},
    ],
)
def test_what_did_not_change_keeps_its_mark(change):
    before, after = changed(change)
    same = {n for n in pieces(after) if before.signatures.get(n) == after.signatures[n]}
    assert any(n.startswith("deck.aft") for n in same)
    for name in same:
        assert after.marks[name] == before.marks[name], name
    used = set(before.marks.values())
    for name in set(pieces(after)) - same:
        alike = {m for n, m in before.marks.items() if before.signatures[n] == after.signatures[name]}
        assert after.marks[name] in alike or after.marks[name] not in used


def test_the_untouched_deck_is_untouched():
    before, after = changed({"height": 310})
    names = [n for n in pieces(before) if n.startswith("deck.aft")]
    assert names == [n for n in pieces(after) if n.startswith("deck.aft")]
    assert all(before.signatures[n] == after.signatures[n] for n in names)


def test_a_demo_boat_changed_by_one_dimension_keeps_its_other_marks():
    before = demo("flat14")
    text = (CONFIGS / "flat14.yaml").read_text(encoding="utf-8")
    head, _, tail = text.partition("  side: {value: ")
    number, comma, rest = tail.partition(",")
    text = f"{head}  side: {{value: {float(number) + 3}{comma}{rest}"
    after = build_boat(read_text(text, "flat14.yaml"), CONFIGS, previous=kept(before))
    same = [n for n in pieces(after) if before.signatures.get(n) == after.signatures[n]]
    assert len(same) > len(pieces(before)) / 3
    assert len(same) < len(pieces(before))
    for name in same:
        assert after.marks[name] == before.marks[name]


# --- reading


def test_a_boat_from_a_file(tmp_path):
    (tmp_path / "boat.yaml").write_text(str(boat_file(decks=TWO)).replace("'", '"'), encoding="utf-8")
    told: list[str] = []
    boat = load_boat(tmp_path / "boat.yaml", told.append)
    assert told[:4] == ["reading", "laying out", "framing", "panelling"]
    assert boat.name == "test"
    assert boat.title == "test"
    assert boat.units == "mm"
    assert [d.name for d in boat.layout.decks.values()] == ["deck.aft", "deck.front"]
    with pytest.raises(BadInput, match="no such file"):
        load_boat(tmp_path / "other.yaml")


def test_a_boat_of_a_hull_alone():
    boat = build()
    assert boat.members == boat.panels == boat.findings == ()


def test_a_file_may_bring_its_own_parts():
    own = {"sections": {"rect-22x44x2": {"kind": "rect", "width": 22, "height": 44, "wall": 2}}}
    boat = build(catalogue=own, decks={"main": {**DECK, "frame": {"section": "rect-22x44x2"}}})
    assert {m.section.name for m in boat.members if "/post." not in m.name} == {"rect-22x44x2"}


def test_findings_know_their_line():
    boat = build(
        decks={"main": {**DECK, "openings": {"h": {"aft": 210, "forward": 500, "port": 200, "starboard": 0}}}}
    )
    assert boat.findings
    for finding in boat.findings:
        assert finding.place is not None
        assert finding.what
        assert finding.cure
        assert "\n" not in str(finding)


def test_what_is_refused_leaves_nothing_behind():
    with pytest.raises(BadInput):
        build_boat(document(boat_file(decks={"main": {**DECK, "height": 900}})), CONFIGS)
