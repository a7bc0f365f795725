"""What is bought besides tube, sheet, mat, lids and fixtures: wire, hose, struts, and what goes with them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import TYPE_CHECKING

from cutlists.buy_list import BuyLine
from parts.amounts import NEWTONS
from parts.lengths import format_length

if TYPE_CHECKING:
    from cutlists.shop_file import Shop
    from model.boat import Boat

STRUT = "strut"


def other_goods(boat: Boat, shop: Shop) -> tuple[BuyLine, ...]:
    """Lines for the wires, hoses and gas struts of a boat, those that its file tells of."""
    return (*_wires(boat, shop), *_hoses(boat, shop), *_struts(boat, shop))


def _wires(boat: Boat, shop: Shop) -> Iterator[BuyLine]:
    if boat.electrics is not None:
        from cutlists.electrics.buy import wire_buy_lines
        from model.electrics.check import electrics_report

        yield from wire_buy_lines(electrics_report(boat), shop.wire, shop.prices)


def _hoses(boat: Boat, shop: Shop) -> Iterator[BuyLine]:
    if boat.hoses is not None:
        from cutlists.hoses.goods import hose_buy_lines
        from model.hoses.check import hose_report

        yield from hose_buy_lines(hose_report(boat), shop.prices)


def _struts(boat: Boat, shop: Shop) -> Iterator[BuyLine]:
    """Struts alike on one line; the price is that of `strut-<force in N>`."""
    from model.clearance.strut_check import check_struts

    found: Counter[tuple[int, float]] = Counter()
    for one in check_struts(boat).struts:
        if one.plan is not None:
            found[round(one.plan.force), round(one.plan.stroke, 1)] += one.plan.count
    for (force, stroke), count in sorted(found.items()):
        told = f"{force / NEWTONS['lbf']:.0f} lbf" if boat.units in ("in", "ft") else f"{force} N"
        size = f"{told}, stroke {format_length(stroke, boat.units)}"
        name = f"strut-{force}"
        yield BuyLine(STRUT, name, size, f"{stroke:.1f}", count, price=shop.prices.get(name))
