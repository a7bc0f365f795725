"""Lines through a room that leave much room for a rod: where the search for the longest one begins.

Lines are shot at random but always the same, each as a bundle of five, so that a slit thinner than a rod
counts for nothing; the best are shifted and turned a little and shot again, three times over.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from model.geometry import Array
from model.rods.room import Room
from model.rods.soup import Soup, crossings

FIRST, AGAIN, ROUNDS = 900, 360, 4
"""Lines shot at first, then in each further round; rounds in all."""

KEPT = 60
"""Lines that a round is bred from."""

SHIFT, TURN = 0.08, 0.08
"""How far lines are moved in the second round, of the room's size, and turned, rad; each round halves it."""

PARTS, FINEST = 5.0, 50.0
"""Each side of a room is parted in so many, none smaller than this, mm; lines between the same are alike."""

AT_ONCE = 60_000
"""Lines times triangles held against each other at once: what fits in a core's own memory."""

BUNDLE = np.array([[0.0, 0.0], [1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]])
"""Places of a bundle's lines, of its radius."""


@dataclass(frozen=True, eq=False)
class Chords:
    """Free stretches of lines: both ends `(n, 3)` each, and their lengths `(n,)`, mm."""

    start: Array
    end: Array
    length: Array

    def best(self, count: int) -> Chords:
        """The longest ones, longest first."""
        order = np.argsort(-self.length, kind="stable")[:count]
        return Chords(self.start[order], self.end[order], self.length[order])

    @classmethod
    def merged(cls, *parts: Chords) -> Chords:
        """All of some."""
        return cls(
            np.concatenate([p.start for p in parts]),
            np.concatenate([p.end for p in parts]),
            np.concatenate([p.length for p in parts]),
        )


def seeds(room: Room, radius: float, count: int) -> Chords:
    """The best of the lines tried, no two of them much alike.

    Args:
        room: where the rod is to lie.
        radius: of the bundles, mm.
        count: how many are wanted at most.
    """
    draw = np.random.default_rng(20)
    box = room.box
    size = box[1] - box[0]
    points = box[0] + draw.random((FIRST, 3)) * size
    # ways that suit the room's shape: long rooms get lines along them
    ways = draw.normal(size=(FIRST, 3)) * size
    found = _unlike(_chords_in(room, points, ways, radius), size, KEPT)
    for k in range(1, ROUNDS):
        if not len(found.length):
            break
        parents = np.arange(AGAIN) % len(found.length)
        step = 0.5 ** (k - 1)
        middles, ways = (found.start + found.end)[parents] / 2.0, (found.end - found.start)[parents]
        middles = middles + draw.normal(size=middles.shape) * size * SHIFT * step
        ways = ways + draw.normal(size=ways.shape) * found.length[parents][:, None] * TURN * step
        found = _unlike(Chords.merged(found, _chords_in(room, middles, ways, radius)), size, KEPT)
    return found.best(count)


def _unlike(found: Chords, size: Array, count: int) -> Chords:
    """The longest of those whose ends lie in the same two parts of the room, either way round."""
    cell = size / np.minimum(PARTS, np.maximum(1.0, np.floor(size / FINEST)))
    ends = np.floor(np.stack([found.start, found.end], axis=1) / cell).astype(np.int64)
    order = np.argsort(-found.length, kind="stable")
    keys = [tuple(sorted(map(tuple, pair))) for pair in ends[order].tolist()]
    first: dict[object, int] = {}
    for place, key in zip(order.tolist(), keys, strict=True):
        first.setdefault(key, place)
    kept = list(first.values())[:count]
    return Chords(found.start[kept], found.end[kept], found.length[kept])


def _chords_in(room: Room, points: Array, ways: Array, radius: float) -> Chords:
    """The chords of bundles about those points that are in the room; such as leave it are none of its own."""
    kept = room.within(points)
    found = chords(room.soup, points[kept], ways[kept], radius)
    inside = room.near(found.start) & room.near(found.end)
    return Chords(found.start[inside], found.end[inside], found.length[inside])


def chords(soup: Soup, points: Array, ways: Array, radius: float) -> Chords:
    """The free stretches of bundles of lines about points `(n, 3)` along ways `(n, 3)`, where there are any.

    A bundle's stretch is what is free on all its lines; one that begins or ends inside metal is none.
    """
    ways = ways / np.sqrt((ways**2).sum(axis=1))[:, None]
    aside = np.cross(ways, np.eye(3)[np.argmin(np.abs(ways), axis=1)])
    aside /= np.sqrt((aside**2).sum(axis=1))[:, None]
    other = np.cross(ways, aside)
    moved = radius * (BUNDLE[:, 0, None, None] * aside + BUNDLE[:, 1, None, None] * other)
    starts = (points + moved).reshape(-1, 3)
    tiled = np.tile(ways, (len(BUNDLE), 1))
    step = max(1, AT_ONCE // max(1, len(soup.triangles)))
    parts = [_free(soup, starts[k : k + step], tiled[k : k + step]) for k in range(0, len(starts), step)]
    back, ahead = (np.concatenate(column) for column in zip(*parts, strict=True))
    back = back.reshape(len(BUNDLE), -1).max(axis=0)
    ahead = ahead.reshape(len(BUNDLE), -1).min(axis=0)
    sound = np.isfinite(back) & np.isfinite(ahead)
    points, ways, back, ahead = points[sound], ways[sound], back[sound], ahead[sound]
    return Chords(points + back[:, None] * ways, points + ahead[:, None] * ways, ahead - back)


def _free(soup: Soup, starts: Array, ways: Array) -> tuple[Array, Array]:
    """The first crossings behind and ahead of points; infinite where there is none or it leaves metal."""
    hits = crossings(soup, starts, ways)
    ahead = np.where(hits > 0.0, hits, np.inf)
    back = np.where(hits <= 0.0, hits, -np.inf)
    first, last = ahead.argmin(axis=1), back.argmax(axis=1)
    rows = np.arange(len(starts))
    normal = soup.rays.normals.T
    leaves = soup.closed[first] & ((normal[first] * ways).sum(axis=1) > 0.0)
    enters = soup.closed[last] & ((normal[last] * ways).sum(axis=1) < 0.0)
    found_back = np.where(enters, -np.inf, back[rows, last])
    found_ahead = np.where(leaves, np.inf, ahead[rows, first])
    return found_back, found_ahead
