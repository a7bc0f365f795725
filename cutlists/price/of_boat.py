"""A boat priced in full: its plans, the plan of its work, what else is bought, what finished boats taught."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from cutlists.price.actuals import open_actuals
from cutlists.price.amounts import amounts_of
from cutlists.price.learn import Finished, learnt_of
from cutlists.price.quote import Learnt, quote_of
from cutlists.price.records import Quote
from cutlists.work.plan import plan_work

if TYPE_CHECKING:
    from cutlists.plans import Plans
    from cutlists.shop_file import Shop
    from cutlists.work.records import WorkPlan
    from model.boat import Boat


def priced(
    boat: Boat,
    shop: Shop,
    plans: Plans,
    learnt: bool | None = None,
    today: date | None = None,
    revision: str = "1",
) -> Quote:
    """The quote of a boat, by the shop's own rates or, where it says so, by those of finished boats.

    Args:
        boat: the finished boat.
        shop: with `quote:` in its file.
        plans: what is cut up and bought.
        learnt: whether hours go by finished boats; as the shop file says where None.
        today: the day; the real one unless given.
        revision: of the build.

    Raises:
        BadInput: a discount above the price, or a store that cannot be read.
    """
    assert shop.quote is not None
    work = plan_work(boat, shop)
    asked = shop.quote.learnt if learnt is None else learnt
    taught = _learnt(boat, shop, plans, work) if asked else None
    return quote_of(boat, shop, plans, work, learnt=taught, today=today, revision=revision)


def finished_boats(shop: Shop) -> list[Finished]:
    """The shop's finished boats; none where it keeps no store.

    Raises:
        BadInput: the store cannot be read.
    """
    if shop.stock is None or not shop.stock.is_file():
        return []
    with open_actuals(shop.stock) as actuals:
        return actuals.finished()


def _learnt(boat: Boat, shop: Shop, plans: Plans, work: WorkPlan) -> Learnt:
    """What the shop's finished boats say of this one; the boat itself is not among them."""
    assert shop.quote is not None
    others = [told for told in finished_boats(shop) if told.boat != boat.name]
    return learnt_of(others, amounts_of(boat, shop, plans), work.hours_by_kind, shop.quote.least_boats)
