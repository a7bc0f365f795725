"""Reads the numbers of a shop's settings, with every fault told at its place in the file."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from cutlists.on_hand import LABEL
from parts.checked import Path as Keys
from parts.faults import FaultList, Place
from parts.lengths import parse_length


@dataclass(frozen=True)
class Reading:
    """Text to numbers.

    Attributes:
        units: of bare numbers.
        place: where a path of keys stands in the file.
        faults: gathers what is wrong; what is read then is not to be used.
    """

    units: str
    place: Callable[[Keys], Place]
    faults: FaultList

    def fault(self, keys: Keys, wrong: str, right: str) -> None:
        """Notes what is wrong at a key, and what would be right."""
        self.faults.add(self.place(keys), wrong, right)

    def read(self, keys: Keys, value: Any, parse: Callable[[Any], float], safe: float) -> float:
        """What `parse` makes of a value; `safe` once a fault is noted."""
        try:
            return parse(value)
        except ValueError as error:
            wrong, _, right = str(error).partition("; ")
            self.fault(keys, wrong, right)
            return safe

    def ordinate(self, keys: Keys, value: Any) -> float:
        """A length of either sign, mm."""
        return self.read(keys, value, lambda text: parse_length(text, self.units), 0.0)

    def length(
        self, keys: Keys, value: Any, above: bool = False, right: str = "", safe: float = 1.0
    ) -> float:
        """A length of zero or more, mm; above zero where asked.

        Args:
            keys: where it stands.
            value: as written.
            above: whether zero is refused.
            right: what would be right, where a bound alone says too little.
            safe: what is given once a fault is noted.
        """
        found = self.read(keys, value, lambda text: parse_length(text, self.units), safe)
        if found < 0 or (above and found == 0):
            least = "above zero" if above else "of zero or more"
            self.fault(keys, f"{value} is not a length {least}", right or f"give one {least}")
            return safe
        return found

    def number(self, keys: Keys, value: float, low: float, high: float) -> float:
        """A number within bounds."""
        if not (math.isfinite(value) and low <= value <= high):
            self.fault(keys, f"{value:g} is out of bounds", f"give {low:g} to {high:g}")
            return low
        return float(value)

    def own_name(self, keys: Keys, name: str, taken: Sequence[str]) -> None:
        """Notes the name of an offcut that another has, or that the stock file gives its own."""
        if name in taken:
            self.fault((*keys, "name"), f"'{name}' stands twice", "rename one")
        elif name.startswith(f"{LABEL} "):
            self.fault((*keys, "name"), f"'{name}' is what the stock file calls its own", "rename it")

    def price(self, keys: Keys, value: float | None) -> float | None:
        """A price above zero, or none."""
        return None if value is None else self.number(keys, value, 0.01, 1e7)

    def all_priced(
        self, keys: Keys, labels: Sequence[str], prices: Sequence[float | None], others: str, least: str
    ) -> None:
        """Notes what has no price where others have one.

        Args:
            keys: of the list.
            labels: what each entry is called.
            prices: of each.
            others: what the entries are, such as `sizes`.
            least: what is made least where nothing has a price.
        """
        if all(price is None for price in prices):
            return
        for i, (label, price) in enumerate(zip(labels, prices, strict=True)):
            if price is None:
                self.fault(
                    (*keys, i),
                    f"{label} has no price and other {others} have one",
                    f"add `price: ...`, or leave out all prices to use the least {least}",
                )
