"""The cut plans of a boat: tube from sticks, sheets nested, mat laid out; what is cut up and what to buy."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from cutlists.boxes.goods import box_goods
from cutlists.buy_list import BuyList, buy_list
from cutlists.mats.nest import MatNest, nest_mats
from cutlists.nests.plan import nest_plan
from cutlists.nests.records import NestPlan
from cutlists.on_hand import Picker, on_hand
from cutlists.other_goods import other_goods
from cutlists.plan_file import CutPlan, Use
from cutlists.plan_uses import (
    mat_uses,
    mats_on_hand,
    sheet_uses,
    stick_uses,
    with_sheets_on_hand,
    with_sticks_on_hand,
)
from cutlists.shop_file import Shop
from cutlists.sticks.plan import stick_plan
from cutlists.sticks.records import StickPlan
from model.mat.build import Matting, mat_of
from model.mat.settings import PLAIN_SHEET, MatSettings
from parts.faults import FaultList

if TYPE_CHECKING:
    from model.boat import Boat

Tell = Callable[[str], None]
Previous = Mapping[str, tuple[str, str]]


@dataclass(frozen=True, eq=False)
class Plans:
    """What the shop cuts the boat from.

    Attributes:
        sticks: of the tube.
        nests: of the sheet.
        matting: pieces of mat; None where the boat has none.
        mats: the mat laid on its sheets.
        cut: all sticks and sheets that are cut up, for the stock.
        buy: what is to be bought.
    """

    sticks: StickPlan
    nests: NestPlan
    matting: Matting | None
    mats: MatNest | None
    cut: CutPlan
    buy: BuyList

    @property
    def mat_marks(self) -> dict[str, tuple[str, str]]:
        """Mark and signature of each piece of mat by its name."""
        if self.matting is None:
            return {}
        marks, signatures = self.matting.marks, self.matting.signatures
        return {name: (mark, signatures[name]) for name, mark in marks.items()}


def make_plans(
    boat: Boat, shop: Shop, previous: Previous | None = None, tell: Tell = lambda _: None
) -> Plans:
    """The plans of a boat, from what is on hand and what can be bought.

    Args:
        boat: the finished boat.
        shop: its settings; the stock file it names is read if there is one.
        previous: marks of earlier builds.
        tell: hears what is being worked on.

    Raises:
        BadInput: a piece fits nothing that it could be cut from, or the stock cannot be read.
    """
    stock = on_hand(shop.stock)
    tell("planning sticks")
    sticks = stick_plan(boat, with_sticks_on_hand(shop.sticks, stock), tell, shop.saw.limits)
    tell("nesting sheets")
    nests = nest_plan(boat, with_sheets_on_hand(shop.nests, stock), tell)
    matting = mats = None
    if boat.mat is not None:
        matting = mat_of(boat, mat_settings(boat.mat, shop), previous, tell)
        mats = nest_mats(matting, tell, mats_on_hand(stock, matting.settings.sheets))
        _refuse_left_over(boat, mats)
    picker = Picker(stock)
    uses: list[Use] = [*stick_uses(sticks, picker), *sheet_uses(nests, picker, shop.keep)]
    uses += mat_uses(mats, picker, shop.keep) if mats else ()
    fixtures, prices = boat.fixtures, shop.prices
    buy = buy_list(uses, fixtures, picker.rest(), prices, boat.units, shop.saw.denominator)
    tell("counting wire, hose, foam and paint")
    goods = (*other_goods(boat, shop), *box_goods(boat, shop.coatings, prices))
    buy = replace(buy, lines=(*buy.lines, *goods))
    return Plans(sticks, nests, matting, mats, CutPlan(boat.name, tuple(uses), stock.identity), buy)


def mat_settings(settings: MatSettings, shop: Shop) -> MatSettings:
    """The boat's mat on the shop's sheets, where the boat names none of its own."""
    names_none = settings.sheets == (PLAIN_SHEET,)
    return replace(settings, sheets=shop.mats) if shop.mats and names_none else settings


def _refuse_left_over(boat: Boat, mats: MatNest) -> None:
    faults = FaultList()
    for name, why in mats.left_over.items():
        place = boat.place(name) or boat.document.place(("mat",))
        faults.add(place, f"{name} fits no sheet of mat: {why}", "name a larger sheet, or `leave_out` it")
    faults.raise_if_any()
