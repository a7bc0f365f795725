"""Tube, sheet and mat as lines of a quote: what is bought, what comes out of the rack, what is left over."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import TYPE_CHECKING

from cutlists.blank import Blank
from cutlists.buy_list import MATERIAL
from cutlists.plan_file import Use
from cutlists.price.money import HUNDRED, NOTHING, exact
from cutlists.price.records import Line
from cutlists.price.settings import QuoteSettings

if TYPE_CHECKING:
    from cutlists.shop_file import Shop

WHOLE = {"stick": ("stick", "m", 1e3), "sheet": ("sheet", "m2", 1e6), "mat": ("sheet", "m2", 1e6)}
"""Of each kind of blank: what one is called, the unit of its extent, and how many mm or mm2 that has."""
THREE = Decimal("0.001")


def material_lines(uses: Sequence[Use], shop: Shop, settings: QuoteSettings, units: str) -> Iterator[Line]:
    """Lines of all that is cut up, kind by kind: bought, from the rack, and offcuts credited.

    Args:
        uses: every stick and sheet of every plan.
        shop: whose prices stand for what lies in the rack.
        settings: what becomes of offcuts and of stock on hand.
        units: of sizes for people.
    """
    for group in _alike([use for use in uses if use.source == "buy"]):
        yield _bought(group, settings, units, shop.saw.denominator)
    in_rack = [use for use in uses if use.source != "buy"]
    for own in _by_name(in_rack):
        yield _from_rack(own, shop, settings)
    if settings.offcuts.credited:
        charged = [use for use in uses if use.source == "buy" or not settings.offcuts.on_hand_free]
        for own in _by_name(charged):
            yield from _credited(own, shop, settings)


def _alike(uses: Sequence[Use]) -> list[list[Use]]:
    """Uses of the same size at the same price together, by kind and name, the longest first."""
    order = sorted(uses, key=lambda use: (_kind(use.blank), use.blank.name, -use.blank.extent))
    groups: list[list[Use]] = []
    for use in order:
        if groups and groups[-1][0].price == use.price and groups[-1][0].blank.is_like(use.blank):
            groups[-1].append(use)
        else:
            groups.append([use])
    return groups


def _by_name(uses: Sequence[Use]) -> list[list[Use]]:
    found: dict[tuple[int, str], list[Use]] = {}
    for use in uses:
        found.setdefault((_kind(use.blank), use.blank.name), []).append(use)
    return [found[key] for key in sorted(found)]


def _kind(blank: Blank) -> int:
    return tuple(MATERIAL).index(blank.kind)


def _bought(group: Sequence[Use], settings: QuoteSettings, units: str, denominator: int) -> Line:
    blank, price = group[0].blank, group[0].price
    size = blank.size(units, denominator)
    count = Decimal(len(group))
    each = None if price is None else exact(price)
    return Line(
        "materials",
        MATERIAL[blank.kind],
        f"buy {blank.name} {blank.length:.0f} {blank.width:.0f}",
        f"{blank.name}, {size}",
        count,
        WHOLE[blank.kind][0],
        each,
        None if each is None else settings.currency.rounded(each * count),
        _waste(group),
    )


def _waste(uses: Sequence[Use]) -> str:
    """What of them becomes pieces, is kept, and is lost."""
    whole = sum(use.blank.extent for use in uses)
    used = 100.0 * sum(use.used for use in uses) / whole
    kept = 100.0 * sum(part.extent for use in uses for part in use.kept) / whole
    return f"{used:.0f} % used, {kept:.0f} % kept, {max(0.0, 100.0 - used - kept):.0f} % waste"


def _from_rack(uses: Sequence[Use], shop: Shop, settings: QuoteSettings) -> Line:
    blank = uses[0].blank
    _, unit, size = WHOLE[blank.kind]
    extent = (exact(round(sum(use.blank.extent for use in uses), 1)) / exact(size)).quantize(THREE)
    free = settings.offcuts.on_hand_free
    each = NOTHING if free else unit_price(blank, shop)
    note = "not charged" if free else "at the price of new"
    return Line(
        "materials",
        MATERIAL[blank.kind],
        f"rack {blank.name}",
        f"{blank.name}, on hand",
        extent,
        unit,
        each,
        None if each is None else settings.currency.rounded(each * extent),
        note,
    )


def _credited(uses: Sequence[Use], shop: Shop, settings: QuoteSettings) -> Iterator[Line]:
    """The offcuts of one material, if any is kept; at what their share of the stick or sheet cost."""
    blank = uses[0].blank
    _, unit, size = WHOLE[blank.kind]
    total, extent, unknown = NOTHING, 0.0, False
    for use in uses:
        kept = sum(part.extent for part in use.kept)
        worth = use_price(use, shop)
        if kept <= 0.0:
            continue
        extent += kept
        unknown = unknown or worth is None
        total += (worth or NOTHING) * exact(kept) / exact(use.blank.extent)
    if not extent or unknown:
        # Offcuts of what has no price have none; the line of what is bought says so.
        return
    yield Line(
        "materials",
        MATERIAL[blank.kind],
        f"offcuts {blank.name}",
        f"{blank.name}, offcuts kept",
        -(exact(extent) / exact(size)).quantize(THREE),
        unit,
        None,
        -settings.currency.rounded(total * settings.offcuts.value / HUNDRED),
        f"credited at {settings.offcuts.value:g} % of what they cost",
    )


def use_price(use: Use, shop: Shop) -> Decimal | None:
    """What a stick or sheet cost, or would cost new where it lies in the rack; None if not known."""
    if use.source == "buy":
        return None if use.price is None else exact(use.price)
    each = unit_price(use.blank, shop)
    size = WHOLE[use.blank.kind][2]
    return None if each is None else each * exact(use.blank.extent) / exact(size)


def unit_price(blank: Blank, shop: Shop) -> Decimal | None:
    """What a metre or square metre of a material costs new, at the cheapest; None where that is not known."""
    prices = [
        exact(price) * exact(WHOLE[blank.kind][2]) / exact(extent)
        for extent, price in _sold(blank, shop)
        if price is not None
    ]
    return min(prices).quantize(Decimal("0.0001")) if prices else None


def _sold(blank: Blank, shop: Shop) -> Iterator[tuple[float, float | None]]:
    """Extent, mm or mm2, and price of every size that a material is sold in."""
    if blank.kind == "stick":
        for length in shop.sticks.of(blank.name).lengths:
            yield length.length, length.price
    elif blank.kind == "sheet":
        material = shop.nests.materials.get(blank.name)
        for size in material.sizes if material else ():
            yield size.size[0] * size.size[1], size.price
    else:
        for sheet in shop.mats:
            if sheet.name == blank.name:
                yield sheet.length * sheet.width, sheet.price
