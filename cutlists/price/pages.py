"""The quote on paper: for the owner without the working, for the shop with it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any

from cutlists.packet.cover import cover_svg
from cutlists.packet.leaf import PLAIN, Column, fonts_ready
from cutlists.packet.page import Stamp, write_pages
from cutlists.packet.paper import papers_for
from cutlists.price.flow import Block, Heading, Picture, Signatures, Tabled, Words, laid_out
from cutlists.price.money import Currency
from cutlists.price.records import DISCOUNT, KINDS, Quote
from cutlists.price.scope import scope_lines
from cutlists.price.settings import QuoteSettings
from cutlists.price.tables import (
    CAUTION,
    group_rows,
    hour_rows,
    line_row,
    payment_rows,
    sum_rows,
)
from parts.faults import one_line

if TYPE_CHECKING:
    from cutlists.plans import Plans
    from cutlists.scene import Scene
    from model.boat import Boat

OWNER, SHOP = "quote.pdf", "quote-shop.pdf"
HIGH = 78.0
"""Height of the picture, mm."""
DASH = "-"
CAUTIONS = (
    "The price is for what is told here and drawn in the packet of this revision, on the hull as it was "
    "measured. What shows only once she is stripped, such as cracks or wet foam, is told and priced before "
    "work goes on.",
    "A refit adds weight: the maker's capacity plate stands, and the boat is to be weighed and tried before "
    "anybody relies on her. Codes for electrics, fuel, flotation and lights hold where she is used.",
    "This is a quote and no advice in law; rules on deposits, taxes and the right to withdraw come first.",
)
PRICE_COLUMNS = (Column("", 110.0), Column("", 40.0), Column("amount", 36.0, "right"))
PAYMENT_COLUMNS = (
    Column("payment", 48.0),
    Column("when", 72.0),
    Column("of the total", 30.0, "right"),
    Column("amount", 36.0, "right"),
)


def write_quotes(
    boat: Boat,
    quote: Quote,
    settings: QuoteSettings,
    plans: Plans,
    scene: Scene,
    folder: Path,
    paper: str | None = None,
) -> list[Path]:
    """Write the owner's quote and the shop's into a folder.

    Raises:
        OSError: a file cannot be written.
    """
    lists = papers_for(boat.units, paper).lists
    quote = replace(quote, currency=printable(quote.currency))
    stamp = Stamp(
        quote.title,
        quote.revision,
        quote.date,
        f"Amounts in {quote.currency.code}",
        f"holds until {quote.valid_until}",
    )
    owner = list(owner_blocks(boat, quote, settings, plans, scene))
    shop = list(shop_blocks(quote))
    sheets = ((OWNER, "Quote", owner), (SHOP, "Quote, with the working", shop))
    for name, title, blocks in sheets:
        pages = laid_out(title, f"{title}: {one_line(quote.title)}", lists, blocks)
        write_pages(folder / name, pages, stamp, what=title.lower())
    return [folder / name for name, _, _ in sheets]


def printable(currency: Currency) -> Currency:
    """The currency with its code for a symbol that the letters on paper lack."""
    from reportlab.pdfbase.pdfmetrics import getFont

    fonts_ready()
    font: Any = getFont(PLAIN)
    known = font.face.charToGlyph
    return (
        currency if all(ord(letter) in known for letter in currency.symbol) else replace(currency, symbol="")
    )


# --- for the owner


def owner_blocks(
    boat: Boat, quote: Quote, settings: QuoteSettings, plans: Plans, scene: Scene
) -> Iterator[Block]:
    """What the owner gets, what it costs, and on what terms; no working."""
    agreed = settings.agreed(quote.boat)
    for k, line in enumerate(settings.shop):
        yield Words(line, 9.0, bold=k == 0)
    to = f" for {agreed.owner}" if agreed.owner else ""
    yield Words(f"Quote of {spelt(quote.date)}{to}; it holds until {spelt(quote.valid_until)}.")
    yield Picture(lambda size: cover_svg(scene, size), HIGH)
    yield Heading("What you get")
    for line in scope_lines(boat, plans):
        yield Words(line, 8.5, DASH)
    if agreed.note:
        yield Words(agreed.note)
    yield from _price(quote)
    yield from _listed("Not in the price", _excluded(quote, settings))
    yield from _listed("Terms", settings.terms)
    yield from _listed("Cautions", CAUTIONS)
    yield Heading("Agreed")
    yield Signatures(("owner, date", "shop, date"))


def _price(quote: Quote) -> Iterator[Block]:
    money = quote.currency.told
    rows = []
    off = quote.step(DISCOUNT)
    if off:
        why = next((step.rule for step in quote.steps if step.name == DISCOUNT), "")
        rows += [("price", "", money(quote.price - off)), ("less what is let off", why, money(off))]
    rows.append(("price before tax" if quote.taxes else "price", "", money(quote.price)))
    for tax in quote.taxes:
        on = "" if len(tax.of) == len(KINDS) else f"{', '.join(tax.of)}, "
        rows.append((tax.name, f"{on}{tax.percent:g} % of {money(tax.base)}", money(tax.amount)))
    if quote.cash:
        rows.append(("rounding", "", money(quote.cash)))
    rows.append((f"total, {quote.currency.code}", "", money(quote.total)))
    yield Heading("Price")
    yield Tabled(PRICE_COLUMNS, rows, frozenset([len(rows) - 1]), 9.0)
    if quote.payments:
        yield Tabled(PAYMENT_COLUMNS, payment_rows(quote))


def _excluded(quote: Quote, settings: QuoteSettings) -> list[str]:
    """What has no price yet, by what it is, then what the shop leaves out."""
    missing = Counter(line.group or line.what for line in quote.unpriced)
    told = ", ".join(f"{what} ({count})" if count > 1 else what for what, count in missing.items())
    open_ = [f"still to be priced, and not in the sum: {told}"] if missing else []
    return [*open_, *settings.excluded, *settings.agreed(quote.boat).excluded]


def _listed(head: str, lines: Sequence[str]) -> Iterator[Block]:
    if lines:
        yield Heading(head)
        for line in lines:
            yield Words(line, 8.0, DASH)


def spelt(day: str) -> str:
    """A date that nobody reads the wrong way round: `25 November 2026`."""
    found = date.fromisoformat(day)
    return f"{found.day} {found:%B %Y}"


# --- for the shop

GROUP_COLUMNS = (
    Column("kind", 28.0),
    Column("what", 84.0),
    Column("how much", 38.0, "right"),
    Column("amount", 36.0, "right"),
)
SUM_COLUMNS = (
    Column("step", 36.0),
    Column("on", 34.0),
    Column("amount", 28.0, "right"),
    Column("", 3.0),
    Column("by what rule", 85.0),
)
KIND_COLUMNS = (
    Column("", 26.0),
    *(Column(kind, 26.0, "right") for kind in KINDS),
    Column("all", 30.0, "right"),
)
LINE_COLUMNS = (
    Column("what", 64.5),
    Column("quantity", 18.0, "right"),
    Column("unit", 13.0),
    Column("each", 18.0, "right"),
    Column("amount", 22.0, "right"),
    Column("", 2.5),
    Column("note", 48.0),
)
HOUR_COLUMNS = (
    Column("kind of task", 60.0),
    Column("hours", 26.0, "right"),
    Column("an hour", 30.0, "right"),
    Column("amount", 36.0, "right"),
)


def shop_blocks(quote: Quote) -> Iterator[Block]:
    """The whole working: groups, steps by kind, hours, every line."""
    yield Words(
        f"For the shop, not for the owner. Made {spelt(quote.date)}, holds until {spelt(quote.valid_until)}. "
        f"All amounts in {quote.currency.code}; each is rounded where it stands, and every sum is that of "
        "the amounts shown."
    )
    yield Words(CAUTION)
    for note in quote.notes:
        yield Words(note, mark=DASH)
    yield Heading("From cost to price")
    rows = [(name, on, amount, "", rule) for name, on, amount, rule in sum_rows(quote)]
    yield Tabled(SUM_COLUMNS, rows, frozenset([len(rows) - 1]))
    yield Heading("By kind")
    yield Tabled(KIND_COLUMNS, _kind_rows(quote))
    if quote.payments:
        yield Heading("Payments")
        yield Tabled(PAYMENT_COLUMNS, payment_rows(quote))
    if quote.hours:
        hours = [(kind, told, rate, amount) for kind, told, rate, amount in hour_rows(quote)]
        cost = quote.steps[0].amounts["labour"]
        hours.append(("all", f"{quote.all_hours:.2f}", "", quote.currency.number(cost)))
        yield Heading("Hours")
        yield Tabled(HOUR_COLUMNS, hours, frozenset([len(hours) - 1]))
    yield Heading("In groups")
    yield Tabled(GROUP_COLUMNS, [*group_rows(quote), ("all", "", "", quote.currency.number(quote.cost))])
    for kind in KINDS:
        own = [line for line in quote.lines if line.kind == kind]
        if own:
            yield Heading(kind.capitalize())
            told = [line_row(quote, line) for line in own]
            cells = [(what, _short(many), unit, each, amount, "", note)
                     for _, _, what, many, unit, each, amount, note in told]  # fmt: skip
            cells.append(("all", "", "", "", quote.currency.number(quote.steps[0].amounts[kind]), "", ""))
            yield Tabled(LINE_COLUMNS, cells, frozenset([len(cells) - 1]), 7.5)


def _short(quantity: str) -> str:
    """A quantity without needless zeros."""
    return f"{Decimal(quantity).normalize():f}"


def _kind_rows(quote: Quote) -> list[tuple[str, ...]]:
    """Each step by kind, then what each kind is sold for."""
    money = quote.currency.number
    rows: list[tuple[str, ...]] = [
        (step.name, *(money(step.amounts[kind]) for kind in KINDS), money(step.total)) for step in quote.steps
    ]
    rows.append(("price", *(money(quote.price_by_kind[kind]) for kind in KINDS), money(quote.price)))
    return rows
