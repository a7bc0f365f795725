"""In what order the boat goes together: what stands on what, and what must be done before it is covered."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from graphlib import TopologicalSorter
from typing import TYPE_CHECKING

import shapely

from cutlists.work.covers import in_order

if TYPE_CHECKING:
    from model.boat import Boat

OVERLAP = 2_000.0
"""Plan areas that share less than this, mm2, do not cover each other."""


@dataclass(frozen=True)
class Step:
    """One step of the work.

    Attributes:
        key: what is worked on and how, such as `frame deck.sole`.
        do: what is done, in plain words.
        before: what must have been done by then, and why it could not be done later.
    """

    key: str
    do: str
    before: tuple[str, ...]


def steps(boat: Boat) -> list[Step]:
    """The steps in an order that covers nothing unfinished; equal choices go from the lowest up.

    What stands on a deck comes after that deck's frame; what hangs below a deck comes before its sheet; sheet
    before mat before lids and fittings.
    """
    found = {step.key: step for step in _all(boat)}
    order = list(found)
    sorter = TopologicalSorter({key: [b for b in found[key].before if b in found] for key in found})
    sorter.prepare()
    told: list[Step] = []
    ready: list[str] = []
    while sorter.is_active():
        ready = sorted((*ready, *sorter.get_ready()), key=order.index)
        first = ready.pop(0)
        told.append(found[first])
        sorter.done(first)
    return told


def _all(boat: Boat) -> Iterator[Step]:
    decks = boat.layout.decks
    order = in_order(boat)
    framed = [name for name in order if any(m.name.startswith(f"{name}/") for m in boat.members)]
    for name in framed:
        below = tuple(f"{what} {other}" for what, other in _stands_on(boat, name) if other in framed)
        yield Step(
            f"frame {name}",
            f"Frame of {name}: tack rims and ledgers, check both diagonals, then headers and carlings, "
            "beams, posts. Check level, then weld from the middle outward, turning sides.",
            below,
        )
    for console in boat.layout.consoles:
        yield Step(
            f"frame {console.name}",
            f"Frame of {console.name}: tack, check square in plan and profile, weld, then its panels.",
            (f"sheet {console.stands_on}",),
        )
    for locker in boat.layout.lockers.values():
        tight = ", weld tight and fill with water overnight" if locker.kind == "well" else ""
        insulated = ", with its insulation round it" if locker.insulation else ""
        yield Step(
            f"locker {locker.name}",
            f"Panels of {locker.name}{insulated}{tight}; run what passes behind them first.",
            (f"frame {locker.deck}",),
        )
    for bulkhead in boat.layout.bulkheads:
        yield Step(f"bulkhead {bulkhead.name}", f"Set {bulkhead.name}; cut its holes for hoses and wire.", ())
    for name in framed:
        yield Step(
            f"sheet {name}",
            f"Sheet of {name}: first paint or seal, wire and hose what it will cover, then fit, trim to the "
            "hull and fasten.",
            (f"frame {name}", *_under(boat, name)),
        )
        if boat.mat is not None:
            yield Step(
                f"mat {name}", f"Mat on {name}, its grooves in line with its neighbours.", (f"sheet {name}",)
            )
    last = "mat" if boat.mat is not None else "sheet"
    for name in framed:
        if decks[name].openings:
            lids = ", ".join(o.name.partition("/")[2] for o in decks[name].openings)
            hung = f"Lids and trays of {name} ({lids}): hang, set latches, try the swing."
            yield Step(f"lids {name}", hung, (f"{last} {name}",))


def _stands_on(boat: Boat, name: str) -> list[tuple[str, str]]:
    """What the members of a deck stand on: the sheet of another deck, or a member of its frame."""
    own = {m.name for m in boat.members if m.name.startswith(f"{name}/")}
    found: dict[tuple[str, str], None] = {}
    for joint in boat.joints:
        if joint.member in own and joint.other:
            other = joint.other.partition("/")[0]
            if other != name and other in boat.layout.decks:
                found["sheet" if joint.kind == "sole" else "frame", other] = None
    stood = boat.layout.decks[name].stands_on
    if stood is not None:
        found["sheet", stood] = None
    return list(found)


def _under(boat: Boat, name: str) -> list[str]:
    """Lockers, bulkheads and lower frames that the sheet of a deck covers."""
    deck = boat.layout.decks[name]
    area = deck.plan_area()
    found = [f"locker {locker.name}" for locker in boat.layout.lockers.values() if locker.deck == name]
    for bulkhead in boat.layout.bulkheads:
        line = shapely.LineString([bulkhead.start[:2], bulkhead.end[:2]])
        if area.intersects(line) and bulkhead.top < _height(boat, name) + 1.0:
            found.append(f"bulkhead {bulkhead.name}")
    for other, lower in boat.layout.decks.items():
        if other != name and _height(boat, other) < _height(boat, name) - 1.0:
            shared = area.intersection(lower.plan_area()).area
            if shared > OVERLAP:
                found += [f"frame {other}", f"sheet {other}"]
    return found


def _height(boat: Boat, name: str) -> float:
    deck = boat.layout.decks[name]
    low, _, high, _ = deck.plan_area().bounds
    return (deck.height_at(low) + deck.height_at(high)) / 2
