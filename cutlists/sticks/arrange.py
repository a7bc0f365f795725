"""The pieces of a stick laid out: rows whose neighbours share their cuts, one row after the other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutlists.sticks.end_classes import slope
from cutlists.sticks.pieces import Piece, StockPieces
from cutlists.sticks.records import Placed
from cutlists.sticks.rows import Row, rows_of
from cutlists.sticks.saw_setting import Setting, setting_of
from cutlists.sticks.shared_cuts import Port
from model.end_cut import SawLimits
from model.geometry import Array

Laid = list[tuple[int, Array]]
"""Pieces from left to right, by place, each with its turn `(3, 3)` in stick axes."""


@dataclass(frozen=True, eq=False)
class Arranger:
    """Lays out sets of pieces of one stock.

    Attributes:
        stock: the pieces.
        kerf: mm.
        near: slopes that differ by less than this, over cos squared, are one cut, rad.
        limits: what the saw reaches.
    """

    stock: StockPieces
    kerf: float
    near: float
    limits: SawLimits

    def lay(
        self, pieces: Sequence[Piece], names: Sequence[str], start: float
    ) -> tuple[tuple[Placed, ...], float]:
        """The pieces placed from `start` on, and what their shared cuts save, mm.

        Rows share all the cuts that they can (`rows_of`).
        """
        rows = [self._turned(pieces, row) for row in self._rows(pieces)]
        laid = self._in_order(pieces, rows)
        placed: list[Placed] = []
        at, saved, open_end = start, 0.0, None
        for place, turn in laid:
            piece = pieces[place]
            left, right = self._ends(piece, turn)
            worth = self._worth(open_end, piece, turn, left)
            if placed:
                at += self.kerf - worth
            placed.append(Placed(piece, names[place], turn, at, worth > 0.0))
            at += piece.length
            saved += worth
            open_end = (right, self._port(piece, turn, "right"))
        return tuple(placed), saved

    def _rows(self, pieces: Sequence[Piece]) -> list[Row]:
        return rows_of([piece.ports for piece in pieces], self.stock.worth, self.stock.reversible)

    @staticmethod
    def _ends(piece: Piece, turn: Array) -> tuple[Array, Array]:
        """Slopes of the left and the right end."""
        one, other = (slope(turn @ normal) for normal in piece.normals)
        return (one, other) if turn[0, 0] > 0.0 else (other, one)

    @staticmethod
    def _port(piece: Piece, turn: Array, side: str) -> Port:
        return piece.ports[1 if (side == "right") == (turn[0, 0] > 0.0) else 0]

    def _worth(self, open_end: tuple[Array, Port] | None, piece: Piece, turn: Array, left: Array) -> float:
        """What is saved where a piece follows an open end; 0 when they share no cut."""
        if open_end is None:
            return 0.0
        slope_before, (vertex, side) = open_end
        own_vertex, own_side = self._port(piece, turn, "left")
        fits = vertex == own_vertex >= 0 and side == -own_side and self._same(slope_before, left)
        return self.stock.worth[vertex] if fits else 0.0

    def _same(self, one: Array, other: Array) -> bool:
        steep = 1.0 + float(one @ one)
        return bool(np.linalg.norm(one - other) <= (2.0 * self.near + 1e-9) * steep)

    def _turns(self, piece: Piece, left: int, before: Array | None) -> list[Array]:
        """Turns that put end `left` (0 or 1) to the left, and to `before` if given, the nearest first."""
        turns = [t for t in self.stock.section.turns() if (t[0, 0] > 0.0) == (left == 0)]
        if before is None:
            return turns
        if self.stock.section.is_round:
            return [_rolled_onto(turns[0], slope(turns[0] @ piece.normals[left]), before)]
        near = sorted(turns, key=lambda t: float(np.linalg.norm(slope(t @ piece.normals[left]) - before)))
        return [t for t in near if self._same(slope(t @ piece.normals[left]), before)]

    def _turned(self, pieces: Sequence[Piece], row: Row) -> Laid:
        """A row with each piece turned to the one before it."""
        laid: Laid = []
        before: Array | None = None
        for place, left in row:
            turn = self._turns(pieces[place], left, before)[0]
            before = self._ends(pieces[place], turn)[1]
            laid.append((place, turn))
        return laid

    def _in_order(self, pieces: Sequence[Piece], rows: Sequence[Laid]) -> Laid:
        """The rows one after the other: one that begins square first, one that ends square last.

        A stick that begins square needs no cut after its trim, and one that ends square parts its offcut.
        """
        reverse = next((t for t in self.stock.section.turns() if t[0, 0] < 0.0), None)
        turned = []
        for row in rows:
            starts, ends = self._square_ends(pieces, row)
            turned.append(_moved(row, reverse) if reverse is not None and ends and not starts else row)
        square = [self._square_ends(pieces, row) for row in turned]
        order = sorted(range(len(turned)), key=lambda i: (not square[i][0], square[i][1], turned[i][0][0]))
        if reverse is not None and len(order) > 1 and not square[order[-1]][1] and square[order[-1]][0]:
            turned[order[-1]] = _moved(turned[order[-1]], reverse)
        return [pair for i in order for pair in self._lain(pieces, turned[i])]

    def _square_ends(self, pieces: Sequence[Piece], row: Laid) -> tuple[bool, bool]:
        left = self._ends(pieces[row[0][0]], row[0][1])[0]
        right = self._ends(pieces[row[-1][0]], row[-1][1])[1]
        return self._setting(left).is_square, self._setting(right).is_square

    def _setting(self, m: Array) -> Setting:
        return setting_of(self.stock.section, m, self.limits)

    def _lain(self, pieces: Sequence[Piece], row: Laid) -> Laid:
        """The row rolled so that its first slanted cut is made with the stick lying as it is drawn."""
        ends = (m for place, turn in row for m in self._ends(pieces[place], turn))
        first = next((m for m in ends if not self._setting(m).is_square), None)
        if first is None:
            return row
        rolls = [turn for turn in self.stock.section.turns() if turn[0, 0] > 0.0]
        ways = [self._setting(slope(turn @ np.array([1.0, *first]))) for turn in rolls]
        best = min(range(len(rolls)), key=lambda i: (abs(ways[i].roll), i))
        return _moved(row, rolls[best])


def _moved(row: Laid, turn: Array) -> Laid:
    """A whole row rolled or turned end for end."""
    moved = [(place, turn @ own) for place, own in row]
    return moved if turn[0, 0] > 0.0 else moved[::-1]


def _rolled_onto(turn: Array, own: Array, wanted: Array) -> Array:
    """The turn with a roll about x after it that carries the slope `own` to `wanted`."""
    angle = float(np.arctan2(wanted[1], wanted[0]) - np.arctan2(own[1], own[0]))
    c, s = np.cos(angle), np.sin(angle)
    roll = np.array([(1.0, 0.0, 0.0), (0.0, c, -s), (0.0, s, c)])
    found: Array = roll @ turn
    return found
