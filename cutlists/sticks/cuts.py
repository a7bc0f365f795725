"""The cuts that take the pieces out of a stick, place by place from its left end to its right.

Between two pieces that share no cut the metal is one kerf long at their long points. Where either of the two
ends is square, its own cut parts them and the other end is cut after it. Where both slant, the left piece's
cut parts them if the blade stays clear of the right piece; else they are first parted square.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from cutlists.sticks.end_classes import slope, span
from cutlists.sticks.knapsack import EPS
from cutlists.sticks.records import Cut, Placed, What
from cutlists.sticks.saw_setting import SQUARE, setting_of
from model.end_cut import SawLimits
from model.geometry import Array
from parts.section import Section

LEVEL = np.zeros(2)


@dataclass(frozen=True, eq=False)
class CutMaker:
    """Makes the cuts of sticks of one section with a blade of `kerf` mm in a saw that reaches so far."""

    section: Section
    kerf: float
    limits: SawLimits

    def chains(
        self, placed: Sequence[Placed], length: float, trim: float, parts_offcut: bool
    ) -> list[tuple[Cut, ...]]:
        """The cuts at each place: before the first piece, between neighbours, after the last.

        Those of one place must be made in their order, which keeps the blade off the pieces beside it.

        Args:
            placed: pieces from left to right.
            length: of the stick, mm.
            trim: taken off each end, mm.
            parts_offcut: whether what is left at the right is to end square.
        """
        between = [tuple(self._between(one, other)) for one, other in pairwise(placed)]
        return [self._first(placed[0], trim), *between, self._last(placed[-1], length, parts_offcut)]

    def _first(self, piece: Placed, trim: float) -> tuple[Cut, ...]:
        trimmed = (Cut("trim", trim, LEVEL, -1, SQUARE, ("", piece.piece.mark)),) if trim > EPS else ()
        if self._is_square(piece, "left"):
            return trimmed
        return *trimmed, self._end(piece, "left")

    def _last(self, piece: Placed, length: float, parts_offcut: bool) -> tuple[Cut, ...]:
        is_square = self._is_square(piece, "right")
        if is_square and piece.end >= length - EPS:
            return ()
        parted = (self._part(piece),) if parts_offcut and not is_square else ()
        return *parted, self._end(piece, "right")

    def _is_square(self, placed: Placed, side: str) -> bool:
        return setting_of(self.section, self._slope(placed, side), self.limits).is_square

    @staticmethod
    def _slope(placed: Placed, side: str) -> Array:
        return slope(placed.normal("left" if side == "left" else "right"))

    def _between(self, one: Placed, other: Placed) -> Iterator[Cut]:
        if other.shares:
            yield self._shared(one, other, self._slope(one, "right"))
            return
        squares = self._is_square(one, "right"), self._is_square(other, "left")
        if all(squares):
            yield self._shared(one, other, LEVEL)
        elif squares[1]:
            yield from (self._end(other, "left"), self._end(one, "right"))
        else:
            if not squares[0] and not self._clears(one, other):
                yield self._part(one)
            yield from (self._end(one, "right"), self._end(other, "left"))

    def _clears(self, one: Placed, other: Placed) -> bool:
        """Whether the blade that cuts the right end of `one` stays off `other`, on every fibre."""
        m, n = self._slope(one, "right"), self._slope(other, "left")
        reach = self.section.outer.support(np.stack([-m, n, n - m]))
        # The planes are x = one.end - reach(-m) - m . p and x = other.start + reach(n) - n . p.
        apart = other.start + reach[1] - one.end + reach[0] - reach[2]
        return bool(apart >= self.kerf * float(np.sqrt(1.0 + m @ m)) - EPS)

    def _shared(self, one: Placed, other: Placed, m: Array) -> Cut:
        return self._cut("shared", one.end, m, 1, (one.piece.mark, other.piece.mark))

    def _part(self, one: Placed) -> Cut:
        return self._cut("part", one.end, LEVEL, 1, ("", ""))

    def _end(self, placed: Placed, side: str) -> Cut:
        m, mark = self._slope(placed, side), placed.piece.mark
        if side == "left":
            return self._cut("end", placed.start, m, -1, ("", mark))
        return self._cut("end", placed.end, m, 1, (mark, ""))

    def _cut(self, what: What, at: float, m: Array, blade: int, marks: tuple[str, str]) -> Cut:
        setting = setting_of(self.section, m, self.limits)
        return Cut(what, at, LEVEL if setting.is_square else m, blade, setting, marks)


def short_point(section: Section, cut: Cut) -> float:
    """Where the short point of the end is, x in mm: towards the piece by the span of the cut."""
    return cut.at - cut.blade * span(section, cut.slope)


def long_edge(cut: Cut) -> str:
    """The edge of the stick, as drawn, that has the long point: far, near, top, bottom; empty if square.

    The right end of a piece reaches furthest where m . (y, z) is least, the left end where it is greatest.
    """
    if cut.setting.is_square:
        return ""
    y, z = -cut.blade * cut.slope
    steep = float(np.abs(cut.slope).max())
    words = [name for part, name in ((y, "far" if y > 0 else "near"), (z, "top" if z > 0 else "bottom"))
             if abs(part) > 0.02 * steep]  # fmt: skip
    return " ".join(words)
