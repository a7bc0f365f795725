"""Orders of what takes time to come: lids made to order, tube, sheet, fittings, struts, mat, wire, hose."""

from __future__ import annotations

from collections.abc import Sequence

from cutlists.work.book import Book
from cutlists.work.facts import Facts, names_of
from cutlists.work.laid import Laid
from cutlists.work.settings import WorkSettings


def add_orders(book: Book, facts: Facts, settings: WorkSettings, laid: Laid) -> None:
    """An order for each kind of thing that the boat needs, what is the longest to come first."""
    boat, lead = facts.boat, settings.lead
    members = [member for name in facts.frames for member in facts.members[name]]
    panels = [piece for own in facts.sheet.values() for piece in own]
    made = [one for one in boat.fixtures if one.kind == "lid" and one.part is None]
    parts = [one for one in boat.fixtures if one.part is not None]
    openings = [opening for deck in boat.layout.decks.values() for opening in deck.openings]
    struts = [f"{o.name}/lid" for o in openings if o.lid is not None and o.lid.way.strut is not None]
    tubes, sheets = {m.section.name for m in members}, {p.sheet.name for p in panels}
    orders: tuple[tuple[str, str, Sequence[str], float], ...] = (
        (
            "tube",
            f"Order tube, {_many(len(tubes), 'section')}, see the buy list",
            names_of(members),
            lead.tube,
        ),
        (
            "sheet",
            f"Order sheet, {_many(len(sheets), 'kind')}, see the buy list",
            names_of(panels),
            lead.sheet,
        ),
        ("lids", f"Order {_many(len(made), 'lid')} made to size, see lids.csv", names_of(made), lead.lids),
        ("parts", f"Order {_many(len(parts), 'part')} of the catalogue", names_of(parts), lead.parts),
        ("struts", f"Order gas struts for {_many(len(struts), 'lid')}", struts, lead.struts),
    )
    for what, title, pieces, days in orders:
        if pieces:
            _order(book, settings, what, title, pieces, days)
    for what, title, wanted, days in (
        ("mat", "Order mat, see the buy list", boat.mat is not None, lead.mat),
        ("paint", "Order cleaner, etch and paint", bool(boat.layout.decks), lead.paint),
        ("foam", "Order foam", bool(laid.foam), lead.foam),
        ("wire", "Order wire, ends and fuses", bool(laid.of("wire")), lead.wire),
        ("hose", "Order hose and clamps", bool(laid.of("hose")), lead.hose),
    ):
        if wanted:
            _order(book, settings, what, title, (), days)
    # What was there before keeps its place before all orders.
    book.tasks = dict(sorted(book.tasks.items(), key=lambda own: (own[1].kind == "order", -own[1].wait)))


def _order(
    book: Book, settings: WorkSettings, what: str, title: str, pieces: Sequence[str], days: float
) -> None:
    counts = [(1, settings.rates.order, "order")]
    name = book.add(f"order.{what}", title, counts, pieces, days)
    book.follow(name, "survey", "the model is as true as the survey")


def _many(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"
