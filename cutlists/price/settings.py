"""How a shop prices a boat, as exact numbers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from cutlists.price.money import HUNDRED, NOTHING, Currency, Way
from cutlists.price.records import KINDS, Kind
from parts.faults import Place

USUAL = "usual"
"""The rate of kinds of task that have none of their own."""

Percents = Mapping[Kind, Decimal]


def _none() -> Percents:
    return dict.fromkeys(KINDS, NOTHING)


@dataclass(frozen=True)
class Offcuts:
    """Whether offcuts worth keeping are credited, at what percent, and whether stock on hand is charged."""

    credited: bool = False
    value: Decimal = HUNDRED
    on_hand_free: bool = False


@dataclass(frozen=True)
class Consumable:
    """Something used up: `use` units at `price` for each of what it goes by."""

    name: str
    per: str
    unit: str
    price: Decimal
    use: Decimal
    whole: bool


@dataclass(frozen=True)
class Discount:
    """A percent of the price, or an amount; why; and where it is written, for faults."""

    percent: Decimal | None
    amount: Decimal | None
    why: str
    place: Place


@dataclass(frozen=True)
class TaxRule:
    """A tax: name, percent, kinds it is on."""

    name: str
    percent: Decimal
    of: tuple[Kind, ...]


@dataclass(frozen=True)
class Due:
    """A payment: name, percent of the total (None for the rest), when."""

    name: str
    percent: Decimal | None
    when: str


@dataclass(frozen=True)
class Extra:
    """Something else that costs money: name, amount, a word about it."""

    name: str
    amount: Decimal
    note: str


@dataclass(frozen=True)
class Agreed:
    """What is agreed for one boat; see `QuoteSettings`."""

    owner: str = ""
    note: str = ""
    discount: Discount | None = None
    extras: tuple[Extra, ...] = ()
    excluded: tuple[str, ...] = ()


@dataclass(frozen=True)
class QuoteSettings:
    """How a shop prices a boat.

    Attributes:
        shop: lines at the head of the quote.
        currency: of all amounts.
        rates: of an hour by kind of task; under `USUAL` that of the rest.
        consumables: used up by the work.
        offcuts: what becomes of them.
        made_lid: price of a lid made to order, each and a square metre; None where not known.
        extras: of every boat.
        overhead: percent of cost by kind.
        profit: percent by kind, of cost for a markup, of price for a margin.
        is_margin: which of the two `profit` is.
        discount: of every boat that has none agreed.
        round_to, round_way: of the price before tax.
        cash: the total is paid in multiples of this; 0 for any.
        taxes: on the price.
        payments: in order.
        valid: days.
        excluded, terms: lines on the owner's sheet.
        boats: what is agreed, by short name of the boat.
        learnt: whether rates of finished boats stand in place of the shop's own.
        least_boats: fewest finished boats that such a rate is taken from.
        place: of `quote:` in the shop file.
    """

    shop: tuple[str, ...] = ()
    currency: Currency = field(default_factory=Currency)
    rates: Mapping[str, Decimal] = field(default_factory=dict)
    consumables: tuple[Consumable, ...] = ()
    offcuts: Offcuts = field(default_factory=Offcuts)
    made_lid: tuple[Decimal, Decimal] | None = None
    extras: tuple[Extra, ...] = ()
    overhead: Percents = field(default_factory=_none)
    profit: Percents = field(default_factory=_none)
    is_margin: bool = False
    discount: Discount | None = None
    round_to: Decimal = NOTHING
    round_way: Way = "nearest"
    cash: Decimal = NOTHING
    taxes: tuple[TaxRule, ...] = ()
    payments: tuple[Due, ...] = ()
    valid: int = 30
    excluded: tuple[str, ...] = ()
    terms: tuple[str, ...] = ()
    boats: Mapping[str, Agreed] = field(default_factory=dict)
    learnt: bool = False
    least_boats: int = 4
    place: Place = field(default_factory=lambda: Place("quote", None, ""))

    def agreed(self, boat: str) -> Agreed:
        """What is agreed for a boat; nothing where nothing is."""
        return self.boats.get(boat, Agreed())

    def rate(self, kind: str) -> Decimal | None:
        """Of an hour of a kind of task; None where there is none."""
        return self.rates.get(kind, self.rates.get(USUAL))
