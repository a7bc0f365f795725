"""Whether each piece can be cut from a stick or sheet that can be bought or is there; nothing is planned."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from cutlists.nests import plan as nests
from cutlists.on_hand import on_hand
from cutlists.plan_uses import with_sheets_on_hand, with_sticks_on_hand
from cutlists.sticks.pieces import stock_pieces
from cutlists.sticks.too_long import none_holds
from model.findings import Finding
from parts.faults import Fault

if TYPE_CHECKING:
    from cutlists.shop_file import Shop
    from model.boat import Boat


@dataclass(frozen=True, eq=False)
class StockReport:
    """Pieces and what they could be cut from.

    Attributes:
        members: of tube, how many.
        sheets: pieces of sheet, how many.
        findings: those that nothing holds.
    """

    members: int
    sheets: int
    findings: tuple[Finding, ...]

    def summary(self) -> str:
        """What was looked at."""
        held = f"{self.members} members and {self.sheets} pieces of sheet"
        missing = f"for {len(self.findings)} there is none" if self.findings else "there is one for each"
        return f"sticks and sheets for {held}: {missing}"


def check_stock(boat: Boat, shop: Shop) -> StockReport:
    """Looks for a stick or a sheet for each piece by itself.

    Raises:
        BadInput: the stock cannot be read.
    """
    stock = on_hand(shop.stock)
    sticks = with_sticks_on_hand(shop.sticks, stock)
    jobs = stock_pieces(boat.members, boat.marks, lambda name: sticks.of(name).kerf, sticks.same_cut)
    places = {member.name: boat.place(member.name) or sticks.usual.place for member in boat.members}
    long = none_holds(jobs, sticks, places, boat.units)
    large = nests.none_holds(boat, with_sheets_on_hand(shop.nests, stock))
    findings = tuple(_finding(name, fault) for name, fault in (*long, *large))
    return StockReport(len(boat.members), len(boat.panels) + len(boat.strips), findings)


def _finding(name: str, fault: Fault) -> Finding:
    return Finding("stock", (name,), fault.wrong, fault.right, place=fault.place)
