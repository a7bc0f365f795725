"""The boat that is laid out in haste: its deliberate faults are found, each as meant, and nothing else."""

from __future__ import annotations

from functools import cache

import pytest

from model.boat import load_boat
from model.checks.harm import rank
from model.checks.run import Checked, run_checks
from tests.model.boats import CONFIGS

MEANT = {
    "overlap": ("fixture.tackle", "bulkhead.bow/sheet"),
    "lid": ("deck.front/store/lid", "fixture.bow_seat"),
    "trapped": ("fixture.battery", "deck.rear/battery/carling.starboard"),
    "rods": ("rod.surf", "deck.rods/rods"),
    "buried": ("service.clamp",),
    "water": ("deck.sole/sheet.1", "seat.driver/riser.4"),
    "gap": ("fixture.jackets", "deck.rods/riser.port.1"),
    "height": ("fixture.driver_seat", "console.helm/front"),
}
"""Each fault by its kind and the pieces that it is told of, the most harmful first."""


@cache
def checked() -> Checked:
    return run_checks(load_boat(CONFIGS / "hasty14.yaml"))


def test_all_that_is_meant_is_found_and_nothing_else() -> None:
    assert [(f.kind, f.pieces[:2]) for f in checked().findings] == list(MEANT.items())
    assert len(MEANT) == 8


def test_the_most_harmful_come_first() -> None:
    ranks = [rank(finding.kind) for finding in checked().findings]
    assert ranks == sorted(ranks)


@pytest.mark.parametrize("kind", MEANT)
def test_each_says_where_and_what_would_cure_it_at_its_line(kind: str) -> None:
    finding = next(f for f in checked().findings if f.kind == kind)
    assert finding.what
    assert finding.cure
    assert finding.where is not None
    assert finding.place is not None
    assert finding.place.line is not None
    lines = (CONFIGS / "hasty14.yaml").read_text(encoding="utf-8").splitlines()
    assert lines[finding.place.line - 2].strip().startswith("#"), "a comment above tells of the fault"
