"""What a quote is made of: lines, the steps from cost to price, taxes and payments."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property
from typing import Literal, TypeAlias, get_args

from cutlists.price.money import NOTHING, Currency

Kind: TypeAlias = Literal["materials", "fittings", "consumables", "labour", "extras"]
KINDS: tuple[Kind, ...] = get_args(Kind)
Amounts: TypeAlias = Mapping[Kind, Decimal]


@dataclass(frozen=True)
class Line:
    """One thing that costs money.

    Attributes:
        kind: by which overhead, profit and tax are set.
        group: what it is among its kind: tube, sheet, mat, a kind of fitting, a kind of task.
        key: what tells it from the others of its kind, the same in every quote.
        what: for people.
        quantity: how much, or how many; below zero for what is credited.
        unit: of the quantity.
        price: of one, where all cost the same.
        amount: of all, in whole coins; None where there is no price for it.
        note: where the numbers are from.
    """

    kind: Kind
    group: str
    key: str
    what: str
    quantity: Decimal
    unit: str
    price: Decimal | None
    amount: Decimal | None
    note: str = ""


@dataclass(frozen=True)
class Step:
    """One step from cost to price: its name, what it comes to for each kind, and by what rule."""

    name: str
    amounts: Amounts
    rule: str = ""

    @property
    def total(self) -> Decimal:
        """Of all kinds."""
        return sum(self.amounts.values(), NOTHING)


@dataclass(frozen=True)
class Tax:
    """One tax: its name, percent, the kinds it is on, what they come to, and the tax on that."""

    name: str
    percent: Decimal
    of: tuple[Kind, ...]
    base: Decimal
    amount: Decimal


@dataclass(frozen=True)
class Payment:
    """One payment: its name, when it is due, its percent of the total (None for the rest), and how much."""

    name: str
    when: str
    percent: Decimal | None
    amount: Decimal


@dataclass(frozen=True)
class Piece:
    """A piece's share of the tube, sheet or mat it is cut from: mark, signature, material, amount."""

    mark: str
    signature: str
    material: str
    amount: Decimal


@dataclass(frozen=True, eq=False)
class Quote:
    """A boat's cost and price; every sum is the exact sum of the amounts shown.

    Attributes:
        boat: short name.
        title: for people.
        revision: of the build it goes with.
        date: made on, ISO 8601.
        valid_until: ISO 8601.
        currency: of all amounts.
        lines: all that costs money; those without an amount are in no sum.
        steps: from cost to price, the first the cost of the lines by kind.
        taxes: on the price.
        cash: what is added for the total to be a sum that can be paid.
        payments: which add up to the total.
        pieces: shares of the pieces in the material, by name of the piece.
        hours: by kind of task.
        amounts: of what the work is measured by, such as cuts and metres of seam.
        notes: what whoever reads the working should know.
    """

    boat: str
    title: str
    revision: str
    date: str
    valid_until: str
    currency: Currency
    lines: tuple[Line, ...]
    steps: tuple[Step, ...]
    taxes: tuple[Tax, ...] = ()
    cash: Decimal = NOTHING
    payments: tuple[Payment, ...] = ()
    pieces: Mapping[str, Piece] = field(default_factory=dict)
    hours: Mapping[str, Decimal] = field(default_factory=dict)
    amounts: Mapping[str, float] = field(default_factory=dict)
    notes: tuple[str, ...] = ()

    @cached_property
    def price_by_kind(self) -> dict[Kind, Decimal]:
        """What each kind is sold for, before tax."""
        return {kind: sum((step.amounts[kind] for step in self.steps), NOTHING) for kind in KINDS}

    @property
    def cost(self) -> Decimal:
        """Of all lines with an amount."""
        return self.steps[0].total

    @property
    def price(self) -> Decimal:
        """Before tax."""
        return sum(self.price_by_kind.values(), NOTHING)

    @property
    def tax(self) -> Decimal:
        """All taxes."""
        return sum((tax.amount for tax in self.taxes), NOTHING)

    @property
    def total(self) -> Decimal:
        """What is to be paid."""
        return self.price + self.tax + self.cash

    def step(self, name: str) -> Decimal:
        """What a step comes to; nothing where there is none of that name."""
        return sum((step.total for step in self.steps if step.name == name), NOTHING)

    @property
    def profit(self) -> Decimal:
        """What of the price is left once cost and overhead are paid."""
        return self.price - self.cost - self.step(OVERHEAD)

    @property
    def unpriced(self) -> tuple[Line, ...]:
        """Lines that no price is known for; they are in no sum."""
        return tuple(line for line in self.lines if line.amount is None)

    @property
    def all_hours(self) -> Decimal:
        """Of all kinds of task."""
        return sum(self.hours.values(), NOTHING)


COST, OVERHEAD, PROFIT, DISCOUNT, ROUNDING = "cost", "overhead", "profit", "discount", "rounding"
"""Names of the steps from cost to price."""


def summed(lines: Iterable[Line]) -> dict[Kind, Decimal]:
    """What lines come to by kind; those without an amount are left out."""
    found = dict.fromkeys(KINDS, NOTHING)
    for line in lines:
        found[line.kind] += line.amount or NOTHING
    return found
