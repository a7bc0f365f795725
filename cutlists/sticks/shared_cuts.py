"""How much tube the pieces of one stick save where neighbours share a cut, and how to line them up for it.

Each piece has two ports, its ends. A port is told by a vertex (an angle in a plane, whichever way the section
lets the piece be rolled or turned) and a side: 0 where any two ends of the vertex fit each other (a plain
mitre), +1 or -1 where only opposite hands do (a compound end and its true match; ends of a bar that cannot
be turned end for end). Which ends fit depends on the ports alone: a neighbour can always be rolled or turned
to the piece before it, so along a row of pieces every fit is kept.

So the pieces are edges between vertices and a row without an unshared join is a trail. At a vertex with n
ends of side 0 at most n // 2 joins are shared, at one with p and m ends of the two hands min(p, m); each is
worth the vertex's saving. All of that can be had at once: two rows that meet at a vertex can be joined
otherwise there, so that of all the pieces hanging together only a set with no end left over closes into a
ring, and a ring must be opened once, at its cheapest vertex. Hence the greatest saving is

    sum over vertices of saving x joins  -  sum over closed sets of their least saving

which is exact (Euler's trail cover with a weight on each vertex).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeAlias

Port: TypeAlias = tuple[int, int]
"""(vertex, side); vertex -1 is an end that shares no cut."""
Ports: TypeAlias = tuple[Port, Port]
LONE: Port = (-1, 0)


MOST = 50_000
"""Savings kept in mind."""


def joins_at(tally: tuple[int, int, int]) -> int:
    """The most shared joins at a vertex with so many ends of side 0, +1 and -1."""
    plain, plus, minus = tally
    return plain // 2 + min(plus, minus)


@dataclass
class Savings:
    """The savings of sets of pieces.

    Attributes:
        ports: the two ports of each kind of piece that may share.
        worth: what one shared join saves at each vertex, mm, more than 0.
    """

    ports: Sequence[Ports]
    worth: Sequence[float]
    _known: dict[tuple[tuple[int, int], ...], float] = field(default_factory=dict)
    _by_pairs: dict[tuple[int, ...], float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Number the pairs of ports that tell kinds apart."""
        numbers: dict[Ports, int] = {}
        self._pairs: list[Ports] = []
        self.pair_of: list[int] = []
        for one, other in self.ports:
            pair = (min(one, other), max(one, other))
            if pair == (LONE, LONE):
                self.pair_of.append(-1)
                continue
            if pair not in numbers:
                numbers[pair] = len(self._pairs)
                self._pairs.append(pair)
            self.pair_of.append(numbers[pair])
        self.any = bool(self._pairs)

    def of(self, counts: Mapping[int, int]) -> float:
        """The greatest saving of one stick that holds so many of each kind, mm."""
        if not self.any:
            return 0.0
        pairs: dict[int, int] = {}
        for kind, number in counts.items():
            pair = self.pair_of[kind]
            if pair >= 0 and number:
                pairs[pair] = pairs.get(pair, 0) + number
        if not pairs:
            return 0.0
        key = tuple(sorted(pairs.items()))
        found = self._known.get(key)
        if found is None:
            found = self._known[key] = self._saving(key)
        return found

    def of_pairs(self, counts: tuple[int, ...]) -> float:
        """The same, told by how many there are of each pair of ports (`pairs`)."""
        found = self._by_pairs.get(counts)
        if found is None:
            if len(self._by_pairs) > MOST:
                self._by_pairs.clear()
            told = tuple((pair, number) for pair, number in enumerate(counts) if number)
            found = self._by_pairs[counts] = self._saving(told)
        return found

    @property
    def pairs(self) -> tuple[Ports, ...]:
        """The pairs of ports that occur, numbered as in `pair_of`."""
        return tuple(self._pairs)

    def _saving(self, pairs: tuple[tuple[int, int], ...]) -> float:
        tallies = tally_ports((self._pairs[pair], number) for pair, number in pairs)
        total, open_at = 0.0, {LONE[0]}
        for vertex, (plain, plus, minus) in tallies.items():
            total += self.worth[vertex] * (plain // 2 + min(plus, minus))
            if plain % 2 or plus != minus:
                open_at.add(vertex)
        return total - sum(
            min(self.worth[vertex] for vertex in ring)
            for ring in _rings([self._pairs[pair] for pair, _ in pairs], open_at)
        )


def tally_ports(rows: Iterable[tuple[Ports, int]]) -> dict[int, tuple[int, int, int]]:
    """Ends at each vertex by side (0, +1, -1), from rows of (ports, how many)."""
    tallies: dict[int, list[int]] = {}
    for ports, number in rows:
        for vertex, side in ports:
            if vertex >= 0:
                tallies.setdefault(vertex, [0, 0, 0])[side] += number
    return {vertex: (tally[0], tally[1], tally[-1]) for vertex, tally in tallies.items()}


def _rings(rows: Iterable[Ports], open_at: set[int]) -> list[set[int]]:
    """Vertices that hang together without an end left over, so that their row closes.

    Args:
        rows: pairs of ports that occur.
        open_at: vertices with an end left over; that of lone ends too.
    """
    seen, rest = set(open_at), [(one[0], other[0]) for one, other in rows]
    while rest:
        # What touches an open vertex is open as a whole.
        left = [pair for pair in rest if pair[0] not in seen and pair[1] not in seen]
        if len(left) == len(rest):
            break
        seen.update(vertex for pair in rest if pair[0] in seen or pair[1] in seen for vertex in pair)
        rest = left
    rings: list[set[int]] = []
    for pair in rest:
        met = [ring for ring in rings if not ring.isdisjoint(pair)]
        rings = [ring for ring in rings if ring.isdisjoint(pair)]
        rings.append(set(pair).union(*met))
    return rings
