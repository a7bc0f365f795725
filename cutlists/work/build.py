"""The tasks of a boat as its model gives them, before the boat file's own changes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutlists.work.below_tasks import (
    OPEN,
    Below,
    add_below,
    add_foam,
    add_guessed_wires,
    link_lines,
)
from cutlists.work.book import Book
from cutlists.work.covers import bulkheads_under, framed, lockers_under
from cutlists.work.facts import Facts
from cutlists.work.frame_tasks import add_first, add_frame, link_frames, warn_of_hot_work
from cutlists.work.laid import Laid
from cutlists.work.last_tasks import add_lids, add_mat, add_rigging
from cutlists.work.order_tasks import add_orders
from cutlists.work.paint_tasks import BILGE, add_bilge, add_finish, link_bilge, link_finish
from cutlists.work.settings import WorkSettings
from cutlists.work.sheet_tasks import add_bulkhead, add_closing, add_cutting, add_locker, link_closing

if TYPE_CHECKING:
    from cutlists.welds import WeldRates
    from model.boat import Boat


def book_of(boat: Boat, settings: WorkSettings, welding: WeldRates, laid: Laid) -> Book:
    """Every task of a boat and what it must follow, in the order in which boats are usually built.

    Args:
        boat: the finished boat.
        settings: of the shop.
        welding: how it welds.
        laid: wires, hoses and foam below decks.
    """
    facts, book = Facts.of(boat, welding), Book(settings.pace)
    add_first(book, facts, settings)
    add_orders(book, facts, settings, laid)
    _add_structure(book, facts, settings, laid)
    add_bilge(book, facts, settings)
    add_finish(book, settings, laid)
    for owner in framed(boat):
        add_mat(book, facts, settings, owner)
    for owner in framed(boat):
        add_lids(book, facts, settings, owner)
    link_frames(book, facts)
    for owner in facts.frames:
        link_closing(book, facts, owner)
        link_bilge(book, facts, owner)
    for kind in ("wire", "plumb"):
        book.follow(f"{kind}.{OPEN}", BILGE, "it lies on painted metal")
    link_lines(book, facts, laid.lines)
    link_finish(book, facts, laid)
    add_rigging(book, facts, settings, laid)
    warn_of_hot_work(book, facts)
    return book


def _add_structure(book: Book, facts: Facts, settings: WorkSettings, laid: Laid) -> None:
    """Frames, sheet and what lies below it, deck by deck from the lowest."""
    boat, below = facts.boat, Below.of(facts, laid)
    told: set[str] = set()
    for owner in facts.frames:
        add_frame(book, facts, settings, owner)
        if owner in boat.layout.decks:
            for locker in lockers_under(boat, owner):
                add_locker(book, facts, settings, locker)
            for bulkhead in bulkheads_under(boat, owner):
                if bulkhead.name not in told:
                    add_bulkhead(book, facts, settings, bulkhead.name)
                told.add(bulkhead.name)
        add_cutting(book, facts, settings, owner)
        add_closing(book, facts, settings, owner)
        add_below(book, facts, settings, owner, below)
        add_foam(book, facts, settings, owner, laid)
    for bulkhead in boat.layout.bulkheads:
        if bulkhead.name not in told:
            add_bulkhead(book, facts, settings, bulkhead.name)
    add_below(book, facts, settings, "", below)
    if not laid.of("wire"):
        add_guessed_wires(book, facts, settings)
