"""Faults are told in one line each, all at once, with the nearest word that is known."""

import pytest

from parts.faults import LONGEST_LINE, BadInput, Fault, FaultList, Place, did_you_mean, nearest


def test_a_fault_reads_as_one_line_with_file_line_key_and_cure():
    fault = Fault(Place("lake16.yaml", 41, "decks.front.hieght"), "unknown key", "did you mean 'height'?")
    assert str(fault) == "lake16.yaml:41 decks.front.hieght: unknown key; did you mean 'height'?"


def test_a_fault_without_line_or_key_leaves_them_out():
    assert str(Fault(Place("lake16.yaml", None, ""), "it is empty", "")) == "lake16.yaml: it is empty"


def test_hostile_text_stays_on_one_line_without_control_characters():
    shown = str(Fault(Place("f", 1, "a\nb\x1b[31m"), "x" * 2000, "y"))
    assert "\n" not in shown
    assert "\x1b" not in shown
    assert len(shown) == LONGEST_LINE


def test_all_faults_are_raised_at_once_in_order_of_lines_each_once():
    faults = FaultList()
    faults.raise_if_any()
    for line in (9, 2, 9):
        faults.add(Place("f", line, "k"), "wrong", "right")
    assert [fault.place.line for fault in faults] == [9, 2, 9]
    assert len(faults) == 3
    with pytest.raises(BadInput) as caught:
        faults.raise_if_any()
    assert [fault.place.line for fault in caught.value.faults] == [2, 9]
    assert str(caught.value) == "f:2 k: wrong; right\nf:9 k: wrong; right"


def test_nearest_ignores_case_and_keeps_the_known_spelling():
    assert nearest("hieght", ["Height", "width", "depth"])[0] == "Height"
    assert nearest("zzzz", ["height"]) == []


def test_an_unknown_word_without_neighbours_is_told_what_is_known():
    assert did_you_mean("hieght", ["height", "width"]) == "did you mean 'height'?"
    assert did_you_mean("zzzz", ["b", "a"]) == "known: a, b"
    assert did_you_mean("zzzz", [f"k{i:02}" for i in range(20)]).endswith("k11, ...")
