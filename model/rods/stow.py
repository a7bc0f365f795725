"""Several rods laid into a room one after the other, each pressed down and aside to leave room for the next.

What is found lies clear of everything and of each other, so the count is never told too high. That no other
arrangement holds more is not proved.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import cos, pi

import numpy as np

from model.geometry import FORWARD, UP, Array, cross, unit
from model.rods.longest import lies
from model.rods.rod import Pose, Rod
from model.rods.room import Room
from model.rods.seeds import seeds
from model.rods.settle import CLEAR, PRICE, limits, moved, rolled, solve
from model.rods.soup import Soup

SIDES = 8
"""A rod that lies already is taken as a bar of so many sides round it."""

LINES = 8
"""Lines of the empty room tried for each rod."""

ROLLS = 8
"""Ways its reel is hung."""

FOLLOWED = 4
"""Beginnings that are followed up."""

PRESSES = 25
PRESS_STEP, LEAST_PRESS = 30.0, 0.3
"""A rod is pressed in steps of at most and at least so much, mm."""

ROD = "rod."
"""Begins the name of a rod."""


@dataclass(frozen=True, eq=False)
class Stowed:
    """A rod of a list and where it lies among the others; `pose` is None where no place was found."""

    rod: Rod
    pose: Pose | None


def stow(room: Room, rods: Sequence[Rod], begin: Sequence[Pose]) -> list[Stowed]:
    """Rods laid into a room at once, as many as find a place; in the order given.

    Args:
        room: where they are to lie.
        rods: each as often as there are of it.
        begin: poses of single rods in the empty room, such as that of the longest.
    """
    order = sorted(range(len(rods)), key=lambda k: (-_bulk(rods[k]), -rods[k].length, k))
    found: dict[int, Stowed] = {}
    crowded, last = room, list(begin)
    given_up: list[Rod] = []
    lines = list(_fresh(room, min((rod.tip / 2.0 for rod in rods), default=1.0)))
    for k in order:
        rod = rods[k]
        hopeless = any(other.within(rod) for other in given_up)
        pose = None if hopeless else _laid(crowded, rod, last, lines)
        found[k] = Stowed(rod, pose)
        if pose is None:
            given_up.append(rod)
        else:
            crowded = with_rod(crowded, rod, pose)
            last = [pose, *last[:1]]
    return [found[k] for k in range(len(rods))]


def _bulk(rod: Rod) -> float:
    return 0.0 if rod.reel is None else rod.reel.width * rod.reel.height


def _laid(room: Room, rod: Rod, near: Sequence[Pose], lines: Sequence[Pose]) -> Pose | None:
    for fresh in (False, True):
        others = list(_fresh(room, rod.tip / 2.0)) if fresh else lines
        pose = lies(room, rod, _beginnings(room, rod, () if fresh else near, others))
        if pose is not None:
            return pressed(room, rod, pose)
    return None


def _beginnings(room: Room, rod: Rod, near: Sequence[Pose], lines: Sequence[Pose]) -> list[Pose]:
    """Beside rods that lie already, head to head and head to tail, and along other lines."""
    aside = 1.02 * (rod.butt if rod.reel is None else rod.reel.width)
    tried = [*lines, *(line.reversed(1.0) for line in lines)]
    for pose in near:
        side = unit(cross(pose.way, UP if abs(pose.way[2]) < 0.9 else FORWARD))
        for shift in (aside, -aside, 0.5 * aside, -0.5 * aside, 0.0):
            tried += [_shifted(own, shift * side) for own in (pose, pose.reversed(1.0))]
    fitted = [_of_length(pose, rod) for pose in tried]
    return [pose for _, pose in rolled(room, rod, fitted, ROLLS, 2)[:FOLLOWED]]


def _fresh(room: Room, radius: float) -> Iterator[Pose]:
    lines = seeds(room, radius, LINES)
    for start, end in zip(lines.start, lines.end, strict=True):
        if float(np.linalg.norm(end - start)) > CLEAR:
            yield Pose.along(start, end)


def _shifted(pose: Pose, by: Array) -> Pose:
    return Pose(pose.butt + by, pose.tip + by, pose.hang)


def _of_length(pose: Pose, rod: Rod) -> Pose:
    """The pose shortened to a rod's own length where it is longer."""
    return pose.shortened(min(1.0, (rod.length - rod.ends) / pose.span))


def pressed(room: Room, rod: Rod, pose: Pose) -> Pose:
    """A rod that lies clear, let down and slid aside as far as it goes, its length kept."""
    aside = cross(pose.way, UP)
    middle = (pose.butt + pose.tip) / 2.0
    if float(aside @ (np.append(_centre(room), middle[2]) - middle)) > 0.0:
        aside = -aside
    pull = -UP + 0.5 * aside
    held, step = limits(room, rod, pose, 3.0 * PRESS_STEP), PRESS_STEP
    for _ in range(PRESSES):
        bound = step * np.array([1.0] * 6 + [0.02 if rod.reel else 0.0])
        x = _press(held.gap, held.move, pose, pull, bound)
        tried = _of_span(moved(pose, x), pose.span)
        found = limits(room, rod, tried, 3.0 * step)
        fallen = float(pull @ (tried.butt + tried.tip - pose.butt - pose.tip))
        if found.short < CLEAR / 2.0 and fallen > 0.0:
            pose, held = tried, found
            if fallen < LEAST_PRESS:
                break
        else:
            step /= 3.0
            if step < LEAST_PRESS:
                break
    return pose


def _press(gap: Array, move: Array, pose: Pose, pull: Array, bound: Array) -> Array:
    cost = np.concatenate([-pull, -pull, [0.0, PRICE]])
    felt = gap - np.abs(move) @ bound < CLEAR
    rows = np.column_stack([move[felt], np.ones(int(felt.sum()))])
    stretch = np.concatenate([-pose.way, pose.way, [0.0, 0.0]])
    rows, floor = np.vstack([rows, stretch]), np.append(1.5 * CLEAR - gap[felt], 0.0)
    return solve(cost, rows, floor, np.append(-bound, 0.0), np.append(bound, 1.0))[:7]


def _of_span(pose: Pose, span: float) -> Pose:
    return pose.shortened(span / pose.span)


def _centre(room: Room) -> Array:
    x0, y0, x1, y1 = room.area.bounds
    return np.array([(x0 + x1) / 2.0, (y0 + y1) / 2.0])


def with_rod(room: Room, rod: Rod, pose: Pose) -> Room:
    """The room with a rod lying in it."""
    mesh = rod_triangles(rod, pose)
    soup = room.soup
    names = (*soup.names, f"{ROD}{rod.name}")
    more = Soup(
        np.concatenate([soup.triangles, mesh]),
        np.concatenate([soup.owner, np.full(len(mesh), len(names) - 1)]),
        names,
        np.concatenate([soup.closed, np.ones(len(mesh), dtype=np.bool_)]),
    )
    return replace(room, soup=more)


def rod_triangles(rod: Rod, pose: Pose, sides: int = SIDES) -> Array:
    """A closed bar of flat sides round a rod, and its reel's box, `(m, 3, 3)`, looking outward."""
    way = pose.way
    turn = 2.0 * pi * np.arange(sides) / sides
    out = np.cos(turn)[:, None] * pose.hang + np.sin(turn)[:, None] * cross(way, pose.hang)
    ends = pose.end_points(rod)
    grown = [radius / cos(pi / sides) for radius in _radii_at_ends(rod, pose)]
    butt, tip = ends[0] + grown[0] * out, ends[1] + grown[1] * out
    after = [np.roll(ring, -1, axis=0) for ring in (butt, tip)]
    walls = [np.stack([butt, after[0], tip], axis=1), np.stack([after[0], after[1], tip], axis=1)]
    caps = [
        np.stack([np.broadcast_to(ends[0], butt.shape), after[0], butt], axis=1),
        np.stack([np.broadcast_to(ends[1], tip.shape), tip, after[1]], axis=1),
    ]
    found = np.concatenate([*walls, *caps])
    box = pose.reel_corners(rod)
    return found if not len(box) else np.concatenate([found, box[BOX_FACES]])


BOX_FACES = np.array(
    [[0, 1, 2], [0, 2, 3], [4, 6, 5], [4, 7, 6], [0, 5, 1], [0, 4, 5], [1, 6, 2], [1, 5, 6],
     [2, 7, 3], [2, 6, 7], [3, 4, 0], [3, 7, 4]]
)  # fmt: skip


def _radii_at_ends(rod: Rod, pose: Pose) -> tuple[float, float]:
    """Radii of the cone round both balls in the planes square to it at the rod's ends, mm."""
    big, small = rod.radii
    sine = (big - small) / pose.span
    cosine: float = (1.0 - sine * sine) ** 0.5
    return big * (1.0 + sine) / cosine, small * (1.0 - sine) / cosine
