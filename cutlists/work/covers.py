"""What covers what and what stands on what: why a deck closes after its wires, and a frame waits for a floor.

What a task is about is told by the head of a piece's name: `deck.front`, `seat.driver`, `locker.ice`.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np
import shapely

from model.geometry import Array

if TYPE_CHECKING:
    from model.boat import Boat
    from model.layout.records import BulkheadPlan, DeckPlan, LockerPlan

OVERLAP = 2_000.0
"""Plan areas that share less than this, mm2, do not cover each other."""
STEP = 50.0
"""Between points at which a way is looked at, mm."""
LEVEL = 1.0
"""Heights this close, mm, are the same."""
STANDS = 40.0
"""What stands this near above or below the top of a sheet, mm, stands on it, or on the lid or mat there."""


def owner_of(piece: str) -> str:
    """What a piece belongs to: `deck.front` of `deck.front/beam.3`."""
    return piece.partition("/")[0]


def short(owner: str) -> str:
    """The name of an owner in the names of tasks: a deck by its own name, anything else in full."""
    return owner.removeprefix("deck.")


def in_order(boat: Boat) -> list[str]:
    """Names of decks and seat boxes, the lowest first: what stands on another comes after it."""
    decks = boat.layout.decks
    return sorted(decks, key=lambda name: (round(_top(decks[name]), 1), list(decks).index(name)))


def _top(deck: DeckPlan) -> float:
    low, _, high, _ = deck.plan_area().bounds
    return max(deck.height_at(low), deck.height_at(high))


def framed(boat: Boat) -> list[str]:
    """Decks and seat boxes that have a frame, the lowest first."""
    own = {owner_of(member.name) for member in boat.members}
    return [name for name in in_order(boat) if name in own]


def stands_on(boat: Boat, name: str) -> Iterator[tuple[str, str]]:
    """What a frame stands on, each once: ("sheet", deck) for a deck's sheet, ("frame", deck) for a frame."""
    own = {member.name for member in boat.members if owner_of(member.name) == name}
    found: dict[tuple[str, str], None] = {}
    for joint in boat.joints:
        if joint.member in own and joint.other:
            other = owner_of(joint.other)
            if other != name and other in boat.layout.decks:
                found["sheet" if joint.kind == "sole" else "frame", other] = None
    deck = boat.layout.decks.get(name)
    if deck is not None and deck.stands_on is not None:
        found["sheet", deck.stands_on] = None
    for console in boat.layout.consoles:
        if console.name == name:
            found["sheet", console.stands_on] = None
    yield from found


def lockers_under(boat: Boat, name: str) -> list[LockerPlan]:
    """Lockers whose panels hang below a deck."""
    return [locker for locker in boat.layout.lockers.values() if locker.deck == name]


def bulkheads_under(boat: Boat, name: str) -> list[BulkheadPlan]:
    """Bulkheads that end below a deck."""
    deck = boat.layout.decks[name]
    area, top = deck.plan_area(), height(deck)
    found = []
    for bulkhead in boat.layout.bulkheads:
        line = shapely.LineString([bulkhead.start[:2], bulkhead.end[:2]])
        if bulkhead.top < top + LEVEL and area.intersects(line):
            found.append(bulkhead)
    return found


def decks_under(boat: Boat, name: str) -> list[str]:
    """Decks, part of which lies below another."""
    deck = boat.layout.decks[name]
    area, top = deck.plan_area(), height(deck)
    return [
        other
        for other, lower in boat.layout.decks.items()
        if other != name
        and height(lower) < top - LEVEL
        and area.intersection(lower.plan_area()).area > OVERLAP
    ]


def over(boat: Boat, points: Array) -> list[str]:
    """Decks whose sheet lies over any of these points, `(n, 3)` mm, the lowest first.

    A point below an opening counts as covered: what is long is laid before the sheet with the opening in it.
    """
    found = []
    for name in in_order(boat):
        deck = boat.layout.decks[name]
        tops = deck.frame.origin[2] + points[:, 0] * deck.frame.x[2] / deck.frame.x[0]
        below = points[points[:, 2] < tops - deck.sheet.thickness]
        if len(below) and bool(np.any(shapely.contains_xy(deck.plan_area(), below[:, 0], below[:, 1]))):
            found.append(name)
    return found


def along(path: Array) -> Array:
    """Points along a way `(n, 3)`, no farther apart than `STEP`, `(m, 3)` mm."""
    if len(path) < 2:
        return path
    far = np.linalg.norm(np.diff(path, axis=0), axis=1)
    counts = np.maximum(1, np.ceil(far / STEP)).astype(int)
    parts = [
        np.linspace(a, b, count, endpoint=False)
        for a, b, count in zip(path[:-1], path[1:], counts, strict=True)
    ]
    return np.concatenate([*parts, path[-1:]])


def on_top_of(boat: Boat, point: Array) -> str | None:
    """The highest deck or seat box that stands right below a point `(3,)`; None where there is none."""
    found = [
        name
        for name in in_order(boat)
        if abs(point[2] - boat.layout.decks[name].height_at(point[0])) < STANDS
        and bool(shapely.contains_xy(boat.layout.decks[name].plan_area(), point[0], point[1]))
    ]
    return found[-1] if found else None


def height(deck: DeckPlan) -> float:
    """Of a deck in the middle of its length, mm."""
    low, _, high, _ = deck.plan_area().bounds
    return (deck.height_at(low) + deck.height_at(high)) / 2
