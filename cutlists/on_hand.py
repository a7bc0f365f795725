"""What lies in the stock when a build begins, named so that a plan's choice leads back to its items."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from cutlists.blank import Blank, Kind
from cutlists.store.records import Item, numbers
from cutlists.store.stock import open_stock

LABEL = "stock"
"""What the name of anything from the stock file begins with."""


@dataclass(frozen=True)
class Lot:
    """Items that are alike.

    Attributes:
        label: what plans call them, such as `stock 3, 5-8`.
        items: at least one.
    """

    label: str
    items: tuple[Item, ...]

    @property
    def blank(self) -> Blank:
        """What each of them is."""
        return self.items[0].blank


@dataclass(frozen=True)
class OnHand:
    """The stock at one moment; `identity` tells it from other stocks, and is empty where there is none."""

    identity: str = ""
    lots: tuple[Lot, ...] = ()

    def of_kind(self, kind: Kind) -> Iterator[Lot]:
        """The lots of one kind, by name and size."""
        return (lot for lot in self.lots if lot.blank.kind == kind)


def on_hand(path: Path | None) -> OnHand:
    """What the stock file holds; nothing where there is none.

    Raises:
        BadInput: the file is none of ours, or cannot be read now.
    """
    if path is None or not path.is_file():
        return OnHand()
    with open_stock(path) as stock:
        return OnHand(stock.identity, _lots(stock.items()))


def _lots(items: Sequence[Item]) -> tuple[Lot, ...]:
    alike: dict[tuple[Blank, float], list[Item]] = {}
    for item in items:
        alike.setdefault((item.blank, item.thickness), []).append(item)
    return tuple(
        Lot(f"{LABEL} {numbers([item.id for item in found])}", tuple(found)) for found in alike.values()
    )


class Picker:
    """Hands out the items of lots one by one, as a plan names their label."""

    def __init__(self, stock: OnHand) -> None:
        self._left = {lot.label: list(lot.items) for lot in stock.lots}

    def pick(self, label: str) -> Item | None:
        """The next item of the lot called so; None where the label is not the stock's.

        Raises:
            IndexError: the plan uses more of the lot than there are, which is a fault of the plan.
        """
        items = self._left.get(label)
        return items.pop(0) if items is not None else None

    def rest(self) -> list[Blank]:
        """What no plan asked for."""
        return [item.blank for items in self._left.values() for item in items]
