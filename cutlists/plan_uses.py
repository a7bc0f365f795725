"""What the plans of each kind cut up, told in one way for the stock and the buy list."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from cutlists.blank import Blank
from cutlists.leftovers import leftovers
from cutlists.mats.nest import MatNest, OnShelf
from cutlists.nests.records import NestPlan, SheetNest, Stock
from cutlists.nests.settings import NestSettings
from cutlists.on_hand import OnHand, Picker
from cutlists.plan_file import Use
from cutlists.sticks.records import StickPlan
from cutlists.sticks.settings import OnRack, StickSettings
from model.mat.settings import MatSheet
from parts.outline import Loop

CHORD = 0.1
"""Arcs of pieces are drawn this true before what is left round them is measured, mm."""


def with_sticks_on_hand(settings: StickSettings, stock: OnHand) -> StickSettings:
    """Settings of stick plans with what the stock holds added to the shop file's own offcuts."""
    tubes = dict(settings.tubes)
    for lot in stock.of_kind("stick"):
        name = lot.blank.name
        tube = tubes.get(name, settings.usual)
        own = OnRack(lot.label, lot.blank.length, len(lot.items))
        tubes[name] = replace(tube, offcuts=(*tube.offcuts, own))
    return replace(settings, tubes=tubes)


def stick_uses(plan: StickPlan, picker: Picker) -> Iterator[Use]:
    """Every stick of the stick plan; `picker` leads from the name of one on hand to its item."""
    for stock in plan.stocks:
        for stick in stock.sticks:
            kept = (Blank("stick", stock.stock, stick.offcut),) if stick.kept else ()
            pieces = tuple(placed.piece.mark for placed in stick.placed)
            blank = Blank("stick", stock.stock, stick.length)
            label = "" if stick.is_bought else stick.label
            yield _use(blank, label, stick.price, picker, stick.used, kept, pieces)


def with_sheets_on_hand(settings: NestSettings, stock: OnHand) -> NestSettings:
    """Settings of nests with what the stock holds added to the shop file's own offcuts."""
    offcuts = dict(settings.offcuts)
    for name, own in sheets_on_hand(stock).items():
        offcuts[name] = (*offcuts.get(name, ()), *own)
    return replace(settings, offcuts=offcuts)


def sheets_on_hand(stock: OnHand) -> dict[str, tuple[Stock, ...]]:
    """Sheets and offcuts of the stock as nests take them, by the name of the sheet."""
    found: dict[str, tuple[Stock, ...]] = {}
    for lot in stock.of_kind("sheet"):
        outline, *holes = (
            Loop.polygon(np.array(ring)).ccw() for ring in lot.blank.rings or (_box(lot.blank),)
        )
        own = Stock(lot.label, outline, tuple(holes), 0.0, len(lot.items))
        found[lot.blank.name] = (*found.get(lot.blank.name, ()), own)
    return found


def _box(blank: Blank) -> tuple[tuple[float, float], ...]:
    return (0.0, 0.0), (blank.length, 0.0), (blank.length, blank.width), (0.0, blank.width)


def sheet_uses(plan: NestPlan, picker: Picker, least: float) -> Iterator[Use]:
    """Every sheet of the nests.

    Args:
        plan: the nests.
        picker: leads from the name of a sheet on hand to its item.
        least: offcuts narrower than this are not kept, mm.
    """
    for material in plan.materials:
        for nest in material.sheets:
            yield _sheet_use(material.sheet, nest, plan.spacing, picker, least)


def _sheet_use(name: str, nest: SheetNest, spacing: float, picker: Picker, least: float) -> Use:
    stock = nest.stock
    cut = [placement.polygon(CHORD) for placement in nest.placements]
    kept = tuple(
        Blank.of_polygon("sheet", name, part) for part in leftovers(stock.polygon, cut, spacing, least)
    )
    pieces = tuple(placement.piece.mark for placement in nest.placements)
    used = sum(placement.piece.area for placement in nest.placements)
    blank = Blank.of_polygon("sheet", name, stock.polygon)
    label = stock.label if stock.is_offcut else ""
    return _use(blank, label, None if label else stock.price, picker, used, kept, pieces)


def _use(
    blank: Blank,
    label: str,
    price: float | None,
    picker: Picker,
    used: float,
    kept: tuple[Blank, ...],
    pieces: tuple[str, ...],
) -> Use:
    """What is cut up: bought where `label` is empty, else an item of the stock, else of the shop file."""
    if not label:
        return Use(blank, "buy", "", None, price, used, kept, pieces)
    item = picker.pick(label)
    if item is None:
        return Use(blank, "shop", label, None, None, used, kept, pieces)
    return Use(item.blank, "stock", f"stock {item.id}", item.id, None, used, kept, pieces)


def mats_on_hand(stock: OnHand, sheets: Sequence[MatSheet]) -> tuple[OnShelf, ...]:
    """Mat of the stock that is of a kind in `sheets`; grooved mat over its full width only."""
    found = []
    for lot in stock.of_kind("mat"):
        blank = lot.blank
        kind = next((sheet for sheet in sheets if sheet.name == blank.name), None)
        if kind is None or blank.rings or (kind.grooved and abs(blank.width - kind.width) > 0.5):
            continue
        own = replace(kind, length=blank.length, width=blank.width)
        found += [OnShelf(lot.label, own)] * len(lot.items)
    return tuple(found)


def mat_uses(nest: MatNest, picker: Picker, least: float) -> Iterator[Use]:
    """Every sheet of mat; what is left over its full width at the end is kept if it is long enough."""
    for one in nest.sheets:
        sheet = one.sheet
        kept = (Blank("mat", sheet.name, one.rest, sheet.width),) if one.rest >= least else ()
        pieces = tuple(laid.mark for laid in one.laid)
        blank = Blank("mat", sheet.name, sheet.length, sheet.width)
        yield _use(blank, one.label, None if one.label else sheet.price, picker, one.used, kept, pieces)
