"""Marks stay put: a change to one piece renumbers no other, and no number comes to mean another piece."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from model.marks import assign_marks, mark_number


def remembered(signatures: dict[str, str], marks: dict[str, str]) -> dict[str, tuple[str, str]]:
    return {name: (marks[name], signatures[name]) for name in marks}


def test_a_fresh_build_counts_from_one_in_order() -> None:
    texts = {"rim.1": "p", "beam.1": "q", "beam.2": "q", "post.1": "r", "rim.2": "p"}
    marks = assign_marks(texts, "F")
    assert marks == {"rim.1": "F1", "beam.1": "F2", "beam.2": "F2", "post.1": "F3", "rim.2": "F1"}


def test_changing_one_piece_renumbers_no_other() -> None:
    old = {"a": "p", "b": "q", "c": "q", "d": "r"}
    before = remembered(old, assign_marks(old, "F"))
    new = {"a": "p", "b": "changed", "c": "q", "d": "r", "e": "p"}
    assert assign_marks(new, "F", before) == {"a": "F1", "b": "F4", "c": "F2", "d": "F3", "e": "F1"}


def test_a_removed_number_is_not_used_again_while_it_is_known() -> None:
    old = {"a": "p", "b": "q", "c": "r"}
    before = remembered(old, assign_marks(old, "F"))
    marks = assign_marks({"a": "p", "x": "s"}, "F", before)
    assert marks == {"a": "F1", "x": "F4"}
    # The piece that comes back gets its own mark back.
    assert assign_marks({"a": "p", "y": "r"}, "F", before)["y"] == "F3"


def test_other_letters_do_not_disturb_the_count() -> None:
    before = {"sheet.1": ("S9", "p"), "beam.1": ("F2", "q")}
    assert assign_marks({"beam.1": "q", "beam.2": "z"}, "F", before) == {"beam.1": "F2", "beam.2": "F3"}
    assert (mark_number("F12", "F"), mark_number("F012", "F"), mark_number("S3", "F")) == (12, None, None)


def test_a_remembered_mark_that_means_two_pieces_is_not_spread() -> None:
    before = {"a": ("F1", "p"), "b": ("F1", "q")}
    marks = assign_marks({"a": "p", "b": "q"}, "F", before)
    assert marks == {"a": "F1", "b": "F2"}


names = st.sampled_from([f"piece.{k}" for k in range(8)])
builds = st.lists(st.dictionaries(names, st.sampled_from("pqrst"), max_size=8), min_size=1, max_size=6)


@given(history=builds)
def test_through_any_history_a_mark_means_one_piece(history) -> None:
    known: dict[str, tuple[str, str]] = {}
    for texts in history:
        marks = assign_marks(texts, "F", known)
        assert list(marks) == list(texts)
        meaning = {marks[name]: texts[name] for name in texts}
        assert len(meaning) == len(set(texts.values()))
        assert all(meaning[mark] == text for mark, text in known.values() if mark in meaning)
        kept = {name for name in texts if known.get(name, ("", ""))[1] == texts[name]}
        assert all(marks[name] == known[name][0] for name in kept)
        known.update(remembered(texts, marks))
