"""Tasks on closed decks: mat, lids, fittings, wires joined, motor, and the boat tried afloat."""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from cutlists.work.below_tasks import PLUMBED, WIRED
from cutlists.work.book import Book, Count
from cutlists.work.covers import short, stands_on
from cutlists.work.facts import Facts, names_of, square_metres
from cutlists.work.laid import Laid
from cutlists.work.settings import WorkSettings
from cutlists.work.sheet_tasks import FLAT

if TYPE_CHECKING:
    from model.layout.records import DeckPlan
    from model.panelling.fixtures import Fixture

TRIAL = "float.trial"


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
    """Seats, trays and batteries, wires joined, motors hung, and all of it tried afloat."""
    rates = settings.rates
    batteries: list[Fixture] = []
    for owner, fittings in [*facts.mounted.items(), *facts.covered.items()]:
        batteries += [one for one in fittings if one.kind == "battery"]
        loose = [one for one in fittings if one.kind not in PLUMBED | WIRED]
        if not loose:
            continue
        own = short(owner) or "boat"
        counts = [(len(loose), rates.rig, "fittings")]
        rig = book.add(f"rig.{own}", f"Mount on {own}: {_listed(loose)}", counts, names_of(loose))
        book.follow(rig, "order.parts", "they are mounted here")
        for kind in ("close", "mat", "lids"):
            book.follow(rig, f"{kind}.{own}", "they stand on it")
    _add_joining(book, facts, settings, laid, batteries)
    motors = [item for item in facts.boat.weights.aboard if item.counts == "motor"]
    if motors:
        hung = book.add("rig.motor", "Hang the motor, connect it", [(len(motors), rates.motor, "motors")])
        for name in list(book.tasks):
            if name.startswith(("weld.", "tack.")):
                book.follow(hung, name, "no fuel is aboard while there is hot work")
    trial = [(1, rates.test, "trial")]
    book.add(TRIAL, "Float her in shallow water: leaks, trim, pumps, every wire", trial)


def link_trial(book: Book) -> None:
    """The boat is tried once all else is done, but for what the file puts after that."""
    if TRIAL not in book.tasks:
        return
    later = book.later_than(TRIAL)
    for name in list(book.tasks):
        if name not in later:
            book.follow(TRIAL, name, "the whole boat is tried")


def _add_joining(
    book: Book, facts: Facts, settings: WorkSettings, laid: Laid, batteries: list[Fixture]
) -> None:
    """Ends of wires joined once panels are up, batteries last of all, when nothing is welded any more."""
    rates = settings.rates
    wired = [
        one for own in (*facts.covered.values(), *facts.mounted.values()) for one in own if one.kind in WIRED
    ]
    told = sum(line.count for line in laid.of("wire")) or len(wired)
    if not told:
        return
    ends = [(2 * told, rates.end, "ends")]
    join = book.add("wire.ends", "Join and mark the ends of all wires, fuses out", ends, names_of(wired))
    for name in list(book.tasks):
        if name != join and name.startswith(("wire.", "plumb.", "close.console.")):
            book.follow(join, name, "its ends are joined")
    if not batteries:
        return
    counts = [(len(batteries), rates.rig, "batteries")]
    last = book.add(
        "rig.batteries", "Set and strap batteries, then fuses one by one", counts, names_of(batteries)
    )
    book.follow(last, "order.parts", "they are set here")
    for name in list(book.tasks):
        if name == join or name.startswith(("weld.", "tack.")):
            book.follow(last, name, "no battery is aboard while there is hot work")


def _listed(fittings: list[Fixture]) -> str:
    return ", ".join(one.name.partition(".")[2] for one in fittings[:4]) + (
        " ..." if len(fittings) > 4 else ""
    )
