"""A stick plan: for each stock the sticks, and in each stick the pieces and the cuts in order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Literal

from cutlists.sticks.pieces import Piece, StockPieces
from cutlists.sticks.saw_setting import Setting
from cutlists.sticks.settings import Tube
from cutlists.sticks.solve import Solved
from model.geometry import Array

What = Literal["trim", "part", "end", "shared"]


@dataclass(frozen=True, eq=False, slots=True)
class Placed:
    """One piece in a stick; stick axes: x from the raw left end, y to the far edge, z up.

    Attributes:
        piece: all pieces of its mark.
        name: where this one goes.
        turn: rotation of the piece in stick axes, after `piece.lay`, `(3, 3)`.
        start: x of its left long point, mm.
        shares: whether its left end is made by the cut that makes the right end of the piece before.
    """

    piece: Piece
    name: str
    turn: Array
    start: float
    shares: bool

    @property
    def end(self) -> float:
        """X of its right long point, mm."""
        return self.start + self.piece.length

    @property
    def is_reversed(self) -> bool:
        """Whether end B lies to the left."""
        return bool(self.turn[0, 0] < 0.0)

    def normal(self, side: Literal["left", "right"]) -> Array:
        """Unit normal of the left or right end, out of the metal, `(3,)`."""
        b = (side == "right") != self.is_reversed
        found: Array = self.turn @ self.piece.normals[1 if b else 0]
        return found


@dataclass(frozen=True, eq=False, slots=True)
class Cut:
    """One cut of a stick.

    Attributes:
        what: "trim" squares the stick's end, "part" squares between pieces, "end" makes one end of a piece,
            "shared" the right end of one piece and the left end of the next.
        at: where the long point of the end is marked, x in mm; in a shared cut that of the left piece.
        slope: of the cut plane x = a - m . (y, z), `(2,)`.
        blade: which way from the mark the blade lies, +1 to the right, -1 to the left.
        setting: of the saw.
        marks: of the pieces whose ends it makes, left then right; one is empty except for a shared cut.
    """

    what: What
    at: float
    slope: Array
    blade: int
    setting: Setting
    marks: tuple[str, str]


@dataclass(frozen=True, eq=False)
class Stick:
    """One stick.

    Attributes:
        number: in its stock, from 1.
        length: as it lies in the rack, mm.
        label: what it is called on hand; empty when it is bought.
        price: of a bought one, if known.
        trim: taken off each end, mm.
        placed: pieces from left to right.
        cuts: in the order to make them.
        offcut: what is left at the right, less the last kerf and the trim of that end, mm.
        kept: whether that is worth keeping.
        saved: what shared cuts save in it, mm.
    """

    number: int
    length: float
    label: str
    price: float | None
    trim: float
    placed: tuple[Placed, ...]
    cuts: tuple[Cut, ...]
    offcut: float
    kept: bool
    saved: float

    @property
    def is_bought(self) -> bool:
        """Whether it is to be bought."""
        return not self.label

    @property
    def used(self) -> float:
        """What becomes pieces, by the length of their middle fibres, mm."""
        return float(sum(placed.piece.middle for placed in self.placed))

    @property
    def waste(self) -> float:
        """What becomes neither piece nor kept offcut, mm."""
        return self.length - self.used - (self.offcut if self.kept else 0.0)

    @property
    def shared_cuts(self) -> int:
        """How many cuts make two ends."""
        return sum(cut.what == "shared" for cut in self.cuts)

    @property
    def changes(self) -> int:
        """How often the saw is set anew within the stick."""
        return changes([self])


def changes(sticks: Sequence[Stick]) -> int:
    """How often the saw is set anew from the first cut of the first stick to the last of the last."""
    keys = [cut.setting.key for stick in sticks for cut in stick.cuts]
    return sum(one != other for one, other in pairwise(keys))


@dataclass(frozen=True, eq=False)
class StockPlan:
    """The sticks of one stock.

    Attributes:
        pieces: what is cut, and from which section.
        tube: how it is bought and cut.
        sticks: in the order to cut them.
        solved: cost, bounds, what is proven.
        plain: the plan that lays every piece by its long points; None where the sticks would not do then.
    """

    pieces: StockPieces
    tube: Tube
    sticks: tuple[Stick, ...]
    solved: Solved
    plain: Solved | None

    @property
    def stock(self) -> str:
        """The name it is bought under."""
        return self.pieces.stock

    @property
    def bought(self) -> dict[float, int]:
        """How many sticks of each length to buy, by length in mm."""
        found: dict[float, int] = {}
        for stick in self.sticks:
            if stick.is_bought:
                found[stick.length] = found.get(stick.length, 0) + 1
        return dict(sorted(found.items()))

    @property
    def saved(self) -> float:
        """Tube saved by shared cuts against laying every piece by its long points, mm."""
        return sum(stick.saved for stick in self.sticks)

    @cached_property
    def longest_offcut(self) -> float:
        """The longest offcut left, mm."""
        return max((stick.offcut for stick in self.sticks), default=0.0)

    @property
    def changes(self) -> int:
        """How often the saw is set anew, from the first cut of the first stick to the last of the last."""
        return changes(self.sticks)


@dataclass(frozen=True, eq=False)
class StickPlan:
    """The plans of all stocks.

    Attributes:
        stocks: by name.
        left_out: members that have no piece.
        same_cut: end planes this close are made by one cut, rad.
    """

    stocks: tuple[StockPlan, ...]
    left_out: tuple[str, ...] = ()
    same_cut: float = 0.0

    @property
    def saved(self) -> float:
        """Tube saved by shared cuts, mm."""
        return sum(stock.saved for stock in self.stocks)
