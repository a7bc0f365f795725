"""What the owner gets, in plain words: decks, lockers, lids, seats, mat and fittings of the boat."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import TYPE_CHECKING

from model.water.wells import GALLON, LITRE, holds

if TYPE_CHECKING:
    from cutlists.plans import Plans
    from model.boat import Boat
    from model.layout.records import DeckPlan, Opening

FOOT2, FOOT3 = 304.8**2, 304.8**3
PLAIN = {"sole": "cockpit floor"}
"""What owners call a thing, where the boat file has a word of the trade."""


def scope_lines(boat: Boat, plans: Plans) -> list[str]:
    """Lines that say what is built, by what can be seen and counted in the finished boat."""
    return [
        *_frame(boat),
        *_decks(boat),
        *_lockers(boat),
        *_others(boat),
        *_mat(boat, plans),
        *_laid(boat),
        *_fittings(boat),
    ]


def _frame(boat: Boat) -> Iterator[str]:
    sheet = len(boat.panels) + len(boat.strips)
    tube = _length(boat, sum(member.length for member in boat.members) / 1000.0)
    yield (
        f"A frame of aluminium tube welded in place, {len(boat.members)} pieces and {tube} in all, and "
        f"{sheet} pieces of aluminium sheet on it."
    )


def _decks(boat: Boat) -> Iterator[str]:
    bases: dict[tuple[str, str], list[DeckPlan]] = {}
    for name, deck in boat.layout.decks.items():
        bases.setdefault((name.partition(".")[0], deck.base), []).append(deck)
    for (kind, base), decks in bases.items():
        area = sum(deck.area.area for deck in decks)
        lids = [opening for deck in decks for opening in deck.openings if opening.lid]
        told = f" with {_some(len(lids), 'lid')}{_hinged(lids)}"
        word = _plain(base) if base in PLAIN else f"{_plain(base)} {'seat box' if kind == 'seat' else 'deck'}"
        many = f"{len(decks)} x {word}" if len(decks) > 1 else word
        yield f"{many[0].upper()}{many[1:]}, {_area(boat, area)}{told if lids else ''}."


def _hinged(lids: list[Opening]) -> str:
    hinged = len([opening for opening in lids if opening.lid is not None and opening.lid.hinge != "none"])
    if hinged in (0, len(lids)):
        return " on hinges" if hinged else ""
    return f", {hinged} of them on hinges"


def _lockers(boat: Boat) -> Iterator[str]:
    volumes = {well.name: well.to_overflow or well.to_rim for well in holds(boat)}
    for name, locker in boat.layout.lockers.items():
        kind = {"well": "water-tight well", "box": "box", "tray": "tray"}.get(locker.kind, "locker")
        insulated = "insulated " if locker.insulation else ""
        volume = volumes.get(name)
        held = "" if not volume else f", about {_volume(boat, volume)}"
        side = f", {locker.hand}" if locker.hand else ""
        where = f"below the {_plain(boat.layout.decks[locker.deck].base)} deck"
        yield f"{_plain(locker.base).capitalize()}: {insulated}{kind} {where}{side}{held}."


def _others(boat: Boat) -> Iterator[str]:
    if boat.layout.consoles:
        yield f"{_some(len(boat.layout.consoles), 'console')} of aluminium, framed and clad.".capitalize()
    if boat.layout.bulkheads:
        yield f"{_some(len(boat.layout.bulkheads), 'bulkhead')}.".capitalize()


def _mat(boat: Boat, plans: Plans) -> Iterator[str]:
    if plans.matting is not None:
        area = sum(piece.area for piece in plans.matting.pieces)
        yield f"Traction mat on decks and lids, {_area(boat, area)} in {len(plans.matting.pieces)} pieces."


def _laid(boat: Boat) -> Iterator[str]:
    """Wires, hoses, foam and paint, where the boat file tells of them."""
    from cutlists.work.laid import laid_in

    laid = laid_in(boat)
    for kind, told in (("wire", "Wires led, fused and marked"), ("hose", "Hoses led and clamped")):
        metres = sum(line.metres for line in laid.of(kind))
        if metres:
            yield f"{told}, {_length(boat, metres)} in all."
    if laid.foam:
        litres = sum(laid.foam.values())
        told = f"{litres * LITRE / FOOT3:.1f} cubic feet" if _feet(boat) else f"{litres:.0f} litres"
        yield f"Blocks of foam below the decks, {told}."
    if boat.finish is not None:
        yield f"Cleaned and painted: {', '.join(_plain(paint.name) for paint in boat.finish.paints)}."


def _fittings(boat: Boat) -> Iterator[str]:
    counts = Counter(
        (fixture.kind, fixture.part.name)
        for fixture in boat.fixtures
        if fixture.part and fixture.kind != "lid"
    )
    told = [f"{count} x {kind} ({name})" for (kind, name), count in counts.items()]
    if told:
        yield f"Fitted: {', '.join(told)}."


def _plain(base: str) -> str:
    return PLAIN.get(base, base.replace("_", " ").replace("-", " "))


def _some(count: int, word: str) -> str:
    numbers = ("no", "one", "two", "three", "four", "five", "six")
    return f"{numbers[count] if count < len(numbers) else count} {word}{'' if count == 1 else 's'}"


def _feet(boat: Boat) -> bool:
    return boat.units in ("in", "ft")


def _length(boat: Boat, metres: float) -> str:
    return f"{metres * 1000.0 / 304.8:.0f} ft" if _feet(boat) else f"{metres:.0f} m"


def _area(boat: Boat, mm2: float) -> str:
    return f"{mm2 / FOOT2:.1f} sq ft" if _feet(boat) else f"{mm2 / 1e6:.2f} m2"


def _volume(boat: Boat, mm3: float) -> str:
    return f"{mm3 / GALLON:.0f} US gallons" if _feet(boat) else f"{mm3 / LITRE:.0f} litres"
