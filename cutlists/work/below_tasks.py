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
from cutlists.work.trades import takes_current, trade_of

if TYPE_CHECKING:
    from model.panelling.fixtures import Fixture

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
    own = short(owner) or OPEN
    where = f"under {own}" if owner else "in the open"
    fittings = (facts.covered if owner else facts.mounted).get(owner, ())
    by_trade: dict[str, list[Fixture]] = defaultdict(list)
    for one in fittings:
        by_trade[trade_of(facts.boat, one)].append(one)
    _add_plumbing(book, settings, (own, where), by_trade["plumb"], below, owner)
    _add_wires(book, settings, (own, where), by_trade["wire"], below, owner)
    if owner:
        _add_fixed(book, settings, own, [one for one in by_trade["rig"] if one.name not in facts.removable])
    _link_below(book, own)


def _add_plumbing(
    book: Book,
    settings: WorkSettings,
    told: tuple[str, str],
    fittings: Sequence[Fixture],
    below: Below,
    owner: str,
) -> None:
    """Pumps, valves, drains and skin fittings set, hoses led and clamped."""
    (own, where), rates = told, settings.rates
    hoses = [line for line in below.lines.get(owner, ()) if line.kind == "hose"]
    holes = below.holes.get(owner, 0)
    if not (hoses or fittings or holes):
        return
    counts: list[Count] = [
        (_metres(hoses), rates.hose, "m of hose"),
        (2 * len(hoses), rates.clamp, "ends of hose"),
        (len(fittings) + holes, rates.plumbing, "fittings"),
    ]
    plumb = book.add(f"plumb.{own}", f"Set pumps, valves, hoses {where}", counts, names_of(fittings))
    book.follow(plumb, "order.parts", "they are set there")
    if hoses:
        book.follow(plumb, "order.hose", "it is led there")


def _add_wires(
    book: Book,
    settings: WorkSettings,
    told: tuple[str, str],
    boxes: Sequence[Fixture],
    below: Below,
    owner: str,
) -> None:
    """Wires led and clipped, boxes and lights set."""
    (own, where), rates = told, settings.rates
    wires = [line for line in below.lines.get(owner, ()) if line.kind == "wire"]
    if not (wires or boxes):
        return
    counts: list[Count] = [
        (_metres(wires), rates.wire, "m of wire"),
        (len(boxes), rates.rig, "boxes and lights set"),
    ]
    many = sum(line.count for line in wires)
    title = f"Lead and clip {many} wires {where}" if wires else f"Set boxes for wires {where}"
    wire = book.add(f"wire.{own}", title, counts, names_of(boxes))
    book.follow(wire, "order.wire", "it is led there")
    if boxes:
        book.follow(wire, "order.parts", "they are set there")


def _add_fixed(book: Book, settings: WorkSettings, own: str, fittings: Sequence[Fixture]) -> None:
    """What else lies below a deck and leaves by no opening."""
    if not fittings:
        return
    counts = [(len(fittings), settings.rates.rig, "fittings")]
    rig = book.add(f"rig.under.{own}", f"Mount what {own} will cover", counts, names_of(fittings))
    book.follow(rig, "order.parts", "they are mounted there")
    book.follow(rig, f"weld.{own}", "they lie beside this frame")
    book.follow(f"close.{own}", rig, "it covers them")


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
    boat = facts.boat
    sources = [one for _, own in everything for one in own if trade_of(boat, one) == "wire"]
    sources += [one for _, own in everything for one in own if one.kind == "battery"]
    if not sources:
        return
    for owner, own in everything:
        wired = [one for one in own if takes_current(boat, one) and one is not sources[0]]
        if not wired:
            continue
        metres = sum(_apart(one, sources[0]) for one in wired) / 1000.0
        name, rates = short(owner) or OPEN, settings.rates
        where = f"under {name}" if owner else "in the open"
        counts: list[Count] = [
            (metres, rates.wire, "m, as the file tells of no wires,"),
            (len(wired), rates.end, "ends"),
        ]
        boxes = [one for one in own if trade_of(boat, one) == "wire"]
        counts.append((len(boxes), rates.rig, "boxes and lights set"))
        pieces = names_of({one.name: one for one in (*wired, *boxes)}.values())
        wire = book.add(f"wire.{name}", f"Lead wires to {len(wired)} fittings {where}", counts, pieces)
        book.follow(wire, "order.parts", "they are set there")
        _link_below(book, name)


def _metres(lines: Iterable[Line]) -> float:
    return sum(line.metres for line in lines)


def _apart(one: Fixture, other: Fixture) -> float:
    """Length along the boat, athwart and up, mm."""
    return float(np.abs(one.frame.origin - other.frame.origin).sum())
