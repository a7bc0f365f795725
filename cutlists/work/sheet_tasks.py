"""Tasks of sheet: cut, bent, lockers and bulkheads fitted, wells tried for leaks, decks closed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutlists.work.book import Book, Count
from cutlists.work.covers import bulkheads_under, decks_under, lockers_under, short
from cutlists.work.facts import Facts, names_of, outline_metres, seam_metres, square_metres
from cutlists.work.settings import WorkSettings

if TYPE_CHECKING:
    from model.layout.records import LockerPlan

FLAT = ("deck", "seat")
"""Roles of panels that are walked or sat on."""


def add_cutting(book: Book, facts: Facts, settings: WorkSettings, owner: str) -> None:
    """Sheet of one owner cut, and bent where it has bends."""
    pieces = facts.sheet.get(owner, ())
    if not pieces:
        return
    rates, own, names = settings.rates, short(owner), names_of(pieces)
    counts = [(outline_metres(pieces), rates.outline, "m of edge"), (len(pieces), rates.piece, "pieces")]
    cut = book.add(f"sheet.{own}", f"Cut the sheet of {own}", counts, names)
    book.follow(cut, "order.sheet", "it is cut from this sheet")
    book.follow(cut, "survey", "nothing is cut before the hull is measured")
    bent = [piece for piece in pieces if piece.bend_lines]
    if bent:
        bends = [(sum(len(piece.bend_lines) for piece in bent), rates.bend, "bends")]
        bend = book.add(f"bend.{own}", f"Bend the sheet of {own}, a test piece first", bends, names_of(bent))
        book.follow(bend, cut, "it is bent from these blanks")


def add_locker(book: Book, facts: Facts, settings: WorkSettings, locker: LockerPlan) -> None:
    """A locker below its deck: panels fitted, a well welded and tried, a box insulated and lined."""
    pieces = facts.sheet.get(locker.name, ())
    if not pieces:
        return
    add_cutting(book, facts, settings, locker.name)
    rates, own = settings.rates, short(locker.name)
    liner = [piece for piece in pieces if "/liner/" in piece.name]
    outer = [piece for piece in pieces if "/liner/" not in piece.name]
    counts: list[Count] = [(len(outer), rates.fit, "panels")]
    if locker.kind == "well":
        counts.append((seam_metres(outer, locker.area.exterior.length), rates.seam, "m of seam"))
    title = f"Weld {own} tight" if locker.kind == "well" else f"Fit the panels of {own}"
    fit = book.add(f"fit.{own}", title, counts, names_of(outer))
    for before in (f"sheet.{own}", f"bend.{own}"):
        book.follow(fit, before, "it is made of this sheet")
    book.follow(fit, f"weld.{short(locker.deck)}", "it hangs from this frame")
    if locker.kind == "well":
        leak = [(1, rates.leak, "test")]
        title = f"Fill {own}, leave it overnight, mend what weeps"
        book.add(f"leak.{own}", title, leak, names_of(outer), settings.cure.leak)
        book.follow(f"leak.{own}", fit, "its seams are what is tried")
    if locker.insulation:
        counts = [(square_metres(outer), rates.insulation, "m2"), (len(liner), rates.fit, "liner panels")]
        foam = book.add(f"foam.{own}", f"Insulate {own} and set its liner", counts, names_of(liner))
        book.follow(foam, fit, "it lies against these panels")
        book.follow(foam, f"leak.{own}", "a leak behind foam is not found again")


def add_bulkhead(book: Book, facts: Facts, settings: WorkSettings, name: str) -> None:
    """A bulkhead set, its holes cut for what passes through it."""
    pieces = facts.sheet.get(name, ())
    if not pieces:
        return
    add_cutting(book, facts, settings, name)
    counts = [(len(pieces), settings.rates.fit, "panels")]
    title = f"Set {short(name)}, cut its holes for hose and wire"
    fit = book.add(f"fit.{short(name)}", title, counts, names_of(pieces))
    for before in (f"sheet.{short(name)}", f"bend.{short(name)}"):
        book.follow(fit, before, "it is made of this sheet")
    book.follow(fit, "leak.hull", "it hides seams of the hull")


def add_closing(book: Book, facts: Facts, settings: WorkSettings, owner: str) -> None:
    """Sheet of a deck, seat box or console on its frame: what it covers can be reached no more."""
    pieces = facts.sheet.get(owner, ())
    if not pieces:
        return
    rates, own = settings.rates, short(owner)
    flat = [piece for piece in pieces if piece.role in FLAT]
    upright = [piece for piece in pieces if piece.role not in FLAT]
    counts = [(square_metres(flat), rates.close, "m2"), (len(upright), rates.fit, "upright panels")]
    title = f"Close {own}: look below once more, fit, trim to the hull, fasten"
    close = book.add(f"close.{own}", title, counts, names_of(pieces))
    for before in (f"sheet.{own}", f"bend.{own}"):
        book.follow(close, before, "it is made of this sheet")
    book.follow(close, f"weld.{own}", "it lies on this frame")


def link_closing(book: Book, facts: Facts, owner: str) -> None:
    """A deck closes after whatever of sheet and frame lies below it."""
    close = f"close.{short(owner)}"
    if owner not in facts.boat.layout.decks:
        return
    for locker in lockers_under(facts.boat, owner):
        for kind in ("fit", "leak", "foam"):
            book.follow(close, f"{kind}.{short(locker.name)}", f"it covers {short(locker.name)}")
    for bulkhead in bulkheads_under(facts.boat, owner):
        book.follow(close, f"fit.{short(bulkhead.name)}", f"it covers {short(bulkhead.name)}")
    for lower in decks_under(facts.boat, owner):
        for kind in ("weld", "close"):
            book.follow(close, f"{kind}.{short(lower)}", f"it covers part of {short(lower)}")
