"""The shortest ways of runs through a boat, and what a hole would have to open where there is none.

ways = ways_of(boat)
for found in ways.route([Wanted("wires.bow_light", "wire", fuses, light, 6.0)]):
    ...  # a Run, or a NoWay
"""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, TypeAlias
from weakref import WeakKeyDictionary

import numpy as np
import numpy.typing as npt
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra

from model.geometry import Array
from model.ways.blocks import Blocks, slabs_of
from model.ways.bridges import bridges, parted
from model.ways.cover import Cover
from model.ways.entry import Entry, entry_of
from model.ways.finish import finished, given_run, no_way
from model.ways.passages import Passage
from model.ways.places import Ints, Links, Places, may_lie, places_of, priced, reaching
from model.ways.run import NoWay, Run, Wanted
from model.ways.straight import lacking_fall

if TYPE_CHECKING:
    from model.boat import Boat

__all__ = ["NoWay", "Run", "Wanted", "Ways", "ways_of"]

Stages: TypeAlias = list[list[list[int]]]
"""What a run goes through in order: an end, passages, points, an end; each as the ways it can be gone."""

SIZES = (4.0, 8.0, 16.0, 20.0, 26.0, 33.0, 42.0, 55.0)
"""Runs are laid by the places for the next of these radii, mm, so that ways are shared."""

LEAST = {"wire": 8.0}
"""Wires keep room for a bundle of this radius about them, mm."""

TURN = {"wire": 25.0, "hose": 60.0}
"""Going over to another piece is worth so much way, mm: it mostly takes two bends."""

FREE = 1.3
"""Way that is not along a piece counts this much more."""

BELOW_OPENING = 0.6
"""Way below the opening of a deck, where hands and gear go, counts this much more."""

OVER_REMOVABLE = 1.0
"""Way over a thing that is to be taken out counts this much more."""

IN_BILGE, BILGE = 1.0, 60.0
"""Way of a wire this near above the skin, mm, where water stands first, counts this much more."""

SAME = 0.01
"""Ends no further apart than this, mm, are one place."""

ABOUT = np.array(
    [
        (r * np.cos(a), r * np.sin(a), z)
        for r in (60.0, 130.0)
        for z in (0.0,)
        for a in np.arange(8) * np.pi / 4
    ]
    + [(0.0, 0.0, z) for z in (-80.0, -40.0, 40.0, 80.0)]
)
"""Steps from an end of a run at which it may first be held, mm."""

SHARED = 0.85
"""Way along which other wires lie too counts this share of itself: they lie in one bundle, under one clip."""

TERMINAL = 1e6
"""Links to ends of runs cost this, so that no run goes by way of another's end."""


@dataclass(frozen=True)
class _Alike:
    """What runs have in common that are searched together.

    Attributes:
        radius: of the places they are laid by, mm.
        kind: wire or hose.
        falls: whether they are to fall all along.
        narrow: passages that they do not go into.
    """

    radius: float
    kind: str
    falls: bool
    narrow: frozenset[str]


@dataclass(frozen=True, eq=False)
class _Net:
    """Places with the ends of runs and points about these.

    Attributes:
        points: places, then ends, then points about ends, `(n, 3)`.
        links: between all of them.
        number: of each end in `points`.
        ends: numbers of all ends.
    """

    points: Array
    links: Links
    number: dict[bytes, int]
    ends: range


class Ways:
    """The allowed ways of one boat."""

    def __init__(self, boat: Boat, passages: Sequence[Passage] | None = None) -> None:
        """Ways are worked out when they are first asked for.

        Args:
            boat: a finished boat.
            passages: in place of the boat's own.
        """
        self._boat = copy(boat)  # the ways are kept as long as the boat, and must not keep it themselves
        self.hull, self.units = boat.hull, boat.units
        self.entries: dict[tuple[bytes, float], Entry] = {}
        self.passages = boat.passages if passages is None else tuple(passages)
        self._places: dict[float, Places] = {}

    @cached_property
    def blocks(self) -> Blocks:
        """What stands in the way."""
        return Blocks(slabs_of(self._boat))

    @cached_property
    def cover(self) -> Cover:
        """What is under cover."""
        return Cover(self._boat)

    def places(self, radius: float) -> Places:
        """The places for runs of a radius, mm; made once."""
        if radius not in self._places:
            self._places[radius] = places_of(self._boat, self.blocks, self.cover, self.passages, radius)
        return self._places[radius]

    def route(self, wanted: Sequence[Wanted]) -> tuple[Run | NoWay, ...]:
        """The shortest way of each run, or why there is none, in the order given."""
        found: dict[int, Run | NoWay] = {}
        groups: dict[_Alike, list[int]] = {}
        for k, one in enumerate(wanted):
            if one.given is not None:
                found[k] = given_run(self, one)
            elif float(np.abs(one.start - one.end).max()) < SAME:
                found[k] = NoWay(one.name, one.kind, "both its ends lie in one place", one.start,
                                 "give it another end, or leave it out", place=one.place)  # fmt: skip
            else:
                narrow = frozenset(p.name for p in self.passages if p.least < one.diameter - 1e-6)
                groups.setdefault(_Alike(size_of(one), one.kind, one.falls, narrow), []).append(k)
        for alike, numbers in groups.items():
            own = [wanted[k] for k in numbers]
            found |= dict(zip(numbers, self._routed(alike, own), strict=True))
        return tuple(found[k] for k in range(len(wanted)))

    def _routed(self, alike: _Alike, wanted: Sequence[Wanted]) -> list[Run | NoWay]:
        """Runs of one thickness and kind."""
        radius, kind = alike.radius, alike.kind
        places = self.places(radius).without(alike.narrow)
        net = self._net(places, wanted)
        dear = self._dear(kind, net.points)[net.links.ends].mean(axis=1)
        weight = net.links.length * (np.where(net.links.along >= 0, 1.0, FREE) + dear)
        weight += np.where(net.links.along >= 0, 0.0, TURN.get(kind, TURN["hose"]))
        ends_here = ((net.links.ends >= net.ends.start) & (net.links.ends < net.ends.stop)).any(axis=1)
        weight += np.where(ends_here, TERMINAL, 0.0)
        free = net.links.price == 0.0
        stages_of = [_stages(one, places, net) for one in wanted]
        found_ways = _all_through(_Search(net, weight, free, alike.falls), stages_of)
        if kind == "wire":
            company = _company(net, found_ways)
            together = _Search(net, np.where(company > 1, SHARED, 1.0) * weight, free, alike.falls)
            found_ways = _all_through(together, stages_of)
        priced_too: _Search | None = None
        found: list[Run | NoWay] = []
        for one, stages, way in zip(wanted, stages_of, found_ways, strict=True):
            if way is not None:
                found.append(finished(self, one, places, net.points[way], way, net.ends))
                continue
            if priced_too is None:
                priced_too = self._with_holes(net, weight, radius)
            bought = None if stages is None else priced_too.through(stages)
            found.append(no_way(self, one, places, None if bought is None else net.points[bought]))
        return found

    def _dear(self, kind: str, points: Array) -> Array:
        """By what share way counts more at each place: below openings, over loose things, low down."""
        found = np.where(self.cover.below_opening(points), BELOW_OPENING, 0.0)
        for over in self.cover.over_removable(points).values():
            found[over] += OVER_REMOVABLE
        if kind == "wire":
            low = points[:, 2] - self.hull.bottom(points[:, 0], points[:, 1]) < BILGE
            found += np.where(low, IN_BILGE, 0.0)
        return found

    def _with_holes(self, net: _Net, weight: Array, radius: float) -> _Search:
        """The search over all links, those through holes to be made and over the open cockpit included."""
        apart = parted(net.links, len(net.points))
        pairs = bridges(net.points, apart)
        made = priced(self.blocks, self.cover, net.points, pairs, np.full(len(pairs), -1), radius)
        links = Links.joined([net.links, made])
        whole = np.concatenate([weight + net.links.price, made.length * FREE + made.price])
        return _Search(
            _Net(net.points, links, net.number, net.ends), whole, np.ones(len(whole), dtype=np.bool_)
        )

    def _net(self, places: Places, wanted: Sequence[Wanted]) -> _Net:
        """The places with every end and point on the way of the runs linked to them."""
        own: dict[bytes, Array] = {}
        for one in wanted:
            for point in (one.start, one.end):
                own.setdefault(key_of(point), entry_of(self, point, places.radius).inner)
            for via in one.via:
                if not isinstance(via, str):
                    own.setdefault(key_of(np.array(via)), np.array(via, dtype=np.float64))
        count = len(places.points)
        joins = np.array(list(own.values())).reshape(-1, 3)
        points = np.concatenate([places.points, joins, self._about(joins, places.radius)])
        asking = np.arange(count, len(points))
        pairs = reaching(points, asking, count)
        far = priced(
            self.blocks, self.cover, points, pairs, np.full(len(pairs), -1), places.radius, at_home=True
        )
        ends = range(count, count + len(joins))
        return _Net(points, Links.joined([places.links, far]), dict(zip(own, ends, strict=True)), ends)

    def _about(self, inner: Array, radius: float) -> Array:
        """Points about ends, so that a run can leave a fitting upward or aside before it goes its way."""
        found: Array = (inner[:, None] + ABOUT[None]).reshape(-1, 3)
        return np.asarray(found[may_lie(self.hull, self.blocks, self.cover, found, radius, rooms=False)])


def _all_through(search: _Search, stages: Sequence[Stages | None]) -> list[list[int] | None]:
    """The way of each run; None where there is none, or a passage it is to go by is not there."""
    return [None if own is None else search.through(own) for own in stages]


def _company(net: _Net, ways: Sequence[list[int] | None]) -> Ints:
    """How many of the ways go over each link, `(n,)`."""
    size = len(net.points)
    gone = [np.sort(np.column_stack([way[:-1], way[1:]]), axis=1) for way in ways if way and len(way) > 1]
    counts = np.zeros(len(net.links.length), dtype=np.int64)
    if gone:
        steps = np.concatenate(gone)
        keys, number = np.unique(steps[:, 0] * size + steps[:, 1], return_counts=True)
        own = np.sort(net.links.ends, axis=1)
        own_keys = own[:, 0] * size + own[:, 1]
        at = np.clip(np.searchsorted(keys, own_keys), 0, len(keys) - 1)
        counts = np.where(keys[at] == own_keys, number[at], 0)
    return counts


def _stages(one: Wanted, places: Places, net: _Net) -> Stages | None:
    """What a run goes through in order, each as the ways it can be gone; None if a passage is not there."""
    found = [[[net.number[key_of(one.start)]]]]
    for via in one.via:
        if not isinstance(via, str):
            found.append([[net.number[key_of(np.array(via))]]])
            continue
        own = next((places.first_of[n] for n in (via, f"passage.{via}") if n in places.first_of), None)
        if own is None:
            return None
        found.append([own.tolist(), own.tolist()[::-1]])
    return [*found, [[net.number[key_of(one.end)]]]]


class _Search:
    """Shortest ways over some of the links; what was searched from one place is kept."""

    def __init__(self, net: _Net, weight: Array, which: npt.NDArray[np.bool_], falls: bool = False) -> None:
        """Gathers the links.

        Args:
            net: places and links.
            weight: of each link.
            which: links that may be gone.
            falls: whether way that does not fall costs more, by what it lacks of its fall.
        """
        ends, weight = net.links.ends[which], weight[which]
        ends, weight = np.concatenate([ends, ends[:, ::-1]]), np.concatenate([weight, weight])
        if falls:
            weight = weight + lacking_fall(net.points[ends[:, 0]], net.points[ends[:, 1]])
        order = np.argsort(weight, kind="stable")
        ends, weight = ends[order], weight[order]
        size = len(net.points)
        _, first = np.unique(ends[:, 0] * size + ends[:, 1], return_index=True)
        i, j = ends[first].T
        self.graph: Any = csr_matrix((np.maximum(weight[first], 1e-6), (i, j)), shape=(size, size))
        self._from: dict[int, tuple[Array, Ints]] = {}

    def _searched(self, start: int) -> tuple[Array, Ints]:
        if start not in self._from:
            far, before = dijkstra(
                self.graph, directed=True, indices=np.array([start]), return_predecessors=True
            )
            self._from[start] = (far[0], before[0].astype(np.int64))
        return self._from[start]

    def through(self, stages: Stages) -> list[int] | None:
        """The cheapest way through all stages, each gone by one of its choices; None if there is none."""
        best: list[tuple[float, list[int]]] = [(0.0, list(choice)) for choice in stages[0]]
        for choices in stages[1:]:
            reached = []
            for choice in choices:
                told = [(cost + float(self._searched(way[-1])[0][choice[0]]), way) for cost, way in best]
                cost, way = min(told, key=lambda pair: pair[0])
                reached.append((cost, [*way, *self._back(way[-1], choice[0])[1:], *choice[1:]]))
            best = reached
        cost, way = min(best, key=lambda pair: pair[0])
        return way if np.isfinite(cost) else None

    def _back(self, start: int, end: int) -> list[int]:
        """The places from start to end; only the two where there is no way."""
        before = self._searched(start)[1]
        way = [end]
        while way[-1] != start:
            last = int(before[way[-1]])
            if last < 0:
                return [start, end]
            way.append(last)
        return way[::-1]


def key_of(point: Array) -> bytes:
    """What tells one end of a run from others."""
    return np.round(np.asarray(point, dtype=np.float64), 6).tobytes()


def size_of(one: Wanted) -> float:
    """The radius by whose places a run is laid, mm."""
    asked = max(one.diameter / 2.0, LEAST.get(one.kind, 0.0))
    return next((size for size in SIZES if size >= asked - 1e-6), asked)


_KEPT: WeakKeyDictionary[Boat, Ways] = WeakKeyDictionary()


def ways_of(boat: Boat) -> Ways:
    """The ways of a boat, kept as long as the boat is."""
    if boat not in _KEPT:
        _KEPT[boat] = Ways(boat)
    return _KEPT[boat]
