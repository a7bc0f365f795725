"""Orders of what takes time to come: lids made to order, tube, sheet, fittings, struts, mat, wire, hose."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TypeAlias

from cutlists.work.book import Book
from cutlists.work.facts import Facts, names_of
from cutlists.work.laid import Laid
from cutlists.work.settings import LeadEntry, WorkSettings

Order: TypeAlias = tuple[str, str, Sequence[str], float]
"""What is ordered, a title, the pieces made of it, and days until it is there."""


def add_orders(book: Book, facts: Facts, settings: WorkSettings, laid: Laid) -> None:
    """An order for each kind of thing that the boat needs, what is the longest to come first."""
    lead = settings.lead
    orders = [*_metal(facts, lead), *_parts(facts, lead), *_rest(facts, lead, laid)]
    for what, title, pieces, days in sorted(orders, key=lambda order: -order[3]):
        counts = [(1, settings.rates.order, "order")]
        name = book.add(f"order.{what}", title, counts, pieces, days)
        book.follow(name, "survey", "the model is as true as the survey")


def _metal(facts: Facts, lead: LeadEntry) -> Iterator[Order]:
    members = [member for name in facts.frames for member in facts.members[name]]
    if members:
        sections = {member.section.name for member in members}
        title = f"Order tube, {_many(len(sections), 'section')}, see the buy list"
        yield "tube", title, names_of(members), lead.tube
    panels = [piece for own in facts.sheet.values() for piece in own]
    if panels:
        sheets = {piece.sheet.name for piece in panels}
        title = f"Order sheet, {_many(len(sheets), 'kind')}, see the buy list"
        yield "sheet", title, names_of(panels), lead.sheet


def _parts(facts: Facts, lead: LeadEntry) -> Iterator[Order]:
    boat = facts.boat
    made = [one for one in boat.fixtures if one.kind == "lid" and one.part is None]
    if made:
        title = f"Order {_many(len(made), 'lid')} made to size, see lids.csv"
        yield "lids", title, names_of(made), lead.lids
    parts = [one for one in boat.fixtures if one.part is not None]
    if parts:
        yield "parts", f"Order {_many(len(parts), 'part')} of the catalogue", names_of(parts), lead.parts
    openings = [opening for deck in boat.layout.decks.values() for opening in deck.openings]
    held = [f"{o.name}/lid" for o in openings if o.lid is not None and o.lid.way.strut is not None]
    if held:
        yield "struts", f"Order gas struts for {_many(len(held), 'lid')}", held, lead.struts


def _rest(facts: Facts, lead: LeadEntry, laid: Laid) -> Iterator[Order]:
    boat = facts.boat
    for what, title, wanted, days in (
        ("mat", "Order mat, see the buy list", boat.mat is not None, lead.mat),
        ("paint", "Order cleaner, etch and paint", bool(boat.layout.decks), lead.paint),
        ("foam", "Order foam", bool(laid.foam), lead.foam),
        ("wire", "Order wire, ends and fuses", bool(laid.of("wire")), lead.wire),
        ("hose", "Order hose and clamps", bool(laid.of("hose")), lead.hose),
    ):
        if wanted:
            yield what, title, (), days


def _many(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"
