"""The pieces of one stick in rows whose neighbours share their cuts, worth all that `Savings` promises."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import TypeAlias

from cutlists.sticks.shared_cuts import Ports

End: TypeAlias = tuple[int, int]
"""(piece, end): end 0 or 1 of a piece by its place in the stick."""
Row: TypeAlias = list[tuple[int, int]]
"""Pieces from left to right, each with the end (0 or 1) that lies to the left."""


@dataclass
class _Joins:
    """Which end is joined to which; ends not named are free."""

    ports: Sequence[Ports]
    mate: dict[End, End] = field(default_factory=dict)

    def join(self, one: End, other: End) -> None:
        self.mate[one], self.mate[other] = other, one

    def part(self, one: End) -> None:
        del self.mate[self.mate.pop(one)]

    def vertex(self, end: End) -> int:
        return self.ports[end[0]][end[1]][0]

    def side(self, end: End) -> int:
        return self.ports[end[0]][end[1]][1]

    def at_vertices(self) -> dict[int, list[End]]:
        """Ends by vertex, in order."""
        found: dict[int, list[End]] = {}
        for piece in range(len(self.ports)):
            for end in ((piece, 0), (piece, 1)):
                if self.vertex(end) >= 0:
                    found.setdefault(self.vertex(end), []).append(end)
        return found

    def row_from(self, start: End) -> list[End]:
        """Left ends of the row that begins with the piece of `start`, until it stops or comes round."""
        row = [start]
        while True:
            piece, left = row[-1]
            following = self.mate.get((piece, 1 - left))
            if following is None or following == start:
                return row
            row.append(following)

    def rings(self) -> Iterator[list[End]]:
        """Closed rows."""
        seen: set[int] = set()
        for piece in range(len(self.ports)):
            if piece in seen:
                continue
            row = self.row_from((piece, 0))
            if self.mate.get((row[-1][0], 1 - row[-1][1])) == row[0]:
                seen.update(p for p, _ in row)
                yield row


def _join_all(joins: _Joins) -> None:
    """As many joins as each vertex allows."""
    for ends in joins.at_vertices().values():
        plain = [end for end in ends if joins.side(end) == 0]
        for one, other in zip(plain[::2], plain[1::2], strict=False):
            joins.join(one, other)
        plus = [end for end in ends if joins.side(end) > 0]
        minus = [end for end in ends if joins.side(end) < 0]
        for one, other in zip(plus, minus, strict=False):
            joins.join(one, other)


def _splice(joins: _Joins, ring: Sequence[End], by_vertex: dict[int, list[End]]) -> bool:
    """Open a ring into another row or ring at a vertex they share, no join lost; False if none is near."""
    inside = {piece for piece, _ in ring}
    for left in ring:
        one, other = left, joins.mate[left]
        for end in by_vertex[joins.vertex(left)]:
            if end[0] in inside:
                continue
            # Re-pairing keeps hands: `end` takes the place of whichever of the two has its side.
            kept, freed = (other, one) if joins.side(end) == joins.side(one) else (one, other)
            partner = joins.mate.get(end)
            joins.part(one)
            if partner is not None:
                joins.part(end)
                joins.join(freed, partner)
            joins.join(end, kept)
            return True
    return False


def rows_of(ports: Sequence[Ports], worth: Sequence[float], reversible: bool = True) -> list[Row]:
    """Pieces with these ports lined up with the greatest saving.

    Args:
        ports: of each piece of the stick, ends 0 and 1.
        worth: saving of a join at each vertex.
        reversible: whether a piece may be turned end for end; if not, end 0 always lies to the left.
    """
    joins = _Joins(ports)
    _join_all(joins)
    by_vertex = joins.at_vertices()
    done: set[int] = set()
    while True:
        ring = next((ring for ring in joins.rings() if ring[0][0] not in done), None)
        if ring is None:
            break
        if not _splice(joins, ring, by_vertex):
            joins.part(min(ring, key=lambda end: (worth[joins.vertex(end)], end)))
            done.update(piece for piece, _ in ring)
    return list(_rows(joins, reversible))


def _rows(joins: _Joins, reversible: bool) -> Iterator[Row]:
    seen: set[int] = set()
    for piece in range(len(joins.ports)):
        for left in (0, 1) if reversible else (0,):
            end = (piece, left)
            if piece in seen or end in joins.mate:
                continue
            row = joins.row_from(end)
            seen.update(p for p, _ in row)
            yield row
