"""Tasks that a deck covers when it closes: plumbing, wire, foam."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from cutlists.work.book import Book, Count
from cutlists.work.covers import along, over, short
from cutlists.work.facts import Facts, names_of
from cutlists.work.laid import Laid, Line
from cutlists.work.settings import WorkSettings

if TYPE_CHECKING:
    from model.panelling.fixtures import Fixture

PLUMBED = frozenset({"pump", "valve", "drain", "tank", "through_hull", "hose_fitting"})
"""Kinds of fittings that water runs through."""
WIRED = frozenset({"battery", "pump", "box", "light", "switch"})
"""Kinds of fittings that current runs through."""
OPEN = "open"
"""Stands in the names of tasks for what no deck covers."""


def add_below(book: Book, facts: Facts, settings: WorkSettings, owner: str, below: Below) -> None:
    """What is led and set below one deck before it closes; `owner` is empty for what no deck covers.

    Args:
        book: of tasks.
        facts: of the boat.
        settings: of the shop.
        owner: a deck or seat box.
        below: what is laid below each deck.
    """
    own, rates = short(owner) or OPEN, settings.rates
    fittings = (facts.covered if owner else facts.mounted).get(owner, ())
    hoses = [line for line in below.lines.get(owner, ()) if line.kind == "hose"]
    wires = [line for line in below.lines.get(owner, ()) if line.kind == "wire"]
    holes = below.holes.get(owner, 0)
    plumbed = [fixture for fixture in fittings if fixture.kind in PLUMBED]
    where = f"under {own}" if owner else "in the open"
    if hoses or plumbed or holes:
        counts: list[Count] = [
            (_metres(hoses), rates.hose, "m of hose"),
            (2 * len(hoses), rates.clamp, "ends of hose"),
            (len(plumbed) + holes, rates.plumbing, "fittings"),
        ]
        plumb = book.add(f"plumb.{own}", f"Set pumps, valves, hoses {where}", counts, names_of(plumbed))
        book.follow(plumb, "order.parts", "they are set there")
        if hoses:
            book.follow(plumb, "order.hose", "it is led there")
    if wires:
        counts = [(_metres(wires), rates.wire, "m of wire")]
        told = sum(line.count for line in wires)
        wire = book.add(f"wire.{own}", f"Lead and clip {told} wires {where}", counts)
        book.follow(wire, "order.wire", "it is led there")
    _link_below(book, own)


def add_foam(book: Book, facts: Facts, settings: WorkSettings, owner: str, laid: Laid) -> None:
    """Blocks of foam below a deck, once what is welded, painted, led and tried there is done."""
    litres = laid.foam.get(owner, 0.0)
    if not litres:
        return
    own = short(owner)
    counts = [(litres, settings.rates.foam, "litres")]
    title = f"Cut and lay the foam under {own}, nothing near fuel or a torch"
    foam = book.add(f"foam.{own}", title, counts, (), settings.cure.foam)
    book.follow(foam, "order.foam", "it is cut from this")
    book.follow(foam, "leak.hull", "a leak behind foam is not found again")
    for kind in ("plumb", "wire"):
        book.follow(foam, f"{kind}.{own}", "it is led first, foam fills what is left")
    for locker in facts.boat.layout.lockers.values():
        if locker.deck == owner:
            for kind in ("fit", "leak", "foam"):
                book.follow(foam, f"{kind}.{short(locker.name)}", "a leak behind foam is not found again")
    _link_below(book, own)


def _link_below(book: Book, own: str) -> None:
    for kind in ("plumb", "wire", "foam"):
        book.follow(f"{kind}.{own}", f"weld.{own}", "it lies beside this frame, and sparks burn it")
        book.follow(f"close.{own}", f"{kind}.{own}", "it covers them")


@dataclass(frozen=True, eq=False)
class Below:
    """What is laid, by the lowest deck over any of it; an empty name for what lies in the open.

    Attributes:
        lines: wires and hoses.
        holes: how many fittings for hoses go through skin and wells.
    """

    lines: Mapping[str, Sequence[Line]]
    holes: Mapping[str, int]

    @classmethod
    def of(cls, facts: Facts, laid: Laid) -> Below:
        """All of it sorted."""
        lines: dict[str, list[Line]] = defaultdict(list)
        for line in laid.lines:
            above = over(facts.boat, along(line.path))
            lines[above[0] if above else ""].append(line)
        holes: dict[str, int] = defaultdict(int)
        for at in laid.holes:
            above = over(facts.boat, at[None, :])
            holes[above[0] if above else ""] += 1
        return cls(lines, holes)


def link_lines(book: Book, facts: Facts, lines: Iterable[Line]) -> None:
    """Each deck after every wire and hose that lies below any part of it, wherever these are told."""
    for line in lines:
        above = over(facts.boat, along(line.path))
        kind = "plumb" if line.kind == "hose" else "wire"
        for deck in above:
            book.follow(f"close.{short(deck)}", f"{kind}.{short(above[0])}", f"it covers {line.name}")


def add_guessed_wires(book: Book, facts: Facts, settings: WorkSettings) -> None:
    """Wires of a boat whose file tells of none: one from each fitting with current to the fuse box.

    Their lengths are by right angles along the boat, which is about what a loom takes (common practice).
    """
    everything = [*facts.covered.items(), *facts.mounted.items()]
    boxes = [one for _, own in everything for one in own if one.kind == "box"]
    sources = boxes or [one for _, own in everything for one in own if one.kind == "battery"]
    if not sources:
        return
    for owner, own in everything:
        wired = [fixture for fixture in own if fixture.kind in WIRED and fixture is not sources[0]]
        if not wired:
            continue
        metres = sum(_apart(one, sources[0]) for one in wired) / 1000.0
        name, rates = short(owner) or OPEN, settings.rates
        where = f"under {name}" if owner else "in the open"
        counts = [(metres, rates.wire, "m, as the file tells of no wires,"), (len(wired), rates.end, "ends")]
        title = f"Lead wires to {len(wired)} fittings {where}"
        book.add(f"wire.{name}", title, counts, names_of(wired))
        _link_below(book, name)


def _metres(lines: Iterable[Line]) -> float:
    return sum(line.metres for line in lines)


def _apart(one: Fixture, other: Fixture) -> float:
    """Length along the boat, athwart and up, mm."""
    return float(np.abs(one.frame.origin - other.frame.origin).sum())
