"""Revisions: counted when a piece came, went or changed, and what was cut already that no longer fits."""

from __future__ import annotations

import json

import pytest

from cutlists.boat_json import boat_json, marks_before
from cutlists.revision import (
    Cut,
    Earlier,
    Revision,
    changes_text,
    earlier_build,
    no_longer_fit,
    recut,
    revision_of,
)
from cutlists.saw_list import saw_list
from tests.model.boats import DECK, build

FREE = {**DECK, "port": 300, "starboard": -300}


def deck(**more):
    return {"main": {**FREE, **more}}


@pytest.fixture(scope="module")
def first():
    return build(decks=deck())


def rebuilt(boat, revision=None, **more):
    """The next build of the same boat with another deck, and its revision."""
    text = boat_json(boat, revision=revision)
    after = build(decks=deck(**more), previous=marks_before(text))
    return after, revision_of(after, earlier_build(text))


def test_the_first_build_is_revision_1_and_marks_nothing(first):
    assert revision_of(first, None) == Revision()
    assert revision_of(first, Earlier()).marks(first) == frozenset()


def test_an_unchanged_boat_keeps_its_revision(first):
    same, revision = rebuilt(first)
    assert revision.number == 1
    assert not (revision.came)
    assert not (revision.went)
    assert not (revision.changed)
    assert "no piece changed" in changes_text(Revision(4), same, saw_list(same.members, same.marks))


def test_a_longer_deck_changes_its_long_pieces_and_counts_one_more(first):
    after, revision = rebuilt(first, forward=2790)
    assert revision.number == 2
    assert set(revision.changed) == {
        name
        for name, signature in after.signatures.items()
        if name in first.signatures and first.signatures[name] != signature
    }
    assert "deck.main/rim.port.1" in revision.changed
    fresh = {after.marks[name] for name in (*revision.came, *revision.changed)}
    assert revision.marks(after) == fresh
    assert fresh.isdisjoint(first.marks.values())


def test_revisions_go_on_counting(first):
    second, revision = rebuilt(first, forward=2790)
    third, revision = rebuilt(second, revision, forward=2780)
    assert revision.number == 3
    assert json.loads(boat_json(third, revision=revision))["revision"] == 3


def test_a_shortened_piece_can_be_cut_from_the_old_one_and_a_lengthened_one_not(first):
    """Rims 2600 mm long become 2590, and from those 2610."""
    rim = "deck.main/rim.port.1"
    old = first.marks[rim]
    after, revision = rebuilt(first, forward=2790)
    saw = saw_list(after.members, after.marks)
    cut = no_longer_fit(revision, after)[old]
    assert cut.length == pytest.approx(2600, abs=0.01)
    assert recut(cut, saw, revision.marks(after))[0] == after.marks[rim]
    after, revision = rebuilt(first, forward=2810)
    saw = saw_list(after.members, after.marks)
    cut = no_longer_fit(revision, after)[old]
    assert after.marks[rim] not in recut(cut, saw, revision.marks(after))


def test_only_what_the_log_says_was_cut_is_told_of(first):
    after, revision = rebuilt(first, forward=2790)
    saw = saw_list(after.members, after.marks)
    rim = first.marks["deck.main/rim.port.1"]
    text = changes_text(revision, after, saw, {rim: 2})
    told = text[text.index("fit nowhere now") :]
    assert (
        f"  {rim}, 2 cut, 2600.0 mm of rect-25x50x3: cut down to {after.marks['deck.main/rim.port.1']}"
        in told
    )
    assert told.count("\n  ") == 1
    assert "fit nowhere" in changes_text(revision, after, saw, None)


def test_a_piece_of_sheet_is_scrap_or_kept():
    assert recut(Cut("S1", "x"), saw_list([], {}), frozenset()) == []


@pytest.mark.parametrize("text", ["{", "[]", "{}", '{"marks": [], "pieces": 5}', "5"])
def test_what_is_no_build_is_refused(text):
    with pytest.raises(ValueError, match="earlier build"):
        earlier_build(text)
