"""Places where a run of one thickness may be held, and the links between them.

A link has a length, what it runs along, and the pieces it would go through. Those that go through nothing are
the allowed ways; the others are what a new hole would open.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
from scipy.spatial import cKDTree

from model.geometry import Array
from model.hull import Hull
from model.ways.blocks import Blocks
from model.ways.cover import Cover
from model.ways.lines import Line, lines_of
from model.ways.passages import Passage

if TYPE_CHECKING:
    from model.boat import Boat

Ints = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]

CLIP = 1.5
"""A clip or its cushion holds a run this far off what it is fixed to, mm (common practice, 1/16 in)."""

GIVE = 1.0
"""Lines that keep the stand-off are told clear by this much less, mm."""

NEAR = 170.0
"""From a place to others this near, mm, a run goes over from one piece to the next."""

FAR = 457.2
"""No run hangs free over more than this, mm: held every 18 in, common practice on small craft."""

OWN, OTHER = 3, 2
"""So many of the nearest places of the same piece, and of each other piece, are linked to."""

CELL = 150.0
"""Of the places of a piece within one cell, mm, one reaches out to far pieces."""

ON_FACE = 0.5
"""A point no deeper in a thing than this, mm, lies on its face."""

BESIDE = 40.0
"""A fitting within this of where a run ends, mm, is the one that it ends at."""

OPEN = "open"

PRICES = {"sheet": 4e3, "member": 9e3, OPEN: 3e3, "well": 1e5}
"""What a hole is worth in mm of way, by what it goes through; other kinds are never gone through."""

NEVER = 1e9


@dataclass(frozen=True, eq=False)
class Links:
    """Links between places: `ends` `(n, 2)`, `length` and `price` `(n,)` mm, `along` a piece or -1."""

    ends: Ints
    length: Array
    price: Array
    along: Ints

    @classmethod
    def joined(cls, parts: Sequence[Links]) -> Links:
        """All of them."""
        return cls(
            *(np.concatenate([getattr(p, f) for p in parts]) for f in ("ends", "length", "price", "along"))
        )

    def kept(self, which: Flags) -> Links:
        """Some of them."""
        return Links(self.ends[which], self.length[which], self.price[which], self.along[which])


@dataclass(frozen=True, eq=False)
class Places:
    """All places for runs up to a thickness.

    Attributes:
        radius: of the runs, mm.
        points: `(n, 3)`.
        piece: number in `names` of what each is held by, `(n,)`.
        names: pieces and passages.
        links: between them.
        first_of: for each passage, its places in order.
    """

    radius: float
    points: Array
    piece: Ints
    names: tuple[str, ...]
    links: Links
    first_of: dict[str, Ints]

    def without(self, passages: frozenset[str]) -> Places:
        """The same with some passages shut."""
        shut = [self.first_of[name] for name in passages if name in self.first_of]
        if not shut:
            return self
        open_: Flags = np.asarray(~np.isin(self.links.ends, np.concatenate(shut)).any(axis=1))
        kept = {name: own for name, own in self.first_of.items() if name not in passages}
        return replace(self, links=self.links.kept(open_), first_of=kept)


def places_of(boat: Boat, blocks: Blocks, cover: Cover, passages: Sequence[Passage], radius: float) -> Places:
    """The places of a boat for runs of a radius, mm."""
    lines = lines_of(boat, radius + CLIP)
    names = list(dict.fromkeys(line.piece for line in lines))
    number = {name: k for k, name in enumerate(names)}
    points, own, pairs, along = _numbered(lines, number)
    good = may_lie(boat.hull, blocks, cover, points, radius)
    index = np.where(good, np.cumsum(good) - 1, -1)
    pairs = index[pairs]
    kept = (pairs >= 0).all(axis=1)
    points, own, pairs, along = points[good], own[good], pairs[kept], along[kept]
    hops = _hops(points, own)
    hops = hops[~np.isin(_key(hops, len(points)), _key(pairs, len(points)))]
    ends = np.concatenate([pairs, hops])
    along = np.concatenate([along, np.full(len(hops), -1)])
    links = priced(blocks, cover, points, ends, along, radius)
    return _with_passages(Places(radius, points, own, tuple(names), links, {}), blocks, cover, passages)


def _numbered(lines: Sequence[Line], number: dict[str, int]) -> tuple[Array, Ints, Ints, Ints]:
    """Places of all lines with their pieces, and the links along lines with theirs."""
    size = np.array([len(line.points) for line in lines])
    piece = np.array([number[line.piece] for line in lines])
    starts = np.cumsum(size) - size
    pairs = np.concatenate([line.pairs + start for line, start in zip(lines, starts, strict=True)])
    along = np.repeat(piece, [len(line.pairs) for line in lines])
    return np.concatenate([line.points for line in lines]), np.repeat(piece, size), pairs, along


def may_lie(
    hull: Hull, blocks: Blocks, cover: Cover, points: Array, radius: float, rooms: bool = True
) -> Flags:
    """Which of `(n, 3)` points are under cover, inside the skin and clear of all; of `rooms` too if asked."""
    good = cover.covered(points)
    good[good] = ~cover.in_well(points[good])
    ask = np.flatnonzero(good)
    hit, slab = blocks.hits(points[ask], points[ask], radius + CLIP - GIVE)
    good[ask[hit if rooms else hit[blocks.kinds[slab] != "room"]]] = False
    good[good] = hull.gap(points[good], ends=True) >= radius + CLIP - GIVE
    return good


def _key(pairs: Ints, count: int) -> Ints:
    """A number for each pair whichever way round."""
    found: Ints = pairs.min(axis=1) * count + pairs.max(axis=1)
    return found


def _hops(points: Array, own: Ints) -> Ints:
    """Pairs of places between which a run may go over, near ones and far ones."""
    if len(points) < 2:
        return np.zeros((0, 2), dtype=np.int64)
    every = np.arange(len(points))
    near = _nearest(points, own, every, every, NEAR, 32, (OWN, OTHER))
    cells = np.column_stack([own, np.floor(points / CELL).astype(np.int64)])
    sparse = np.sort(np.unique(cells, axis=0, return_index=True)[1])
    far = _nearest(points, own, sparse, sparse, FAR, 48, (0, 1))
    found = np.concatenate([near, far])
    return found[np.unique(_key(found, len(points)), return_index=True)[1]]


def _nearest(
    points: Array, own: Ints, asking: Ints, among: Ints, reach: float, most: int, kept: tuple[int, int]
) -> Ints:
    """For each place that asks, the nearest of its own piece and of each other piece, as pairs."""
    tree = cKDTree(points[among])
    far, found = tree.query(points[asking], k=min(most, len(among)), distance_upper_bound=reach)
    far, found = np.reshape(far, (len(asking), -1)), np.reshape(found, (len(asking), -1))
    row, column = np.nonzero(np.isfinite(far) & (far > 1e-6))
    start, end, length = asking[row], among[found[row, column]], far[row, column]
    order = np.lexsort((length, own[end], start))
    start, end = start[order], end[order]
    group = np.diff(start, prepend=-1).astype(bool) | np.diff(own[end], prepend=-1).astype(bool)
    firsts = np.flatnonzero(group)
    rank = np.arange(len(start)) - np.repeat(firsts, np.diff(np.append(firsts, len(start))))
    limit = np.where(own[start] == own[end], kept[0], kept[1])
    return np.stack([start, end], axis=1)[rank < limit]


def priced(
    blocks: Blocks,
    cover: Cover,
    points: Array,
    ends: Ints,
    along: Ints,
    radius: float,
    at_home: bool = False,
) -> Links:
    """Links with their lengths and what they go through; those that nothing could open are left out.

    With `at_home` the first end of each link may lie against things: it is only asked to stay out of them,
    and the room of a fitting beside it counts for nothing.
    """
    a, b = points[ends[:, 0]], points[ends[:, 1]]
    price = np.zeros(len(ends))
    segment, slab = blocks.hits(a, b, radius + CLIP - GIVE)
    if at_home:
        kept = ~home(blocks, a, b, segment, slab, radius)
        segment, slab = segment[kept], slab[kept]
    each = np.array([PRICES.get(kind, NEVER) for kind in blocks.kinds])
    np.add.at(price, segment, each[slab])
    inside = np.flatnonzero(price < NEVER)
    middle = (a[inside] + b[inside]) / 2.0
    price[inside] += np.where(cover.covered(middle), 0.0, PRICES[OPEN])
    price[inside] += np.where(cover.in_well(middle), PRICES["well"], 0.0)
    length = np.sqrt(((b - a) ** 2).sum(axis=1))
    return Links(ends, length, price, along).kept(price < NEVER)


def home(blocks: Blocks, a: Array, b: Array, segment: Ints, slab: Ints, radius: float) -> Flags:
    """Which of the hits are of things that the segments' first ends lie against, without going into them."""
    count = len(blocks.slabs)
    asked, segment = np.unique(segment, return_inverse=True)
    a, b = a[asked], b[asked]
    beside = _pairs_of(blocks.hits(a, a, radius + CLIP), count)
    own = _pairs_of(blocks.hits(a, a, BESIDE), count)
    through = _pairs_of(blocks.hits(a, b, -ON_FACE), count)
    inside = _pairs_of(blocks.hits(a, a, -ON_FACE), count)
    hit = segment * count + slab
    room = blocks.kinds[slab] == "room"
    leaves = np.isin(hit, beside) & ~np.isin(hit, through)
    held = ~np.isin(blocks.kinds[slab], ("member", "rib", "stringer"))
    found: Flags = leaves | (room & np.isin(hit, own)) | (held & np.isin(hit, inside))
    return found


def _pairs_of(hits: tuple[Ints, Ints], count: int) -> Ints:
    found: Ints = hits[0] * count + hits[1]
    return found


def _with_passages(places: Places, blocks: Blocks, cover: Cover, passages: Sequence[Passage]) -> Places:
    """The places with those of passages, and links to them; whether a run goes in is for others to say."""
    points, piece, names = [places.points], [places.piece], list(places.names)
    links, first_of = [places.links], {}
    count = len(places.points)
    for passage in passages:
        new = np.arange(count, count + len(passage.points))
        first_of[passage.name] = new
        points.append(passage.points)
        piece.append(np.full(len(new), len(names)))
        pairs = np.stack([new[:-1], new[1:]], axis=1)
        length = np.sqrt((np.diff(passage.points, axis=0) ** 2).sum(axis=1))
        links.append(Links(pairs, length, np.zeros(len(pairs)), np.full(len(pairs), len(names))))
        names.append(passage.name)
        count += len(new)
    whole = np.concatenate(points)
    ends = [int(e) for new in first_of.values() for e in (new[0], new[-1])]
    if ends:
        pairs = reaching(whole, np.array(ends), len(places.points))
        links.append(
            priced(blocks, cover, whole, pairs, np.full(len(pairs), -1), places.radius, at_home=True)
        )
    return Places(places.radius, whole, np.concatenate(piece), tuple(names), Links.joined(links), first_of)


def reaching(points: Array, asking: Ints, count: int, most: int = 64, reach: float = FAR) -> Ints:
    """Pairs of each place that asks with the nearest of the first `count` places and of those that ask."""
    if not len(asking):
        return np.zeros((0, 2), dtype=np.int64)
    among = np.concatenate([np.arange(count), asking])
    tree = cKDTree(points[among])
    far, found = tree.query(points[asking], k=min(most, len(among)), distance_upper_bound=reach)
    far, found = np.reshape(far, (len(asking), -1)), np.reshape(found, (len(asking), -1))
    row, column = np.nonzero(np.isfinite(far))
    pairs: Ints = np.stack([asking[row], among[found[row, column]]], axis=1)
    return np.asarray(pairs[pairs[:, 0] != pairs[:, 1]])
