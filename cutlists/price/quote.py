"""The quote of a boat: its lines, and the steps from what it costs to what is to be paid."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import ROUND_CEILING, Decimal
from typing import TYPE_CHECKING

from cutlists.buy_list import MATERIAL, BuyLine
from cutlists.price.amounts import AMOUNTS, amounts_of
from cutlists.price.labour import hours_by_kind, labour_lines
from cutlists.price.material import THREE, material_lines
from cutlists.price.money import HUNDRED, NOTHING, exact, split, stepped
from cutlists.price.pieces import piece_shares
from cutlists.price.records import (
    COST,
    DISCOUNT,
    KINDS,
    OVERHEAD,
    PROFIT,
    ROUNDING,
    Kind,
    Line,
    Payment,
    Quote,
    Step,
    Tax,
    summed,
)
from cutlists.price.settings import Agreed, Consumable, Discount, Percents, QuoteSettings
from parts.faults import BadInput

if TYPE_CHECKING:
    from cutlists.plans import Plans
    from cutlists.shop_file import Shop
    from cutlists.work.records import WorkPlan
    from model.boat import Boat

MADE = "made to order"
OF_KIND: dict[str, Kind] = {
    "wire": "materials",
    "hose": "materials",
    "foam": "materials",
    "paint": "consumables",
}
"""Kinds of what is bought ready by the piece; what is not named is a fitting."""


@dataclass(frozen=True)
class Learnt:
    """What finished boats say of the hours: factors on those of the plan by kind of task, a word on each."""

    factors: Mapping[str, Decimal]
    notes: tuple[str, ...] = ()


def quote_of(
    boat: Boat,
    shop: Shop,
    plans: Plans,
    work: WorkPlan | None,
    learnt: Learnt | None = None,
    today: date | None = None,
    revision: str = "1",
) -> Quote:
    """What a boat costs and is sold for.

    Args:
        boat: the finished boat.
        shop: with its prices, and `quote:` in its file.
        plans: what is cut up and bought.
        work: its tasks with their hours; without it labour is told as not priced.
        learnt: factors on the hours, where the shop asks for them.
        today: the day the quote is made on; the real one unless given.
        revision: of the build it goes with.

    Raises:
        BadInput: a discount is more than the price.
    """
    settings = shop.quote or QuoteSettings()
    agreed = settings.agreed(boat.name)
    amounts = amounts_of(boat, shop, plans)
    fittings = [line for line in plans.buy.lines if line.material not in MATERIAL.values()]
    lines = [
        *material_lines(plans.cut.uses, shop, settings, boat.units),
        *(_fitting(line, settings) for line in fittings),
        *(_consumable(one, amounts, settings) for one in settings.consumables),
        *labour_lines(work, settings, learnt.factors if learnt else None),
        *_extras(settings, agreed),
    ]
    steps = tuple(steps_of(lines, settings, agreed.discount or settings.discount))
    price = {kind: sum((step.amounts[kind] for step in steps), NOTHING) for kind in KINDS}
    taxes = taxes_of(price, settings)
    before = sum(price.values(), NOTHING) + sum((tax.amount for tax in taxes), NOTHING)
    cash = settings.currency.rounded(stepped(before, settings.cash)) - before
    made = today or date.today()
    return Quote(
        boat=boat.name,
        title=boat.title,
        revision=revision,
        date=made.isoformat(),
        valid_until=(made + timedelta(days=settings.valid)).isoformat(),
        currency=settings.currency,
        lines=tuple(lines),
        steps=steps,
        taxes=taxes,
        cash=cash,
        payments=payments_of(before + cash, settings),
        pieces=piece_shares(boat, plans, shop, settings),
        hours=hours_by_kind(lines),
        amounts=amounts,
        notes=tuple(_notes(lines, steps, settings, learnt)),
    )


# --- lines


def _fitting(line: BuyLine, settings: QuoteSettings) -> Line:
    each = None if line.price is None else exact(line.price)
    if each is None and line.name == MADE and settings.made_lid is not None and line.size_mm:
        width, length = (exact(side) for side in line.size_mm.split(" x "))
        base, per_area = settings.made_lid
        each = settings.currency.rounded(base + per_area * width * length / Decimal(10) ** 6)
    count = Decimal(line.need)
    named = line.name if line.name.startswith(line.material) else f"{line.material} {line.name}"
    return Line(
        OF_KIND.get(line.material, "fittings"),
        line.material,
        f"{line.material} {line.name} {line.size_mm}".strip(),
        (named + f", {line.size}") if line.size else named,
        count,
        "",
        each,
        None if each is None else settings.currency.rounded(each * count),
        line.note,
    )


def _consumable(one: Consumable, amounts: Mapping[str, float], settings: QuoteSettings) -> Line:
    needed = exact(amounts[one.per]) * one.use
    needed = needed.to_integral_value(ROUND_CEILING) if one.whole else needed.quantize(THREE)
    return Line(
        "consumables",
        one.per,
        one.name,
        one.name,
        needed,
        one.unit,
        one.price,
        settings.currency.rounded(one.price * needed),
        f"for {amounts[one.per]:.4g} {AMOUNTS[one.per]}",
    )


def _extras(settings: QuoteSettings, agreed: Agreed) -> Iterator[Line]:
    named = {extra.name: extra for extra in (*settings.extras, *agreed.extras)}
    for extra in named.values():
        amount = settings.currency.rounded(extra.amount)
        yield Line("extras", "", extra.name, extra.name, Decimal(1), "", amount, amount, extra.note)


# --- from cost to price


def steps_of(lines: Sequence[Line], settings: QuoteSettings, discount: Discount | None) -> Iterator[Step]:
    """Cost, overhead, profit, discount and rounding, each by kind in whole coins.

    Raises:
        BadInput: a discount is more than the price.
    """
    rounded = settings.currency.rounded
    cost = summed(lines)
    yield Step(COST, cost)
    overhead = {kind: rounded(cost[kind] * settings.overhead[kind] / HUNDRED) for kind in KINDS}
    yield Step(OVERHEAD, overhead, _rule(settings.overhead, "of cost"))
    base = {kind: cost[kind] + overhead[kind] for kind in KINDS}
    profit = {kind: rounded(_profit(base[kind], settings, kind)) for kind in KINDS}
    of = "of price (margin)" if settings.is_margin else "of cost and overhead (markup)"
    yield Step(PROFIT, profit, _rule(settings.profit, of))
    price = {kind: base[kind] + profit[kind] for kind in KINDS}
    if discount is not None:
        off = _spread(-_let_off(sum(price.values(), NOTHING), discount, settings), price, settings)
        told = f"{discount.percent:g} %" if discount.percent is not None else "a sum"
        yield Step(DISCOUNT, off, f"{told}{f', {discount.why}' if discount.why else ''}")
        price = {kind: price[kind] + off[kind] for kind in KINDS}
    if settings.round_to:
        whole = sum(price.values(), NOTHING)
        change = stepped(whole, settings.round_to, settings.round_way) - whole
        rule = f"{settings.round_way} {settings.currency.told(settings.round_to)}"
        yield Step(ROUNDING, _spread(change, price, settings), rule)


def _profit(base: Decimal, settings: QuoteSettings, kind: Kind) -> Decimal:
    """A markup is a percent of cost; a margin is one of the price, so that price = cost / (1 - margin)."""
    percent = settings.profit[kind]
    return base * percent / (HUNDRED - percent if settings.is_margin else HUNDRED)


def _let_off(price: Decimal, discount: Discount, settings: QuoteSettings) -> Decimal:
    """The discount in money.

    Raises:
        BadInput: it is more than the price.
    """
    if discount.amount is None:
        return settings.currency.rounded(price * (discount.percent or NOTHING) / HUNDRED)
    if discount.amount > price:
        wrong = f"{discount.amount:g} is more than the price, {settings.currency.told(price)}"
        raise BadInput.at(discount.place, wrong, "give less")
    return settings.currency.rounded(discount.amount)


def _spread(total: Decimal, price: Mapping[Kind, Decimal], settings: QuoteSettings) -> dict[Kind, Decimal]:
    weights = [max(price[kind], NOTHING) for kind in KINDS]
    return dict(zip(KINDS, split(total, weights, settings.currency.coin), strict=True))


def _rule(percents: Percents, of: str) -> str:
    """Such as `20 % of cost`, or by kind where they differ."""
    if len(set(percents.values())) == 1:
        return f"{percents['labour']:g} % {of}"
    return ", ".join(f"{kind} {percents[kind]:g} %" for kind in KINDS if percents[kind]) + f" {of}"


def taxes_of(price: Mapping[Kind, Decimal], settings: QuoteSettings) -> tuple[Tax, ...]:
    """Each tax on what its kinds are sold for, rounded once."""
    found = []
    for rule in settings.taxes:
        base = sum((price[kind] for kind in rule.of), NOTHING)
        amount = settings.currency.rounded(base * rule.percent / HUNDRED)
        found.append(Tax(rule.name, rule.percent, rule.of, base, amount))
    return tuple(found)


def payments_of(total: Decimal, settings: QuoteSettings) -> tuple[Payment, ...]:
    """Payments that add up to the total: the one without a percent, else the last, is what is left."""
    dues = settings.payments
    if not dues:
        return ()
    rest = next((k for k, due in enumerate(dues) if due.percent is None), len(dues) - 1)
    amounts = [settings.currency.rounded(total * (due.percent or NOTHING) / HUNDRED) for due in dues]
    amounts[rest] = total - sum((a for k, a in enumerate(amounts) if k != rest), NOTHING)
    return tuple(Payment(d.name, d.when, d.percent, a) for d, a in zip(dues, amounts, strict=True))


def _notes(
    lines: Sequence[Line], steps: Sequence[Step], settings: QuoteSettings, learnt: Learnt | None
) -> Iterator[str]:
    missing = [line.what for line in lines if line.amount is None]
    if missing:
        yield f"not in any sum, for want of a price: {'; '.join(missing)}"
    below = sum((step.total for step in steps[2:]), NOTHING)
    if below < 0:
        yield f"the price is {settings.currency.told(-below)} below cost and overhead"
    if learnt is not None:
        yield from learnt.notes
