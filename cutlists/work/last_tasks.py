"""Tasks on closed decks: mat, lids, fittings, wires joined, motor, and the boat tried afloat."""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from cutlists.work.book import Book, Count
from cutlists.work.covers import short, stands_on
from cutlists.work.facts import Facts, names_of, square_metres
from cutlists.work.laid import Laid
from cutlists.work.settings import WorkSettings
from cutlists.work.sheet_tasks import FLAT
from cutlists.work.trades import Trade, takes_current, trade_of

if TYPE_CHECKING:
    from model.layout.records import DeckPlan
    from model.panelling.fixtures import Fixture

TRIAL = "float.trial"
JOINING = "wire.ends"
HOT = ("tack.", "weld.")
"""What tasks of hot work begin with."""
LATE: dict[Trade, str] = {"fuel": "fuel", "battery": "batteries"}


def add_mat(book: Book, facts: Facts, settings: WorkSettings, owner: str) -> None:
    """Mat on a deck and its lids."""
    deck = facts.boat.layout.decks.get(owner)
    if facts.boat.mat is None or deck is None or f"{owner}/top" in facts.boat.mat.leave_out:
        return
    counts = [(_matted(facts, deck), settings.rates.mat, "m2")]
    own = short(owner)
    mat = book.add(f"mat.{own}", f"Lay the mat of {own}, grooves in line", counts, (), settings.cure.mat)
    book.follow(mat, "order.mat", "it is cut from this mat")
    book.follow(mat, f"close.{own}", "it lies on this sheet")
    for other in facts.frames:
        if ("sheet", owner) in stands_on(facts.boat, other):
            for kind in ("weld", "close"):
                why = f"{short(other)} stands on it; sparks burn mat"
                book.follow(mat, f"{kind}.{short(other)}", why)


def _matted(facts: Facts, deck: DeckPlan) -> float:
    """About how much of a deck and its lids carries mat, m2: what stands on it is left out."""
    flat = [piece for piece in facts.sheet.get(deck.name, ()) if piece.role in FLAT]
    lids = sum(o.lid.outline.to_shapely().area for o in deck.openings if o.lid is not None) * 1e-6
    decks = facts.boat.layout.decks.values()
    standing = [other.plan_area() for other in decks if other.stands_on == deck.name]
    taken = shapely.union_all(standing).intersection(deck.plan_area()).area * 1e-6 if standing else 0.0
    return max(0.0, square_metres(flat) + lids - taken)


def add_lids(book: Book, facts: Facts, settings: WorkSettings, owner: str) -> None:
    """Lids of a deck hung, with their struts."""
    deck = facts.boat.layout.decks.get(owner)
    openings = [opening for opening in deck.openings if opening.lid is not None] if deck else []
    if not openings:
        return
    own, rates = short(owner), settings.rates
    struts = [o.lid.way.strut for o in openings if o.lid is not None and o.lid.way.strut is not None]
    counts: list[Count] = [
        (len(openings), rates.lid, "lids"),
        (sum(strut.count for strut in struts), rates.strut, "struts"),
    ]
    told = ", ".join(opening.name.partition("/")[2] for opening in openings)
    pieces = [f"{opening.name}/lid" for opening in openings]
    lids = book.add(f"lids.{own}", f"Hang the lids of {own} ({told}), try their swing", counts, pieces)
    made = any(o.lid is not None and o.lid.lid is None for o in openings)
    book.follow(lids, "order.lids" if made else "order.parts", "they are hung here")
    if made and any(o.lid is not None and o.lid.lid is not None for o in openings):
        book.follow(lids, "order.parts", "some are from the catalogue")
    if struts:
        book.follow(lids, "order.struts", "they are held up by these")
    book.follow(lids, f"close.{own}", "they hang on this sheet")
    book.follow(lids, f"mat.{own}", "the mat keeps its gap from them")


def add_rigging(book: Book, facts: Facts, settings: WorkSettings, laid: Laid) -> None:
    """Seats and trays, wires joined, then fuel, batteries and motors, and all of it tried afloat."""
    rates, boat = settings.rates, facts.boat
    for owner, fittings in facts.fittings:
        loose = [one for one in fittings if trade_of(boat, one) == "rig" and not facts.is_buried(one)]
        if not loose:
            continue
        own = short(owner) or "boat"
        counts = [(len(loose), rates.rig, "fittings")]
        rig = book.add(f"rig.{own}", f"Mount on {own}: {_listed(loose)}", counts, names_of(loose))
        book.follow(rig, "order.parts", "they are mounted here")
        for kind in ("close", "mat", "lids"):
            book.follow(rig, f"{kind}.{own}", "they stand on it")
    _add_joining(book, facts, settings, laid)
    _add_late(book, facts, settings, "fuel", "Set the fuel tank, its fill and vent by the code for fuel")
    _add_late(book, facts, settings, "battery", "Set and strap batteries, then fuses one by one")
    motors = [item for item in boat.weights.aboard if item.counts == "motor"]
    if motors:
        hung = book.add("rig.motor", "Hang the motor, connect it", [(len(motors), rates.motor, "motors")])
        _after_hot_work(book, hung)
    trial = [(1, rates.test, "trial")]
    book.add(TRIAL, "Float her in shallow water: leaks, trim, pumps, every wire", trial)


def _add_late(book: Book, facts: Facts, settings: WorkSettings, trade: Trade, title: str) -> None:
    """Fuel tanks or batteries, which come aboard when nothing is welded any more.

    One that leaves by no hatch is set before the deck closes over it, where no weld comes later than that.
    """
    every = [(deck, one) for deck, fittings in facts.fittings for one in fittings]
    own = [(deck, one) for deck, one in every if trade_of(facts.boat, one) == trade]
    if not own:
        return
    counts = [(len(own), settings.rates.rig, "to set")]
    name = book.add(f"rig.{LATE[trade]}", title, counts, [one.name for _, one in own])
    book.follow(name, "order.parts", "they are set here")
    book.follow(name, JOINING, "wires are joined while nothing is live")
    _after_hot_work(book, name)
    for deck, one in own:
        close = f"close.{short(deck)}"
        if facts.is_buried(one) and not any(task.startswith(HOT) for task in book.later_than(close)):
            book.follow(close, name, "it covers them, and they leave by no hatch")


def _after_hot_work(book: Book, name: str) -> None:
    for task in list(book.tasks):
        if task.startswith(HOT):
            book.follow(name, task, "no fuel and no battery is aboard while there is hot work")


def link_trial(book: Book) -> None:
    """The boat is tried once all else is done, but for what the file puts after that."""
    if TRIAL not in book.tasks:
        return
    later = book.later_than(TRIAL)
    for name in list(book.tasks):
        if name not in later:
            book.follow(TRIAL, name, "the whole boat is tried")


def _add_joining(book: Book, facts: Facts, settings: WorkSettings, laid: Laid) -> None:
    """Ends of wires joined once boxes, pumps and panels are in."""
    wired = [one for _, own in facts.fittings for one in own if takes_current(facts.boat, one)]
    told = sum(line.count for line in laid.of("wire")) or len(wired)
    if not told:
        return
    ends = [(2 * told, settings.rates.end, "ends")]
    join = book.add(JOINING, "Join and mark the ends of all wires, fuses out", ends, names_of(wired))
    for name in list(book.tasks):
        if name != join and name.startswith(("wire.", "plumb.", "close.console.")):
            book.follow(join, name, "its ends are joined")


def _listed(fittings: list[Fixture]) -> str:
    return ", ".join(one.name.partition(".")[2] for one in fittings[:4]) + (
        " ..." if len(fittings) > 4 else ""
    )
