"""What a nest is made of: pieces to cut, stock to cut them from, and where each piece lies.

A sheet lies with its length along x and its width along y, the low corner of its box at the origin, mm.
Pieces are drawn on their face; a piece lies face up unless it is flipped.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import shapely

from model.flat_arcs import polygon_of
from parts.outline import CHORD, Array, Loop

QUARTERS = (0, 90, 180, 270)
"""Turns, degrees counter-clockwise, of a piece that no grain holds."""


@dataclass(frozen=True, eq=False)
class NestPiece:
    """One piece to be cut, by its name; pieces that are alike share a mark.

    Attributes:
        name: of the piece in the boat; no two are the same.
        mark: the piece mark.
        sheet: name of the sheet it is cut from.
        outline: seen on its face, mm.
        holes: openings in it.
        turns: how it may lie on the sheet, degrees counter-clockwise, of 0, 90, 180 and 270.
        may_flip: whether it may be cut face down.
        lines: to mark on it, each `(k, 2) float`, mm, such as the rulings it is rolled along.
    """

    name: str
    mark: str
    sheet: str
    outline: Loop
    holes: tuple[Loop, ...] = ()
    turns: tuple[int, ...] = QUARTERS
    may_flip: bool = False
    lines: tuple[Array, ...] = ()

    @cached_property
    def area(self) -> float:
        """Area of the metal, mm2."""
        return abs(self.outline.area) - sum(abs(hole.area) for hole in self.holes)

    @property
    def faces(self) -> tuple[bool, ...]:
        """The values that `Placement.flipped` may have."""
        return (False, True) if self.may_flip else (False,)


@dataclass(frozen=True, eq=False)
class Stock:
    """A sheet to buy or an offcut on hand.

    Attributes:
        label: its size, or the offcut's name.
        outline: its low corner at the origin, its length (its grain) along x, mm.
        holes: openings in an offcut.
        price: of one; None where no sheet of the material has a price; 0 for an offcut.
        quantity: how many there are; None for sheets to buy.
    """

    label: str
    outline: Loop
    holes: tuple[Loop, ...] = ()
    price: float | None = None
    quantity: int | None = None

    @classmethod
    def sheet(cls, label: str, width: float, length: float, price: float | None = None) -> Stock:
        """A whole sheet, bought as many times as needed."""
        return cls(label, Loop.rectangle(length, width, centre=(length / 2, width / 2)), (), price)

    @property
    def is_offcut(self) -> bool:
        """Whether it is on hand."""
        return self.quantity is not None

    @property
    def size(self) -> tuple[float, float]:
        """Length along x and width along y of its box, mm."""
        low_x, low_y, high_x, high_y = self.outline.bounds
        return high_x - low_x, high_y - low_y

    @cached_property
    def area(self) -> float:
        """Area of the metal, mm2."""
        return abs(self.outline.area) - sum(abs(hole.area) for hole in self.holes)

    @property
    def cost(self) -> float:
        """What it costs in the search: its price, or its area in m2 where there are no prices."""
        if self.is_offcut:
            return 0.0
        return self.area * 1e-6 if self.price is None else self.price

    @cached_property
    def polygon(self) -> shapely.Polygon:
        """Outline and holes as a shapely polygon."""
        return polygon_of(self.outline, self.holes)

    @cached_property
    def is_rectangle(self) -> bool:
        """Whether it is a plain rectangle along x and y."""
        length, width = self.size
        return not self.holes and self.area > length * width * (1 - 1e-9)


@dataclass(frozen=True, eq=False)
class Placement:
    """Where a piece lies: mirrored in x if flipped, then turned about the origin, then moved by (x, y)."""

    piece: NestPiece
    turn: int
    flipped: bool
    x: float
    y: float

    @property
    def matrix(self) -> Array:
        """The turn and mirror as `(2, 2) float`."""
        return turn_matrix(self.turn, self.flipped)

    @cached_property
    def loops(self) -> tuple[Loop, ...]:
        """Outline and holes on the sheet, arcs true."""
        offset = (self.x, self.y)
        return tuple(
            loop.transformed(self.matrix, offset) for loop in (self.piece.outline, *self.piece.holes)
        )

    @property
    def lines(self) -> list[Array]:
        """The lines to mark, on the sheet."""
        return [line @ self.matrix.T + (self.x, self.y) for line in self.piece.lines]

    def polygon(self, chord: float = CHORD) -> shapely.Polygon:
        """Outline and holes on the sheet as a shapely polygon."""
        outline, *holes = self.loops
        return polygon_of(outline, holes, chord)


def turn_matrix(turn: int, flipped: bool) -> Array:
    """Mirror in x if flipped, then a turn in whole quarters, `(2, 2) float`, exact."""
    cosine, sine = ((1, 0), (0, 1), (-1, 0), (0, -1))[turn // 90 % 4]
    turned = np.array([(cosine, -sine), (sine, cosine)], dtype=np.float64)
    return turned @ np.diag((-1.0, 1.0)) if flipped else turned


Box = tuple[float, float, float, float]
"""A rectangle along x and y: least x, least y, greatest x, greatest y, mm."""


@dataclass(frozen=True, eq=False)
class SheetNest:
    """One sheet with what is cut from it; `rest` is the largest rectangle left, None if there is none."""

    stock: Stock
    placements: tuple[Placement, ...]
    rest: Box | None = None

    @property
    def used(self) -> float:
        """Share of the sheet's area that becomes pieces, 0 to 1."""
        return sum(placement.piece.area for placement in self.placements) / self.stock.area

    @property
    def rest_area(self) -> float:
        """Area of the largest rectangle left, mm2."""
        return 0.0 if self.rest is None else (self.rest[2] - self.rest[0]) * (self.rest[3] - self.rest[1])


@dataclass(frozen=True, eq=False)
class MaterialNest:
    """All sheets of one material.

    Attributes:
        sheet: name of the material.
        sheets: offcuts first.
        bound: no plan costs less than this; in the unit of `cost`.
        why: what the bound rests on, in a few words.
        priced: whether costs are prices; else they are m2 bought.
    """

    sheet: str
    sheets: tuple[SheetNest, ...]
    bound: float
    why: str
    priced: bool

    @property
    def cost(self) -> float:
        """Of the sheets to buy: prices, or m2 where there are none."""
        return sum(nest.stock.cost for nest in self.sheets)

    @property
    def is_least(self) -> bool:
        """Whether no plan can cost less."""
        return self.cost <= self.bound * (1 + 1e-9) + 1e-9

    @property
    def used(self) -> float:
        """Share of all the sheets' area that becomes pieces, 0 to 1."""
        area = sum(nest.stock.area for nest in self.sheets)
        return sum(nest.used * nest.stock.area for nest in self.sheets) / area if area else 0.0


@dataclass(frozen=True, eq=False)
class NestPlan:
    """The nests of a boat.

    Attributes:
        materials: one for each sheet name.
        spacing: least metal between two pieces, mm.
        margin: least metal between a piece and the edge of the sheet, mm.
        seed: what the search drew its numbers from.
        cut_short: whether the clock stopped the search; a plan that was not comes out the same every time.
        notes: what went otherwise than it should.
    """

    materials: tuple[MaterialNest, ...]
    spacing: float
    margin: float
    seed: int
    cut_short: bool = False
    notes: tuple[str, ...] = field(default=())
