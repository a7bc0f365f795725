"""Clashes in words: which two, how far they fall short, where, and what would part them."""

from __future__ import annotations

from model.clearance.bodies import Body
from model.clearance.kinds import ON_HULL, ROOM
from model.clearance.pairs import Nearness
from model.clearance.parting import Parting, parting
from model.geometry import Array
from parts.lengths import format_fraction, format_length

FINE = 12.7
"""Shorter lengths, mm, are told in millimetres too: a sixteenth is too coarse for them."""


def names_told(near: Nearness) -> tuple[str, str]:
    """The names of the two, what is more easily moved first; a room goes by the name of its fitting."""
    first, second = _mover_first(near)
    return first.name.removesuffix(f"/{ROOM}"), second.name.removesuffix(f"/{ROOM}")


def clash_told(near: Nearness, least: float, others: int, units: str) -> str:
    """What is wrong with two pieces, their names left out.

    Args:
        near: the two.
        least: the gap asked of them, mm.
        others: how many more pieces of the same two things clash.
        units: of the boat.
    """
    if near.shared is None:
        what = f"stand {length_told(near.gap, units)} apart; {length_told(least, units)} is asked"
    elif _mover_first(near)[0].kind == ROOM:
        what = f"the second reaches {length_told(near.depth, units)} into the room that the first needs"
    else:
        what = f"lie {length_told(near.depth, units)} in each other"
    if others:
        what += (
            "; so does one more of their pieces" if others == 1 else f"; so do {others} more of their pieces"
        )
    return what


def cure_told(near: Nearness, move: Parting, units: str) -> str:
    """Which of the two is to be moved, how far and which way."""
    return f"move {names_told(near)[0]} {length_told(move.distance, units)} {move.way}"


def least_move(near: Nearness, least: float) -> Parting:
    """The least move of what is more easily moved that leaves a gap between the two, mm."""
    first, second = _mover_first(near)
    return parting(first.solids, second.solids, least)


def _mover_first(near: Nearness) -> tuple[Body, Body]:
    """The two with the one more easily moved first: fittings, lids, metal, then the hull."""
    order = {ROOM: 0, "lid": 2, "member": 3, "sheet": 4, **dict.fromkeys(ON_HULL, 5)}
    ranks = [order.get(body.kind, 1) for body in (near.first, near.second)]
    return (near.first, near.second) if ranks[0] <= ranks[1] else (near.second, near.first)


def length_told(mm: float, units: str) -> str:
    """A length in the boat's units; a short one in a boat of inches in millimetres beside the fraction."""
    if units not in ("in", "ft") or mm >= FINE:
        return format_length(mm, units)
    return f"{mm:.1f} mm ({format_fraction(mm, 32)})"


def where_told(point: Array, units: str) -> str:
    """A point in words: from the transom, off the centreline, above the baseline."""
    x, y, z = (float(v) for v in point)
    long, wide, high = (format_length(v, units) for v in (x, abs(y), z))
    side = "on the centreline" if abs(y) < 0.5 else f"{wide} to {'port' if y > 0.0 else 'starboard'}"
    return f"{long} from the transom, {side}, {high} up"
