"""Money in exact decimals: coins, how a sum is written, how it is split without a cent lost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from typing import Literal

NOTHING = Decimal(0)
HUNDRED = Decimal(100)

Way = Literal["nearest", "up", "down"]
_WAYS: dict[Way, str] = {"nearest": ROUND_HALF_UP, "up": ROUND_CEILING, "down": ROUND_FLOOR}


def exact(value: float | int | str | Decimal) -> Decimal:
    """A number as it was written: `exact(0.1)` is one tenth, not the binary number next to it."""
    return value if isinstance(value, Decimal) else Decimal(str(value))


@dataclass(frozen=True)
class Currency:
    """The shop's money.

    Attributes:
        code: by ISO 4217.
        symbol: written beside amounts; the code where it is empty.
        places: decimals of its smallest coin.
        after: whether the symbol stands behind the number.
    """

    code: str = "USD"
    symbol: str = "$"
    places: int = 2
    after: bool = False

    @property
    def coin(self) -> Decimal:
        """The smallest amount there is."""
        return Decimal(1).scaleb(-self.places)

    def rounded(self, amount: Decimal) -> Decimal:
        """An amount in whole coins, halves away from zero."""
        return amount.quantize(self.coin, ROUND_HALF_UP) + NOTHING

    def told(self, amount: Decimal) -> str:
        """An amount for people: `$1,234.50`, `-$12.00`, `1,234.50 kr`."""
        number = self.number(abs(amount))
        sign = "-" if self.rounded(amount) < 0 else ""
        if not self.symbol:
            return f"{sign}{number} {self.code}"
        gap = " " if self.symbol[-1].isalpha() else ""
        return f"{sign}{number} {self.symbol}" if self.after else f"{sign}{self.symbol}{gap}{number}"

    def number(self, amount: Decimal) -> str:
        """An amount without its symbol, for columns: `1,234.50`."""
        return f"{self.rounded(amount):,.{self.places}f}"


def stepped(amount: Decimal, step: Decimal, way: Way = "nearest") -> Decimal:
    """The multiple of `step` next to an amount; the amount itself where the step is 0."""
    return amount if not step else (amount / step).to_integral_value(_WAYS[way]) * step


def split(total: Decimal, weights: Sequence[Decimal], coin: Decimal) -> tuple[Decimal, ...]:
    """A total split by weights into whole coins that add up to it exactly.

    Each share is within one coin of its part; coins left over go to the largest remainders, the first of
    equals. All of it goes to the first where no weight is above zero.

    Args:
        total: in whole coins, of either sign.
        weights: none below zero, at least one.
        coin: the smallest amount.
    """
    whole = sum(weights, NOTHING)
    if not whole:
        weights, whole = [Decimal(1), *[NOTHING] * (len(weights) - 1)], Decimal(1)
    sign, coins = (-1 if total < 0 else 1), abs(total) / coin
    parts = [coins * weight / whole for weight in weights]
    floors = [part.to_integral_value(ROUND_FLOOR) for part in parts]
    left = int(coins - sum(floors, NOTHING))
    order = sorted(range(len(parts)), key=lambda k: (floors[k] - parts[k], k))
    for k in order[:left]:
        floors[k] += 1
    return tuple(sign * share * coin + NOTHING for share in floors)
