"""The places that rods may lie in, by the names the boat file gives them."""

from __future__ import annotations

from dataclasses import dataclass

from model.layout.records import DeckPlan, Layout, LockerPlan, Opening


@dataclass(frozen=True, eq=False)
class Stowage:
    """A locker, or the room below an opening of a deck.

    Attributes:
        told: its name as the file gives it, on one side where there are two: `dry`, `front.rods.port`.
        name: its name in the boat: `locker.dry`, `deck.front/rods.port`.
        deck: what it lies under.
        opening: by which it is reached; None under a deck without one.
        locker: its walls and floor; None where it has none of its own.
    """

    told: str
    name: str
    deck: DeckPlan
    opening: Opening | None
    locker: LockerPlan | None


def stowages(layout: Layout) -> list[Stowage]:
    """Every place that rods could lie in."""
    return [*_lockers(layout), *_openings(layout)]


def called(layout: Layout, name: str) -> list[Stowage]:
    """The places of a name: two where a thing on both sides is named without its side."""
    found = stowages(layout)
    own = [place for place in found if place.told == name]
    return own or [place for place in found if name in _short(place)]


def known_names(layout: Layout) -> list[str]:
    """Every name that may be given."""
    return [place.told for place in stowages(layout)]


def _short(place: Stowage) -> tuple[str, ...]:
    """Names without a side."""
    if place.locker is not None:
        return (place.locker.base,)
    assert place.opening is not None
    deck, own = place.deck, place.opening.name.rpartition("/")[2]
    return f"{deck.base}.{place.opening.base}", f"{deck.base}.{own}"


def _lockers(layout: Layout) -> list[Stowage]:
    return [
        Stowage(
            locker.name.partition(".")[2],
            locker.name,
            layout.decks[locker.deck],
            layout.opening(locker.opening) if locker.opening else None,
            locker,
        )
        for locker in layout.lockers.values()
    ]


def _openings(layout: Layout) -> list[Stowage]:
    return [
        Stowage(f"{deck.name.partition('.')[2]}.{own.name.rpartition('/')[2]}", own.name, deck, own, None)
        for deck in layout.decks.values()
        for own in deck.openings
    ]
