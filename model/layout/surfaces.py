"""Names of decks, lids, floors and the hull to the places that things stand on or hang under."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from model.boatfile.numbers import Key
from model.layout.context import Context
from model.layout.records import DeckPlan, LockerPlan, Opening
from parts.faults import did_you_mean


@dataclass
class Surfaces:
    """What is there to stand on, by the names the file gives.

    A thing on both sides finds its own side of what it stands on: `side` means `side.port` for the port one.
    """

    ctx: Context
    decks: dict[str, DeckPlan]
    lockers: dict[str, LockerPlan] = field(default_factory=dict)

    def deck(self, name: str, hand: str | None, path: tuple[Key, ...]) -> DeckPlan | None:
        """The deck (or seat box) called `name`; None, with the fault noted, where there is none."""
        found = self.deck_called(name, hand)
        if found is None:
            self._unknown("deck", name, self._deck_names(), path)
        return found

    def described(self, name: str) -> DeckPlan | Opening | None:
        """What the file describes by a name: of a deck or an opening on both sides the one first built."""
        for deck in self.decks.values():
            if name in (deck.base, deck.name.partition(".")[2]):
                return deck
            for opening in deck.openings:
                if name in (f"{deck.base}.{opening.base}", f"{deck.base}.{opening.name.rpartition('/')[2]}"):
                    return opening
        return None

    def opening(self, name: str, hand: str | None) -> tuple[DeckPlan, Opening] | None:
        """The opening called `deck.opening`, on the side asked for where there are two."""
        for deck in self.decks.values():
            short = deck.name.partition(".")[2]
            for opening in deck.openings:
                own = opening.name.rpartition("/")[2]
                if f"{short}.{own}" == name or (deck.name.startswith("seat.") and short == name):
                    return deck, opening
        if hand is None:
            return None
        deck_key, _, opening_key = name.partition(".")
        for deck in self.decks.values():
            if deck.base == deck_key and deck.hand in (None, hand):
                for opening in deck.openings:
                    seat = deck.name.startswith("seat.") and not opening_key
                    if seat or (opening.base == opening_key and opening.hand in (None, hand)):
                        return deck, opening
        return None

    def known_openings(self) -> list[str]:
        """Names of all openings as the file would give them."""
        return [
            f"{d.name.partition('.')[2]}.{o.name.rpartition('/')[2]}"
            for d in self.decks.values()
            for o in d.openings
        ]

    def locker(self, name: str, hand: str | None) -> LockerPlan | None:
        """The locker called `name`, on the side asked for where there are two."""
        for wanted in (name, f"{name}.{hand}"):
            found = self.lockers.get(f"locker.{wanted}")
            if found is not None:
                return found
        return None

    def unknown(self, name: str, path: tuple[Key, ...]) -> None:
        """Notes that nothing to stand on has this name."""
        lockers = [key.partition(".")[2] for key in self.lockers]
        self._unknown("place", name, [*self._deck_names(), *self.known_openings(), *lockers, "hull"], path)

    def deck_called(self, name: str, hand: str | None) -> DeckPlan | None:
        """The deck (or seat box) called `name`, on the side asked for where there are two; or None."""
        for wanted in (name, f"{name}.{hand}"):
            for kind in ("deck", "seat"):
                found = self.decks.get(f"{kind}.{wanted}")
                if found is not None:
                    return found
        return None

    def _refused(self, name: str) -> bool:
        """Whether the file tells of it but it was refused: its own fault says so, and one is enough."""
        entry = self.ctx.entry
        key, _, opening = name.partition(".")
        if key in entry.lockers and not any(k.base == key for k in self.lockers.values()):
            return True
        built = [deck for deck in self.decks.values() if deck.base == key]
        if not built:
            return key in entry.decks or key in entry.seat_boxes
        told = key in entry.decks and opening in entry.decks[key].openings
        return told and not any(o.base == opening for deck in built for o in deck.openings)

    def _deck_names(self) -> list[str]:
        return [name.partition(".")[2] for name in self.decks]

    def _unknown(self, kind: str, name: str, known: Sequence[str], path: tuple[Key, ...]) -> None:
        if self._refused(name):
            return
        if not self._has_fallen(name):
            self.ctx.fault(path, f"there is no {kind} called {name!r}", did_you_mean(name, known))

    def _has_fallen(self, name: str) -> bool:
        """Whether the file has something of that name which its own fault kept from being built."""
        if not len(self.ctx.numbers.faults):
            return False
        entry, (base, _, own) = self.ctx.entry, name.partition(".")
        if base in entry.decks and not any(d.base == base for d in self.decks.values()):
            return True
        if own and base in entry.decks and own in entry.decks[base].openings:
            return self.described(name) is None
        boxes = base in entry.seat_boxes and not any(d.base == base for d in self.decks.values())
        return boxes or (base in entry.lockers and not any(k.base == base for k in self.lockers.values()))
