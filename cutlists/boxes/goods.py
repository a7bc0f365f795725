"""What to buy for boxes, foam, paint and glue, as lines of a buy list."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from cutlists.boxes.amounts import coating_amounts, tin_told
from cutlists.boxes.boards import board_plan
from cutlists.boxes.coverage import Coating
from cutlists.buy_list import BuyLine
from cutlists.nests.settings import size_label

if TYPE_CHECKING:
    from model.boat import Boat

FOAM, PAINT = "foam", "paint"
"""What the buy list calls these materials."""


def box_goods(
    boat: Boat, coatings: Mapping[str, Coating], prices: Mapping[str, float]
) -> tuple[BuyLine, ...]:
    """Boards of foam, then tins of paint and glue.

    Args:
        boat: the finished boat.
        coatings: paints and glues that the shop knows, by name.
        prices: of boards by name, and of tins by name and size, such as `topcoat 1 qt`.

    Raises:
        BadInput: a piece of foam is larger than its boards, or a paint is not known.
    """
    return (*_boards(boat, prices), *_tins(boat, coatings, prices))


def _boards(boat: Boat, prices: Mapping[str, float]) -> Iterator[BuyLine]:
    plan = board_plan(boat)
    for name, count in plan.counts().items():
        board = plan.boards[name]
        size = size_label(board.width, board.length, boat.units)
        size_mm = f"{board.width:.1f} x {board.length:.1f}"
        price = prices.get(name) if board.price is None else board.price
        share = 100.0 * plan.used(name) / (count * board.width * board.length)
        note = f"{share:.0f} % becomes pieces; of a kind that the rule for flotation foam asks for"
        yield BuyLine(FOAM, name, size, size_mm, count, price=price, note=note)


def _tins(boat: Boat, coatings: Mapping[str, Coating], prices: Mapping[str, float]) -> Iterator[BuyLine]:
    for need in coating_amounts(boat, coatings).needs:
        for size, count in need.tins:
            told = tin_told(size, boat.units)
            price = prices.get(f"{need.coating.name} {told}")
            note = f"{need.litres:.2f} L needed with loss"
            yield BuyLine(PAINT, need.coating.name, f"{told} tin", "", count, price=price, note=note)
