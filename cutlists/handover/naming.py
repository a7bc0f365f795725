"""Names of a boat's parts as an owner would say them."""

from __future__ import annotations


def plain(word: str) -> str:
    """A name of the boat file in ordinary letters: `bow_motor` is bow motor."""
    return word.replace("_", " ")


def called(name: str) -> str:
    """What is said of a piece by its name in the boat.

    `deck.front` is the front deck, `fixture.battery.port` battery, port, and `deck.front/store.port/lid`
    the store lid, port.
    """
    *_, last = name.split("/")
    if last == "lid":
        owner, opening = name.split("/")[-3:-1]
        base, comma, hand = _handed(opening).partition(", ")
        return f"{called(owner) if base == 'lid' else base} lid{comma}{hand}"
    kind, _, rest = name.partition(".")
    if not rest:
        return plain(name)
    if kind == "deck":
        return _deck(rest)
    if kind == "seat":
        return f"{_handed(rest)} seat box"
    if kind == "console":
        return f"{_handed(rest)} console"
    return _handed(rest)


def _deck(rest: str) -> str:
    base, _, hand = rest.partition(".")
    said = plain(base)
    if base != "sole" and not said.endswith(("deck", "sole", "step")):
        said += " deck"
    return f"{said}, {hand}" if hand else said


def _handed(rest: str) -> str:
    """A name with the side it is on told after it, where it has one."""
    base, _, hand = rest.rpartition(".")
    return f"{plain(base)}, {hand}" if base and hand in ("port", "starboard") else plain(rest)
