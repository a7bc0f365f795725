"""What `athwart price` tells: a quote, alternatives, a change, as lines that fit a terminal."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from textwrap import wrap

from app.columns import WIDTH, columns
from cutlists.price.change import Change, cut_in_vain
from cutlists.price.money import NOTHING
from cutlists.price.records import Quote
from cutlists.price.tables import (
    CAUTION,
    change_rows,
    change_sums,
    group_rows,
    line_row,
    mark_rows,
    payment_rows,
    side_by_side,
    sum_rows,
)


def quote_lines(quote: Quote, every: bool) -> Iterator[str]:
    """One quote: its groups or, where asked, every line; the steps to the total; payments; what lacks."""
    yield f"{quote.title}: {quote.date}, in {quote.currency.code}, holds until {quote.valid_until}"
    yield ""
    if every:
        told = [line_row(quote, line) for line in quote.lines]
        rows = [(what, many, unit, each, amount, note) for _, _, what, many, unit, each, amount, note in told]
        yield from columns(("what", "quantity", "unit", "each", "amount", "note"), rows, (1, 3, 4))
    else:
        yield from columns(("kind", "what", "how much", "amount"), group_rows(quote), (2, 3))
    yield ""
    yield from columns(("", "on", "amount", "by what rule"), sum_rows(quote), (2,))
    if quote.payments:
        yield ""
        yield from columns(("payment", "when", "of total", "amount"), payment_rows(quote), (2, 3))
    yield from _notes(quote)


def beside_lines(quotes: Sequence[Quote]) -> Iterator[str]:
    """Alternatives side by side."""
    head, rows = side_by_side(quotes)
    yield from columns(head, rows, range(1, len(head)))
    for quote in quotes:
        if quote.unpriced:
            yield f"{quote.boat}:"
            yield from _notes(quote, caution=False)
    yield from ("", *wrap(CAUTION, WIDTH))


def change_lines(change: Change, what: str, cut: Mapping[str, int] | None = None) -> Iterator[str]:
    """What a change costs: lines, pieces, sums, and what was cut in vain by what the stock's log says."""
    yield what
    yield ""
    if change.lines:
        yield from columns(("", "kind", "what", "in what", "cost"), change_rows(change), (4,))
        yield ""
    rows = mark_rows(change)
    if rows:
        yield from columns(("pieces", "mark", "count", "of", "material"), rows, (2, 4))
        yield ""
    yield from columns(("", "before", "after", "difference"), change_sums(change), (1, 2, 3))
    lost = cut_in_vain(change, cut or {})
    if lost:
        yield ""
        told = ", ".join(f"{mark.mark} ({mark.count})" for mark in lost)
        money = change.before.currency.told(sum((mark.money for mark in lost), NOTHING))
        spent = f"cut already, and no longer fits: {told}; {money} of material, not in the difference above"
        yield from wrap(spent, WIDTH)
    yield from _notes(change.after)


def _notes(quote: Quote, caution: bool = True) -> Iterator[str]:
    yield ""
    for note in quote.notes:
        yield from wrap(note, WIDTH, initial_indent="- ", subsequent_indent="  ")
    if caution:
        yield from wrap(CAUTION, WIDTH)
