"""The `quote:` part of a shop file read to exact numbers; what is wrong is told all at once."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal

from cutlists.price.amounts import AMOUNTS
from cutlists.price.currencies import PLACES
from cutlists.price.money import HUNDRED, NOTHING, Currency, exact
from cutlists.price.records import KINDS
from cutlists.price.schema import (
    AgreedEntry,
    ByKind,
    ConsumableEntry,
    CurrencyEntry,
    DiscountEntry,
    ExtraEntry,
    PaymentEntry,
    QuoteEntry,
    RoundingEntry,
    TaxEntry,
)
from cutlists.price.settings import (
    USUAL,
    Agreed,
    Consumable,
    Discount,
    Due,
    Extra,
    Offcuts,
    Percents,
    QuoteSettings,
    TaxRule,
)
from parts.faults import FaultList, Place, did_you_mean, nearest

PlaceOf = Callable[[tuple[str | int, ...]], Place]


def quote_settings(
    entry: QuoteEntry, place: PlaceOf, faults: FaultList, task_kinds: Sequence[str] = ()
) -> QuoteSettings:
    """The settings of an entry; what is wrong goes into `faults`.

    Args:
        entry: as read.
        place: where a path of keys below `quote` stands in the file.
        faults: gathers what is wrong.
        task_kinds: that may have a rate of their own; any where none are given.
    """
    read = _Reader(place, faults)
    currency = read.currency(entry.currency)
    read.whole_coins(entry.rounding, currency)
    profit, is_margin = read.profit(entry)
    lid = entry.made_lids
    return QuoteSettings(
        shop=tuple(entry.shop),
        currency=currency,
        rates=read.rates(entry.rates, task_kinds),
        consumables=tuple(read.consumable(name, own) for name, own in entry.consumables.items()),
        offcuts=Offcuts(
            entry.offcuts.kept == "credit", exact(entry.offcuts.value), entry.offcuts.on_hand == "free"
        ),
        made_lid=None if lid is None else (exact(lid.each), exact(lid.per_m2)),
        extras=_extras(entry.extras),
        overhead=_by_kind(entry.overhead),
        profit=profit,
        is_margin=is_margin,
        discount=read.discount(entry.discount, "discount"),
        round_to=exact(entry.rounding.price),
        round_way=entry.rounding.way,
        cash=exact(entry.rounding.total),
        taxes=read.taxes(entry.tax),
        payments=read.payments(entry.payments),
        valid=entry.valid,
        excluded=tuple(entry.excluded),
        terms=tuple(entry.terms),
        boats={name: read.agreed(name, own) for name, own in entry.boats.items()},
        learnt=entry.learn.use,
        least_boats=entry.learn.boats,
        place=place(()),
    )


class _Reader:
    """Reads parts of an entry and notes what is wrong with them."""

    def __init__(self, place: PlaceOf, faults: FaultList) -> None:
        self.place, self.faults = place, faults

    def currency(self, entry: str | CurrencyEntry) -> Currency:
        known = CurrencyEntry(code=entry) if isinstance(entry, str) else entry
        if known.code not in PLACES:
            at = self.place(("currency",) if isinstance(entry, str) else ("currency", "code"))
            near = " or ".join(nearest(known.code, PLACES)) if len(known.code) == 3 else ""
            right = f"did you mean {near}?" if near else "give its code by ISO 4217, such as USD or EUR"
            self.faults.add(at, f"there is no currency '{known.code}'", right)
        if not known.symbol.isprintable():
            self.faults.add(self.place(("currency", "symbol")), "it cannot be printed", "give a symbol")
        return Currency(known.code, known.symbol.strip(), PLACES.get(known.code, 2), known.after)

    def whole_coins(self, entry: RoundingEntry, currency: Currency) -> None:
        for key in ("price", "total"):
            step = exact(getattr(entry, key))
            if step % currency.coin:
                wrong = f"{step} is no whole number of coins of {currency.coin} {currency.code}"
                self.faults.add(self.place(("rounding", key)), wrong, f"give a multiple of {currency.coin}")

    def rates(self, given: Mapping[str, float], kinds: Sequence[str]) -> dict[str, Decimal]:
        for name in given:
            if kinds and name not in (*kinds, USUAL):
                wrong = f"there is no kind of task '{name}'"
                self.faults.add(self.place(("rates", name)), wrong, did_you_mean(name, (*kinds, USUAL)))
        return {name: exact(rate) for name, rate in given.items()}

    def consumable(self, name: str, entry: ConsumableEntry) -> Consumable:
        if entry.per not in AMOUNTS:
            at = self.place(("consumables", name, "per"))
            self.faults.add(at, f"nothing is counted as '{entry.per}'", did_you_mean(entry.per, AMOUNTS))
        if entry.use is not None and entry.lasts is not None:
            at = self.place(("consumables", name))
            self.faults.add(at, "`use` and `lasts` both say how much", "leave one out")
        use = exact(entry.use or 1) / exact(entry.lasts or 1)
        return Consumable(name, entry.per, entry.unit, exact(entry.price), use, entry.whole)

    def profit(self, entry: QuoteEntry) -> tuple[Percents, bool]:
        """Percents of markup or margin, and which of the two it is."""
        if entry.markup is not None and entry.margin is not None:
            wrong = "`markup` and `margin` both set the profit"
            self.faults.add(self.place(("margin",)), wrong, "leave one: a margin is profit over price")
        if entry.margin is None:
            return _by_kind(entry.markup or 0), False
        found = _by_kind(entry.margin)
        if max(found.values()) >= HUNDRED:
            wrong = f"a margin of {max(found.values()):g} % leaves nothing of the price for the cost"
            right = "a margin is profit over price, below 100; profit over cost is `markup`"
            self.faults.add(self.place(("margin",)), wrong, right)
            found = _by_kind(0)
        return found, True

    def discount(self, entry: DiscountEntry | None, *keys: str) -> Discount | None:
        if entry is None:
            return None
        if (entry.percent is None) == (entry.amount is None):
            self.faults.add(self.place(keys), "it says nothing, or two things", "give `percent` or `amount`")
        percent = None if entry.percent is None else exact(entry.percent)
        amount = None if entry.amount is None else exact(entry.amount)
        return Discount(percent, amount, entry.why, self.place(keys))

    def taxes(self, entries: Sequence[TaxEntry]) -> tuple[TaxRule, ...]:
        for k, entry in enumerate(entries):
            if entry.of and len(set(entry.of)) < len(entry.of):
                self.faults.add(self.place(("tax", k, "of")), "a kind stands there twice", "name it once")
        return tuple(TaxRule(t.name, exact(t.percent), tuple(t.of or KINDS)) for t in entries)

    def payments(self, entries: Sequence[PaymentEntry]) -> tuple[Due, ...]:
        found = tuple(Due(p.name, None if p.percent is None else exact(p.percent), p.when) for p in entries)
        rests = sum(due.percent is None for due in found)
        told = sum((due.percent or NOTHING for due in found), NOTHING)
        if rests > 1:
            self.faults.add(self.place(("payments",)), f"{rests} of them have no percent", "one is the rest")
        elif rests and told >= HUNDRED:
            wrong = f"they come to {told:g} % before the rest"
            self.faults.add(self.place(("payments",)), wrong, "leave something for the rest")
        elif found and not rests and told != HUNDRED:
            right = "let them come to 100, or leave the percent of the last out: it is the rest then"
            self.faults.add(self.place(("payments",)), f"they come to {told:g} %", right)
        return found

    def agreed(self, name: str, entry: AgreedEntry) -> Agreed:
        return Agreed(
            entry.owner,
            entry.note,
            self.discount(entry.discount, "boats", name, "discount"),
            _extras(entry.extras),
            tuple(entry.excluded),
        )


def _by_kind(given: ByKind) -> Percents:
    """Percents by kind: one number for all, or those named, and none for the rest."""
    if isinstance(given, dict):
        return {kind: exact(given.get(kind, 0)) for kind in KINDS}
    return dict.fromkeys(KINDS, exact(given))


def _extras(given: Mapping[str, ExtraEntry]) -> tuple[Extra, ...]:
    return tuple(Extra(name, exact(own.amount), own.note) for name, own in given.items())
