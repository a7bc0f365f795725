"""A plan marked as cut: what it used goes out of the stock, the offcuts worth keeping come in."""

from __future__ import annotations

from collections.abc import Mapping

from cutlists.plan_file import CutPlan, Use
from cutlists.store.file import changing
from cutlists.store.records import Item, Marked
from cutlists.store.stock import Stock
from parts.faults import BadInput, FaultList, Place


def mark_cut(
    stock: Stock,
    plan: CutPlan,
    place: Place,
    again: bool = False,
    thickness: Mapping[str, float] | None = None,
    where: str = "",
) -> Marked:
    """Mark a plan as cut, all or nothing.

    Of what the plan counted as bought, sticks and sheets of that size which lie in the stock now are taken
    out; the rest went from the supplier straight to the saw.

    Args:
        stock: the shop's stock.
        plan: what was cut up.
        place: of the plan, for faults.
        again: the same plan is cut a second time, for another boat alike.
        thickness: of the plan's sheets, mm, noted with their offcuts.
        where: the place that the offcuts are put.

    Raises:
        BadInput: it is marked already, was made with another stock, or something it needs is gone.
    """
    with changing(stock.db):
        if not again:
            _refuse_twice(stock, plan, place)
        items = _needed(stock, plan, place)
        items += _bought(stock, plan, {item.id for item in items})
        entry = stock.write_entry("cut", plan.boat, plan.identity)
        stock.move(entry, [item.id for item in items], -1)
        kept = [blank for use in plan.uses for blank in use.kept]
        added = stock.bring_in(entry, kept, where, thickness or {})
        by_hand = tuple(use.label for use in plan.uses if use.source == "shop")
        bought = len(plan.uses) - len(by_hand) - len(items)
        return Marked(stock.entry(entry), tuple(items), added, bought, by_hand)


def _refuse_twice(stock: Stock, plan: CutPlan, place: Place) -> None:
    row = stock.db.execute(
        "SELECT max(id) FROM entries WHERE plan = ? "
        "AND id NOT IN (SELECT undoes FROM entries WHERE undoes IS NOT NULL)",
        (plan.identity,),
    ).fetchone()
    if row[0] is not None:
        wrong = f"the plan is marked as cut already, by entry {row[0]} of the log"
        raise BadInput.at(place, wrong, "`--again` marks it for a second boat alike")


def _needed(stock: Stock, plan: CutPlan, place: Place) -> list[Item]:
    """The items that the plan names.

    Raises:
        BadInput: one is gone, or is no longer what the plan took it for.
    """
    named = [use for use in plan.uses if use.item is not None]
    if named and plan.stock != stock.identity:
        raise BadInput.at(place, f"the plan was made with another stock than {stock.path}", "build again")
    faults, found = FaultList(), []
    for use in named:
        assert use.item is not None
        item = stock.check_here(use.item, faults, "build again, with what is there")
        if item is not None and not item.blank.is_like(use.blank):
            faults.add(place, f"item {item.id} is not what the plan took it for", "build again")
        elif item is not None:
            found.append(item)
    faults.raise_if_any()
    return found


def _bought(stock: Stock, plan: CutPlan, taken: set[int]) -> list[Item]:
    """Items on hand of the very size that the plan was to buy, one for each."""
    here = [item for item in stock.items() if item.id not in taken]
    found = []
    for use in (use for use in plan.uses if use.source == "buy"):
        item = _like(use, here)
        if item is not None:
            here.remove(item)
            found.append(item)
    return found


def _like(use: Use, items: list[Item]) -> Item | None:
    return next((item for item in items if item.blank.is_like(use.blank)), None)
