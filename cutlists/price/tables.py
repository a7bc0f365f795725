"""A quote, alternatives and changes as rows of text, for the terminal, CSV and paper."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from decimal import Decimal

from cutlists.price.change import Change
from cutlists.price.money import NOTHING
from cutlists.price.records import COST, KINDS, OVERHEAD, PROFIT, Kind, Line, Quote
from cutlists.work.records import KINDS as TASKS

Rows = list[tuple[str, ...]]

LINE_HEAD = ("kind", "group", "what", "quantity", "unit", "price each", "amount", "note")
NO_PRICE = "no price"
CAUTION = (
    "An estimate from the model and the shop's own rates: ask for prices before you order, look at the hull "
    "before you promise, and let local law on quotes, deposits and tax come first."
)


def quote_csv(quote: Quote) -> str:
    """Every line, then the steps to the total, as CSV (RFC 4180)."""
    text = io.StringIO()
    out = csv.writer(text)
    out.writerow(LINE_HEAD)
    out.writerows(line_row(quote, line) for line in quote.lines)
    for name, _, amount, rule in sum_rows(quote):
        out.writerow([name, "", "", "", "", "", amount.replace(",", ""), rule])
    return text.getvalue()


def line_row(quote: Quote, line: Line) -> tuple[str, ...]:
    """One line in plain numbers, as in `LINE_HEAD`."""
    places = quote.currency.places
    each = "" if line.price is None else f"{line.price:.{max(places, -_exponent(line.price))}f}"
    amount = NO_PRICE if line.amount is None else f"{line.amount:.{places}f}"
    return (line.kind, line.group, line.what, f"{line.quantity:f}", line.unit, each, amount, line.note)


def _exponent(value: Decimal) -> int:
    exponent = value.as_tuple().exponent
    return exponent if isinstance(exponent, int) else 0


def group_rows(quote: Quote) -> Rows:
    """Kind, group, how much of it, amount: lines of one group together, tasks by their kind."""
    found: dict[tuple[Kind, str], list[Line]] = {}
    for line in quote.lines:
        found.setdefault((line.kind, _group(line)), []).append(line)
    rows: Rows = []
    for kind in KINDS:
        for (own, group), lines in found.items():
            if own == kind:
                amount = sum((line.amount or NOTHING for line in lines), NOTHING)
                bare = sum(line.amount is None for line in lines)
                told = NO_PRICE if bare == len(lines) else quote.currency.number(amount)
                some = f", {bare} of {len(lines)} kinds without price" if 0 < bare < len(lines) else ""
                rows.append((kind, _plain(kind, group) + some, _count(lines), told))
    return rows


def _plain(kind: Kind, group: str) -> str:
    """A kind of task in plain words; other groups as they are called."""
    return TASKS.get(group, group) if kind == "labour" else group


def _group(line: Line) -> str:
    """Most things by their group; consumables and extras, which have none that says more, one by one."""
    return line.what if line.kind in ("consumables", "extras") or not line.group else line.group


def _count(lines: Sequence[Line]) -> str:
    """How much there is where it can be added up, else how many lines."""
    units = {line.unit for line in lines}
    if len(units) == 1:
        whole = sum((line.quantity for line in lines), NOTHING)
        return f"{whole.normalize():f} {units.pop()}".strip()
    bought = [line for line in lines if line.quantity > 0 and line.unit in ("stick", "sheet")]
    count = sum((line.quantity for line in bought), NOTHING)
    unit = bought[0].unit if bought else "line"
    return f"{count or len(lines)} {unit}{'' if count == 1 else 's'}"


def sum_rows(quote: Quote) -> Rows:
    """From cost to what is to be paid: name, of what, amount, by what rule."""
    money = quote.currency.number
    rows: Rows = [(step.name, "", money(step.total), step.rule) for step in quote.steps]
    rows.append(("price before tax", "", money(quote.price), _worth(quote)))
    for tax in quote.taxes:
        on = "all" if len(tax.of) == len(KINDS) else ", ".join(tax.of)
        rows.append((tax.name, on, money(tax.amount), f"{tax.percent:g} % of {money(tax.base)}"))
    if quote.cash:
        rows.append(("rounding of the total", "", money(quote.cash), ""))
    rows.append(("total", "", money(quote.total), quote.currency.code))
    return rows


def _worth(quote: Quote) -> str:
    """Profit both ways, so that nobody takes one for the other."""
    base = quote.cost + quote.step(OVERHEAD)
    if not base or not quote.price:
        return ""
    markup, margin = 100 * quote.profit / base, 100 * quote.profit / quote.price
    return f"profit {quote.currency.number(quote.profit)}: {markup:.1f} % on cost, {margin:.1f} % of price"


def payment_rows(quote: Quote) -> Rows:
    """Payments: name, when, percent, amount."""
    money = quote.currency.number
    return [
        (pay.name, pay.when, "the rest" if pay.percent is None else f"{pay.percent:g} %", money(pay.amount))
        for pay in quote.payments
    ]


def hour_rows(quote: Quote) -> Rows:
    """Hours by kind of task with what they come to."""
    found: dict[str, list[Line]] = {}
    for line in quote.lines:
        if line.kind == "labour" and line.group:
            found.setdefault(line.group, []).append(line)
    money = quote.currency.number
    return [
        (TASKS.get(kind, kind), f"{sum(line.quantity for line in own):.2f}",
         NO_PRICE if own[0].price is None else money(own[0].price),
         NO_PRICE if own[0].amount is None else money(sum((o.amount or NOTHING for o in own), NOTHING)))
        for kind, own in found.items()
    ]  # fmt: skip


# --- several


def side_by_side(quotes: Sequence[Quote]) -> tuple[tuple[str, ...], Rows]:
    """Alternatives beside each other, and by how much each differs from the first: head and rows."""
    money = quotes[0].currency.number
    head = ("", *(quote.boat for quote in quotes))
    rows: Rows = []
    for kind in KINDS:
        values = [quote.steps[0].amounts[kind] for quote in quotes]
        if any(values):
            rows.append((f"{kind}, cost", *(money(value) for value in values)))
    rows.append((COST, *(money(quote.cost) for quote in quotes)))
    for name in (OVERHEAD, PROFIT):
        rows.append((name, *(money(quote.step(name)) for quote in quotes)))
    others = [quote.price - quote.cost - quote.step(OVERHEAD) - quote.step(PROFIT) for quote in quotes]
    if any(others):
        rows.append(("discount and rounding", *(money(value) for value in others)))
    rows.append(("price before tax", *(money(quote.price) for quote in quotes)))
    rows.append(("tax and rounding", *(money(quote.tax + quote.cash) for quote in quotes)))
    rows.append(("total", *(money(quote.total) for quote in quotes)))
    rows.append(("beside the first", "", *(signed(q, q.total - quotes[0].total) for q in quotes[1:])))
    rows.append(("hours", *(f"{quote.all_hours:.1f}" for quote in quotes)))
    rows.append(("without a price", *(str(len(quote.unpriced)) for quote in quotes)))
    return head, rows


def signed(quote: Quote, amount: Decimal) -> str:
    """A difference with its sign: `+12.00`, `-3.50`, `0.00`."""
    return f"{'+' if amount > 0 else ''}{quote.currency.number(amount)}"


def change_rows(change: Change) -> Rows:
    """Lines that differ: how, kind, what, in what, money."""
    return [
        (one.how, one.line.kind, one.line.what, one.words, signed(change.after, one.money))
        for one in change.lines
    ]


def mark_rows(change: Change) -> Rows:
    """Pieces that differ: how, mark, how many, of what, money in material; then what the others share."""
    rows: Rows = [
        (mark.how, mark.mark, str(mark.count), mark.material, signed(change.after, mark.money))
        for mark in change.marks
    ]
    if change.shared:
        rows.append(
            ("", "", "", "pieces that stay, on other sticks and sheets", signed(change.after, change.shared))
        )
    return rows


def change_sums(change: Change) -> Rows:
    """The difference by step: name, before, after, difference."""
    one, other = change.before, change.after
    pairs: Iterator[tuple[str, Decimal, Decimal]] = iter(
        (
            (COST, one.cost, other.cost),
            (OVERHEAD, one.step(OVERHEAD), other.step(OVERHEAD)),
            ("price before tax", one.price, other.price),
            ("tax and rounding", one.tax + one.cash, other.tax + other.cash),
            ("total", one.total, other.total),
        )
    )
    money = other.currency.number
    rows: Rows = [(name, money(a), money(b), signed(other, b - a)) for name, a, b in pairs]
    hours = change.hours
    rows.append(
        ("hours", f"{one.all_hours:.2f}", f"{other.all_hours:.2f}", f"{'+' if hours > 0 else ''}{hours:.2f}")
    )
    return rows
