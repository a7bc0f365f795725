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


def joins_at(tally: tuple[int, int, int]) -> int:
    """The most shared joins at a vertex with so many ends of side 0, +1 and -1."""
    plain, plus, minus = tally
    return plain // 2 + min(plus, minus)


def left_over(tally: tuple[int, int, int]) -> int:
    """Ends of a vertex without a partner when it has its most joins."""
    return sum(tally) - 2 * joins_at(tally)


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

    @property
    def pairs(self) -> tuple[Ports, ...]:
        """The pairs of ports that occur, numbered as in `pair_of`."""
        return tuple(self._pairs)

    def _saving(self, pairs: tuple[tuple[int, int], ...]) -> float:
        tallies = tally_ports((self._pairs[pair], number) for pair, number in pairs)
        total = sum(self.worth[vertex] * joins_at(tally) for vertex, tally in tallies.items())
        for vertices, has_lone in _components(self._pairs[pair] for pair, _ in pairs):
            if not has_lone and not any(left_over(tallies[vertex]) for vertex in vertices):
                total -= min(self.worth[vertex] for vertex in vertices)
        return total


def tally_ports(rows: Iterable[tuple[Ports, int]]) -> dict[int, tuple[int, int, int]]:
    """Ends at each vertex by side (0, +1, -1), from rows of (ports, how many)."""
    tallies: dict[int, list[int]] = {}
    for ports, number in rows:
        for vertex, side in ports:
            if vertex >= 0:
                tallies.setdefault(vertex, [0, 0, 0])[side] += number
    return {vertex: (tally[0], tally[1], tally[-1]) for vertex, tally in tallies.items()}


def _components(rows: Iterable[Ports]) -> list[tuple[set[int], bool]]:
    """Vertices that hang together, and whether a lone end hangs on them."""
    parts: list[tuple[set[int], bool]] = []
    for ports in rows:
        vertices = {vertex for vertex, _ in ports if vertex >= 0}
        lone = any(vertex < 0 for vertex, _ in ports)
        apart = []
        for known, known_lone in parts:
            if known & vertices:
                vertices |= known
                lone = lone or known_lone
            else:
                apart.append((known, known_lone))
        parts = [*apart, (vertices, lone)]
    return parts
