"""Where everything is: each thing aboard with its place in words, and the lid to open for it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from shapely import Point

from cutlists.handover.naming import called, plain
from model.geometry import Array
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.boat import Boat
    from model.layout.records import DeckPlan, Opening

ON_CENTRE = 12.0
"""A thing no further off the centreline than this, mm, is said to be on it."""
AT_HAND = 900.0
"""A thing no further than this in plan from a lid's opening, mm, is said to be reached by it."""


@dataclass(frozen=True, eq=False, slots=True)
class Located:
    """Something aboard that is no fixture: what it is called, what it is, and where `(3,)`, mm."""

    name: str
    what: str
    at: Array


@dataclass(frozen=True, slots=True)
class Thing:
    """One thing aboard as an owner looks for it.

    Attributes:
        number: on the plan.
        name: what it is called.
        what: kind and part.
        where: in words.
        reach: how to get at it.
        order: the part number that the shop entered, or nothing.
        at: station and distance to port, mm.
    """

    number: int
    name: str
    what: str
    where: str
    reach: str
    order: str
    at: tuple[float, float]


def things_of(
    boat: Boat, part_numbers: Mapping[str, str], others: Sequence[Located] = ()
) -> tuple[Thing, ...]:
    """All fittings, and what else there is, numbered from aft forward, port before starboard.

    Args:
        boat: the finished boat.
        part_numbers: as the shop entered them, by the name of the part or of the thing itself.
        others: things that are no fixtures.
    """
    found: list[tuple[str, str, str, Array]] = []
    for plan in boat.layout.fixtures:
        order = part_numbers.get(plan.name, part_numbers.get(plan.part.name, ""))
        found.append((called(plan.name), f"{plan.kind}, {plan.part.name}", order, plan.frame.origin))
    found += _built_in(boat, part_numbers)
    known = {name for name, _, _, _ in found}
    found += [
        (plain(one.name), one.what, part_numbers.get(one.name, ""), one.at)
        for one in others
        if plain(one.name) not in known
    ]
    found.sort(key=lambda row: (round(float(row[3][0]), 1), -round(float(row[3][1]), 1), row[0]))
    return tuple(
        Thing(n, name, what, _where(boat, at), _reach(boat, at), order, (float(at[0]), float(at[1])))
        for n, (name, what, order, at) in enumerate(found, 1)
    )


def _built_in(boat: Boat, part_numbers: Mapping[str, str]) -> Iterator[tuple[str, str, str, Array]]:
    """Lids, lockers, wells and consoles."""
    for deck in boat.layout.decks.values():
        for opening in deck.openings:
            if opening.lid is None:
                continue
            name = f"{opening.name}/lid"
            part = opening.lid.lid.name if opening.lid.lid is not None else "made to order"
            u, v = opening.polygon.centroid.coords[0]
            order = part_numbers.get(name, part_numbers.get(part, ""))
            yield called(name), f"lid, {part}", order, deck.frame.to_boat(np.array([u, v, 0.0]))
    for locker in boat.layout.lockers.values():
        x, y = locker.area.centroid.coords[0]
        floor = locker.top - 1.0 if locker.floor is None else locker.floor
        yield called(locker.name), locker.kind, part_numbers.get(locker.name, ""), np.array([x, y, floor])
    for console in boat.layout.consoles:
        yield called(console.name), "console", part_numbers.get(console.name, ""), console.frame.origin


def _where(boat: Boat, at: Array) -> str:
    x, y, _ = at.tolist()
    side = (
        "on the centreline" if abs(y) <= ON_CENTRE else f"{format_length(abs(y), boat.units)} to {_hand(y)}"
    )
    along = f"{format_length(abs(x), boat.units)} {'aft' if x < 0 else 'forward'} of the transom"
    return f"{along}, {side}"


def _hand(y: float) -> str:
    return "port" if y > 0 else "starboard"


def _reach(boat: Boat, at: Array) -> str:
    """What lies over a place, and the nearest lid of it."""
    above = _deck_above(boat, at)
    if above is None:
        return "in the open"
    lids = [(opening, _distance(opening, above, at)) for opening in above.openings if opening.lid is not None]
    under = f"under the {called(above.name)}"
    near = min(lids, key=lambda pair: pair[1], default=None)
    if near is None or near[1] > AT_HAND:
        bare = [opening for opening in above.openings if opening.lid is None]
        return (
            f"{under}, by its opening {plain(bare[0].base)}" if bare else f"{under}: the deck comes up first"
        )
    opening, away = near
    lid = called(f"{opening.name}/lid")
    return f"{under}, below the {lid}" if away <= 0.0 else f"{under}, by the {lid}"


def _deck_above(boat: Boat, at: Array) -> DeckPlan | None:
    """The lowest deck that covers a place from above."""
    x, y, z = at.tolist()
    over = [
        deck
        for deck in boat.layout.decks.values()
        if deck.height_at(x) > z + 1.0 and deck.plan_area().covers(Point(x, y))
    ]
    return min(over, key=lambda deck: deck.height_at(x), default=None)


def _distance(opening: Opening, deck: DeckPlan, at: Array) -> float:
    """How far in plan a place lies outside an opening, mm."""
    return float(deck.in_plan(opening.polygon).distance(Point(float(at[0]), float(at[1]))))


def lid_rows(boat: Boat, part_numbers: Mapping[str, str]) -> Iterator[tuple[str, str, str, str]]:
    """Each lid: its name, its size with the cut-out it fits, how it opens, its part number."""
    for deck in boat.layout.decks.values():
        for opening in deck.openings:
            lid = opening.lid
            if lid is None:
                continue
            name = f"{opening.name}/lid"
            u0, v0, u1, v1 = lid.outline.bounds
            c0, d0, c1, d1 = opening.outline.bounds
            size = (
                f"{_length(boat, u1 - u0)} by {_length(boat, v1 - v0)}, "
                f"in a cut-out of {_length(boat, c1 - c0)} by {_length(boat, d1 - d0)}"
            )
            if lid.way.slide != "none":
                opens = f"slides to {lid.way.slide}"
            elif lid.hinge == "none":
                opens = "lifts out"
            else:
                opens = f"hinged {lid.hinge}" + (", held by gas struts" if lid.way.strut else "")
            part = lid.lid.name if lid.lid is not None else "made to order"
            order = part_numbers.get(name, part_numbers.get(part, ""))
            yield f"{called(name)}, {called(deck.name)}", size, opens, order or part


def _length(boat: Boat, mm: float) -> str:
    return format_length(mm, boat.units)
