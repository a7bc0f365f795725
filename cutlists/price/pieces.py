"""What each piece of the boat costs in tube, sheet or mat: its share of the stick or sheet it is cut from."""

from __future__ import annotations

from collections import defaultdict
from decimal import Decimal
from typing import TYPE_CHECKING

from cutlists.price.material import use_price
from cutlists.price.money import HUNDRED, NOTHING, exact
from cutlists.price.records import Piece
from cutlists.price.settings import QuoteSettings

if TYPE_CHECKING:
    from cutlists.plan_file import Use
    from cutlists.plans import Plans
    from cutlists.shop_file import Shop
    from model.boat import Boat
    from model.panel import Panel
    from model.strip import Strip


def piece_shares(boat: Boat, plans: Plans, shop: Shop, settings: QuoteSettings) -> dict[str, Piece]:
    """Every piece by name with its share in what its stick or sheet costs, waste and all.

    Pieces of one mark cost the same; each bears the waste of its stick or sheet by its length or area. The
    shares are for comparing, and are exact to more than a coin.
    """
    sizes = _sizes(boat, plans)
    named: dict[str, list[str]] = defaultdict(list)
    for name, (mark, _, _) in sizes.items():
        named[mark].append(name)
    extent = {mark: sizes[names[0]][2] for mark, names in named.items()}
    shares: dict[str, Decimal] = defaultdict(lambda: NOTHING)
    material: dict[str, str] = {}
    for use in plans.cut.uses:
        paid = _paid(use, shop, settings)
        whole = sum(extent.get(mark, 0.0) for mark in use.pieces)
        for mark in use.pieces:
            material[mark] = use.blank.name
            if whole:
                shares[mark] += paid * exact(extent.get(mark, 0.0)) / exact(whole)
    fine = Decimal("0.0001")
    return {
        name: Piece(mark, signature, material.get(mark, ""), (shares[mark] / len(named[mark])).quantize(fine))
        for name, (mark, signature, _) in sizes.items()
    }


def _paid(use: Use, shop: Shop, settings: QuoteSettings) -> Decimal:
    """What the boat pays for a stick or sheet, its offcuts credited if they are; nothing if not known."""
    if use.source != "buy" and settings.offcuts.on_hand_free:
        return NOTHING
    worth = use_price(use, shop) or NOTHING
    if not settings.offcuts.credited:
        return worth
    kept = exact(sum(part.extent for part in use.kept)) / exact(use.blank.extent)
    return worth * (1 - kept * settings.offcuts.value / HUNDRED)


def _sizes(boat: Boat, plans: Plans) -> dict[str, tuple[str, str, float]]:
    """Mark, signature and length or area of every piece that is cut, by name."""
    found = {
        member.name: (boat.marks[member.name], boat.signatures[member.name], member.length)
        for member in boat.members
        if member.name in boat.marks
    }
    sheet: tuple[Panel | Strip, ...] = (*boat.panels, *boat.strips)
    for piece in sheet:
        found[piece.name] = (boat.marks[piece.name], boat.signatures[piece.name], piece.area)
    if plans.matting is not None:
        for mat in plans.matting.pieces:
            mark, signature = plans.mat_marks[mat.name]
            found[mat.name] = (mark, signature, mat.area)
    return found
