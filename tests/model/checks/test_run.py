"""All checks as one list: by harm, none twice, each with its line."""

from types import SimpleNamespace

import pytest

from model.checks.harm import HARM, by_harm, rank, told_once
from model.checks.listed import CHECKS, Check
from model.checks.run import run_checks
from model.findings import Finding
from parts.faults import Place


def finding(kind, *pieces, what="is wrong", place=None):
    return Finding(kind, pieces, what, "put it right", place=place)


def report(*findings, told="one thing looked at"):
    return SimpleNamespace(findings=findings, summary=lambda: told)


def boat(*findings):
    place = Place("loon.yaml", 7, "decks.front")
    return SimpleNamespace(findings=findings, place=lambda name: place if name.startswith("deck") else None)


def run(own, *reports):
    checks = [Check(f"c{k}", f"doing {k}", lambda *_, r=r: r) for k, r in enumerate(reports)]
    return run_checks(own, checks=checks)


def test_findings_of_the_boat_and_of_every_check_come_by_harm():
    one, two = (
        report(finding("height", "a", "b"), finding("overlap", "c", "d")),
        report(finding("lid", "e", "f")),
    )
    found = run(boat(finding("frame", "deck.x")), one, two)
    assert [f.kind for f in found.findings] == ["frame", "overlap", "lid", "height"]


def test_what_was_looked_at_is_told_check_by_check_and_said_before_it_is_done():
    told = []
    checks = [
        Check("a", "doing a", lambda *_: report(told="x")),
        Check("b", "doing b", lambda *_: report(told=("y", "z"))),
    ]
    found = run_checks(boat(), tell=told.append, checks=checks)
    assert found.summary == ("x", "y", "z")
    assert told == ["doing a", "doing b"]
    assert set(found.reports) == {"a", "b"}


def test_two_pieces_in_each_others_way_are_told_once_by_the_worse():
    pair = [finding("gap", "lid", "post"), finding("lid", "post", "lid"), finding("overlap", "lid", "post")]
    assert [f.kind for f in told_once(pair)] == ["overlap"]


def test_the_same_finding_of_two_checks_is_told_once():
    assert len(told_once([finding("water", "sole"), finding("water", "sole", what="stands")])) == 1


def test_other_pieces_or_another_kind_are_another_finding():
    some = [finding("gap", "a", "b"), finding("gap", "a", "c"), finding("water", "a"), finding("reach", "a")]
    assert len(told_once(some)) == 4


def test_a_finding_without_a_line_gets_that_of_its_first_piece_that_has_one():
    found = run(boat(), report(finding("gap", "hull", "deck.front/beam.1")))
    assert found.findings[0].place == Place("loon.yaml", 7, "decks.front")


def test_kinds_of_one_row_keep_the_order_they_came_in():
    first, second = finding("gap", "a", "b"), finding("height", "c")
    assert by_harm([first, second]) == [first, second]
    assert by_harm([second, first]) == [second, first]


def test_no_kind_is_ranked_twice():
    kinds = [kind for row in HARM for kind in row]
    assert len(kinds) == len(set(kinds))
    assert rank("no such kind") == len(HARM) - 1


@pytest.mark.parametrize("check", CHECKS, ids=lambda c: c.name)
def test_every_listed_check_has_a_name_of_its_own(check):
    assert [c.name for c in CHECKS].count(check.name) == 1
