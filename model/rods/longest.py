"""The longest straight rod that lies in a room."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from model.geometry import Array
from model.rods.reel_gap import parting
from model.rods.rod import Pose, Rod
from model.rods.room import BOUND, Room
from model.rods.seeds import Chords, seeds
from model.rods.settle import CLEAR, Settled, rolled, settle
from model.rods.soup import contacts

LINES, FEW, CLOSEST = 14, 5, 6
"""Lines that the search is begun on, steps taken on each, and the best that are followed to their end."""

SHRUNK = 0.8
"""A rod begins with this share of its line."""

ROLLS = 8
"""Ways a reel is hung to begin with."""

BEGUN = 20
"""Beginnings with a reel that are followed up, least overlap first."""

TURNED = 4
"""Of the longest bare rods found so many are tried the other way round."""

ENOUGH = 0.5
"""A reel that costs less length than this, mm, is not hung otherwise."""

LITTLE = 0.97
"""Where a reel costs more than the rest of this share, shorter beginnings are tried as well."""

PARTS = ((0.75, 0.0), (0.75, 1.0), (0.5, 0.0), (0.5, 0.5), (0.5, 1.0))
"""Shorter beginnings: what share of the line, and how far along it."""

TOUCHES = 0.05
"""Contacts within this, mm, are told as touching."""


@dataclass(frozen=True, eq=False)
class Lying:
    """A rod that lies in a room and can grow no longer there.

    Attributes:
        rod: as long as was found.
        pose: where it lies.
        held_by: names of the pieces it touches, those at the tip first.
        where: the point of the first of these contacts, `(3,) float`.
    """

    rod: Rod
    pose: Pose
    held_by: tuple[str, ...]
    where: Array

    @property
    def length(self) -> float:
        """Over all, mm."""
        return self.rod.length


def longest(room: Room, rod: Rod, near: Sequence[Pose] = ()) -> Lying | None:
    """The longest rod of a given thickness and reel that lies in a room; None where none of any length does.

    Every rod found is clear of everything, so that the length is never told too long. None longer lies near
    it; that none does elsewhere in the room is made likely by many beginnings, but not proved.

    Args:
        room: where it is to lie.
        rod: its thickness and reel; its own length does not count.
        near: poses to begin from instead, such as those of the room before a small change.
    """
    if near:
        return best(room, rod, (settle(room, rod, start) for start in near))
    plain = _bare(room, rod.bare)
    if rod.reel is None:
        return best(room, rod, plain)
    slack = best(room, rod.bare, plain)
    enough = np.inf if slack is None else slack.length - ENOUGH
    begun = [found.pose.shortened(SHRUNK) for found in sorted(plain, key=_by_length)[: 2 * TURNED]]
    first = [pose for _, pose in rolled(room, rod, begun, ROLLS, 1)[:CLOSEST]]
    soon = best(room, rod, _until(room, rod, first, enough))
    if soon is not None and soon.length >= enough:
        return soon  # the reel costs nothing
    return _longer(soon, _round_its_reel(room, rod, begun, enough))


def _bare(room: Room, bare: Rod) -> list[Settled]:
    """A rod without its reel settled on many lines: a few steps on each, the best to their end and turned."""
    lines = list(_along(seeds(room, min(bare.radii[0], 6.0), LINES)))
    tried = [settle(room, bare, pose, steps=FEW) for pose in lines]
    begun_on = sorted((found for found in tried if room.holds(found.pose)), key=_by_length)
    one_way = sorted((settle(room, bare, found.pose) for found in begun_on[:CLOSEST]), key=_by_length)
    return one_way + [settle(room, bare, found.pose.reversed(SHRUNK)) for found in one_way[:TURNED]]


def _round_its_reel(room: Room, rod: Rod, begun: Sequence[Pose], enough: float) -> Lying | None:
    """The longest begun where there is room for its reel, on shorter and shorter lines."""
    assert rod.reel is not None
    inner = list(_along(seeds(room, min(rod.reel.width / 2.0, rod.reel.height), LINES)))
    wide = [pose for line in (*inner, _middle(room)) for pose in (line, line.reversed(1.0))]
    poses = [*begun, *wide]
    starts = [pose for _, pose in rolled(room, rod, poses, ROLLS, 3)[:BEGUN]]
    found = _with_reel(room, rod, starts, enough)
    if found is not None and found.length > LITTLE * enough:
        return found
    short = [pose.part(share, place) for pose in poses for share, place in PARTS]
    clear = [pose for lack, pose in rolled(room, rod, short, ROLLS, 1)[:BEGUN] if lack < CLEAR]
    return _longer(found, _with_reel(room, rod, clear, enough))


def _longer(one: Lying | None, other: Lying | None) -> Lying | None:
    return max((own for own in (one, other) if own), key=lambda own: own.length, default=None)


def _with_reel(room: Room, rod: Rod, starts: Sequence[Pose], enough: float) -> Lying | None:
    """The longest begun from some poses: a few steps on each, then the best to their end."""
    tried = [settle(room, rod, pose, steps=FEW) for pose in starts]
    going = sorted((own for own in tried if room.holds(own.pose)), key=lambda own: own.short - own.length)
    return best(room, rod, _until(room, rod, [own.pose for own in going[:CLOSEST]], enough))


def _by_length(settled: Settled) -> float:
    return -settled.length if settled.short == 0.0 else 0.0


def _until(room: Room, rod: Rod, starts: Iterable[Pose], enough: float) -> Iterator[Settled]:
    """Rods settled one after the other until one is as long as without its reel."""
    for start in starts:
        found = settle(room, rod, start)
        yield found
        if found.short == 0.0 and found.length >= enough and room.holds(found.pose):
            return


def best(room: Room, rod: Rod, tried: Iterable[Settled]) -> Lying | None:
    """The longest of some rods that lies clear."""
    sound = sorted((s for s in tried if s.short == 0.0), key=lambda s: -s.length)
    for settled in sound:
        least = rod.ends if rod.reel is None else rod.reel.from_butt + rod.reel.length
        if settled.length > least and room.holds(settled.pose):
            return lying(room, rod.of_length(settled.length), settled.pose)
    return None


def lying(room: Room, rod: Rod, pose: Pose) -> Lying:
    """A rod in its pose with what it touches."""
    names, points = touched(room, rod, pose, TOUCHES)
    where = points[0] if len(points) else (pose.butt + pose.tip) / 2.0
    return Lying(rod, pose, names, where)


def touched(room: Room, rod: Rod, pose: Pose, reach: float) -> tuple[tuple[str, ...], Array]:
    """Names of the pieces within reach of a rod and where, `(n, 3)`: ends before sides, metal first."""
    found = contacts(room.soup, pose.butt, pose.tip, rod.radii, reach)
    owner, share, point = found.owner, found.share, found.point
    if rod.reel is not None:
        held = parting(room.soup, pose.reel_corners(rod), reach)
        owner = np.concatenate([owner, held.owner])
        share = np.concatenate([share, np.full(len(held.gap), 0.5)])
        point = np.concatenate([point, held.point])
    names = [room.soup.names[k] for k in owner]
    order = sorted(
        range(len(names)), key=lambda k: (names[k].startswith(BOUND), abs(share[k] - 0.5) < 0.499, -share[k])
    )
    first: dict[str, int] = {}
    for k in order:
        first.setdefault(names[k], k)
    return tuple(first), point[list(first.values())]


def _middle(room: Room) -> Pose:
    """A short rod in the middle of the room along its longer side."""
    around = shapely.get_coordinates(shapely.minimum_rotated_rectangle(room.area))[:4]
    long = max((around[1] - around[0], around[2] - around[1]), key=lambda side: float(np.hypot(*side)))
    middle = np.append(around.mean(axis=0), (room.low + room.high) / 2.0)
    half = np.append(long, 0.0) / 4.0
    return Pose.along(middle - half, middle + half)


def _along(lines: Chords) -> Iterator[Pose]:
    for start, end in zip(lines.start, lines.end, strict=True):
        middle, half = (start + end) / 2.0, SHRUNK / 2.0 * (end - start)
        if float(np.linalg.norm(half)) > CLEAR:
            yield Pose.along(middle - half, middle + half)


def lies(room: Room, rod: Rod, near: Sequence[Pose]) -> Pose | None:
    """A pose in which a rod of its own length lies in a room, looked for from some; None if none is found."""
    for start in near:
        share = min(1.0, (rod.length - rod.ends) / start.span)
        found = settle(room, rod, start.shortened(share), rod.length)
        if found.short == 0.0 and found.length >= rod.length - 1e-3 and room.holds(found.pose):
            return found.pose
    return None
