"""Points that a hand must get at, as the catalogue tells them."""

from __future__ import annotations

from typing import Any

import pytest

from parts.catalogue import Catalogue, starter
from parts.faults import BadInput, Place
from parts.fittings import FINGER


def with_one(kind: str, entry: dict[str, Any]) -> Catalogue:
    return starter().with_entries(
        {kind: {"mine": entry}}, lambda path: Place("shop.yaml", None, ".".join(map(str, path)))
    )


VALVE = {"diameter": "60 mm", "height": "100 mm", "mass": 0.5}
BOX = {"length": "100 mm", "width": "50 mm", "height": "40 mm", "mass": 1}


@pytest.mark.parametrize("kind", ["pumps", "valves", "drains"])
def test_what_needs_a_hand_by_its_kind_is_reached_over_its_top(kind: str) -> None:
    part = with_one(kind, VALVE).fitting("mine")
    assert part.service_points == {"top": (0.0, 0.0, 100.0 + FINGER)}


def test_a_box_needs_no_hand_unless_it_says_where() -> None:
    assert with_one("boxes", BOX).fitting("mine").service_points == {}
    told = with_one("boxes", BOX | {"service": {"fuses": ["1 in", "-10 mm", 2]}}).fitting("mine")
    assert told.service_points == {"fuses": (25.4, -10.0, 50.8)}


def test_points_of_its_own_stand_for_the_top() -> None:
    part = with_one("valves", VALVE | {"service": {"handle": [0, "60 mm", "90 mm"]}}).fitting("mine")
    assert part.service_points == {"handle": (0.0, 60.0, 90.0)}


def test_starter_parts_that_need_a_hand() -> None:
    serviced = {name for name, part in starter().fittings.items() if part.service_points}
    assert {"bilge-500", "ball-valve-3/4", "drain-plug-1", "fuse-box-6", "battery-switch"} <= serviced
    assert "group-31" not in serviced


@pytest.mark.parametrize(
    ("at", "key", "wrong"),
    [
        (["1 in", "two", 0], "valves.mine.service.handle.1", "'two'"),
        (["1 in", 0], "valves.mine.service.handle", "at least 3"),
        ([True, 0, 0], "valves.mine.service.handle.0", "true"),
    ],
)
def test_bad_points_are_refused_where_they_stand(at: list[Any], key: str, wrong: str) -> None:
    with pytest.raises(BadInput) as caught:
        with_one("valves", VALVE | {"service": {"handle": at}})
    told = [fault for fault in caught.value.faults if fault.place.key == key]
    assert told
    assert wrong in told[0].wrong.lower() + told[0].right.lower()
