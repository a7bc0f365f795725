"""The pieces of a stick laid out: rows that share cuts, rows in the order that changes the saw least."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutlists.sticks.end_classes import slope
from cutlists.sticks.pieces import Piece, StockPieces
from cutlists.sticks.records import Placed
from cutlists.sticks.rows import Row, rows_of
from cutlists.sticks.saw_setting import setting_of
from cutlists.sticks.shared_cuts import Port, Ports
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
    """

    stock: StockPieces
    kerf: float
    near: float

    def lay(
        self, pieces: Sequence[Piece], names: Sequence[str], start: float
    ) -> tuple[tuple[Placed, ...], float]:
        """The pieces placed from `start` on, and what their shared cuts save, mm.

        Rows with the greatest saving come first (`rows_of`). The same trail cover, with the settings at the
        ends of the rows for vertices, then joins rows so that the saw is set anew least often between them.
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
        """Turns that put end `left` (0 or 1) to the left, and to `before` if that is given."""
        turns = [t for t in self.stock.section.turns() if (t[0, 0] > 0.0) == (left == 0)]
        if before is None:
            return turns
        if self.stock.section.is_round:
            return [_rolled_onto(turns[0], slope(turns[0] @ piece.normals[left]), before)]
        return [t for t in turns if self._same(slope(t @ piece.normals[left]), before)]

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
        """The rows one after the other, turned so that settings go on from row to row."""
        numbers: dict[object, int] = {}
        ports = [self._setting_ports(pieces, row, numbers) for row in rows]
        chains = rows_of(ports, [1.0] * (2 * len(numbers) + 1), self.stock.reversible)
        turned = [self._chain(pieces, rows, chain) for chain in chains]
        square = [self._square_ends(pieces, [pair for row in chain for pair in row]) for chain in turned]
        # A chain that begins square needs no cut after the trim; one that ends square parts the offcut.
        order = sorted(range(len(turned)), key=lambda i: (not square[i][0], square[i][1], turned[i][0][0][0]))
        laid: Laid = []
        roll = 0.0
        for row in (row for place in order for row in turned[place]):
            lain = self._lain_as(pieces, row, roll)
            laid += lain
            roll = self._last_roll(pieces, lain, roll)
        return laid

    def _chain(self, pieces: Sequence[Piece], rows: Sequence[Laid], chain: Row) -> list[Laid]:
        """The rows of a chain in order, turned end for end as it wants."""
        reverse = [t for t in self.stock.section.turns() if t[0, 0] < 0.0]
        found = [rows[place] if left == 0 else _moved(rows[place], reverse[0]) for place, left in chain]
        square_start, square_end = self._square_ends(pieces, [pair for row in found for pair in row])
        if reverse and square_end and not square_start:
            found = [_moved(row, reverse[0]) for row in reversed(found)]
        return found

    def _setting_ports(self, pieces: Sequence[Piece], row: Laid, numbers: dict[object, int]) -> Ports:
        """The settings at both ends of a row as ports, from how it lies and from how it lies reversed."""
        left = self._ends(pieces[row[0][0]], row[0][1])[0]
        right = self._ends(pieces[row[-1][0]], row[-1][1])[1]
        section = self.stock.section
        found = []
        for m, is_right in ((left, False), (right, True)):
            here = numbers.setdefault(setting_of(section, m).key, len(numbers))
            there = here
            if self.stock.reversible:
                reverse = next(t for t in section.turns() if t[0, 0] < 0.0)
                turned = slope(reverse @ np.array([1.0, *m]))
                there = numbers.setdefault(setting_of(section, turned).key, len(numbers))
            if here == there and self.stock.reversible:
                found.append((here, 0))
            else:
                to_right, to_left = (here, there) if is_right else (there, here)
                vertex = numbers.setdefault((min(here, there), max(here, there)), len(numbers))
                side = (1 if is_right else -1) if here == there else (1 if to_right < to_left else -1)
                found.append((vertex, side))
        return found[0], found[1]

    def _square_ends(self, pieces: Sequence[Piece], row: Laid) -> tuple[bool, bool]:
        left = self._ends(pieces[row[0][0]], row[0][1])[0]
        right = self._ends(pieces[row[-1][0]], row[-1][1])[1]
        section = self.stock.section
        return setting_of(section, left).is_square, setting_of(section, right).is_square

    def _slants(self, pieces: Sequence[Piece], row: Laid) -> list[Array]:
        """Slopes of the cuts that are not square, from left to right."""
        found = [m for place, turn in row for m in self._ends(pieces[place], turn)]
        return [m for m in found if not setting_of(self.stock.section, m).is_square]

    def _lain_as(self, pieces: Sequence[Piece], row: Laid, roll: float) -> Laid:
        """The row rolled so that its first slanted cut finds the stick lying as it does."""
        slants = self._slants(pieces, row)
        if not slants:
            return row
        for turn in self.stock.section.turns():
            if turn[0, 0] > 0.0:
                first = slope(turn @ np.array([1.0, *slants[0]]))
                if setting_of(self.stock.section, first).roll == roll:
                    return _moved(row, turn)
        return row

    def _last_roll(self, pieces: Sequence[Piece], row: Laid, roll: float) -> float:
        slants = self._slants(pieces, row)
        return setting_of(self.stock.section, slants[-1]).roll if slants else roll


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
