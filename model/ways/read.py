"""The `passages:` of a boat file to numbers, and to ways through the boat's own pieces."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from model.boatfile.numbers import Key, Numbers
from model.boatfile.ways_schema import PassageEntry
from model.geometry import Array
from model.hull import Hull
from model.member import Member
from model.panel import Panel
from model.strip import Strip
from model.water.read import mirrored_name
from model.ways.passages import Passage
from parts.faults import did_you_mean
from parts.lengths import format_length

STUB = 20.0
"""A hole leads this far to each side of its piece, mm: room for the grommet and to turn."""

BESIDE = 30.0
"""The middle of a hole is told no further than this from its piece, mm."""


@dataclass(frozen=True, eq=False)
class Asked:
    """A passage as the file tells it: points `(n, 3)`, a single one where it is a hole."""

    passage: Passage
    path: tuple[Key, ...]


def read_passages(entries: Mapping[str, PassageEntry], numbers: Numbers, hull: Hull) -> tuple[Asked, ...]:
    """The passages of a file; faults are noted in `numbers`."""
    found: list[Asked] = []
    for name, entry in entries.items():
        one = _asked(name, entry, numbers, hull)
        if not entry.both_sides:
            found.append(one)
            continue
        hand, other = ("port", "starboard") if one.passage.points[0, 1] > 0 else ("starboard", "port")
        own = replace(one.passage, name=f"{one.passage.name}.{hand}")
        twin = replace(
            one.passage,
            name=f"{one.passage.name}.{other}",
            points=one.passage.points * np.array([1.0, -1.0, 1.0]),
            through=tuple(mirrored_name(piece) for piece in own.through),
        )
        found += [Asked(own, one.path), Asked(twin, one.path)]
    return tuple(found)


def _asked(name: str, entry: PassageEntry, numbers: Numbers, hull: Hull) -> Asked:
    path: tuple[Key, ...] = ("passages", name)
    points = _points(entry, numbers, path)
    if not np.isnan(points).any():
        key = "at" if entry.points is None else "points"
        _check_inside(points, hull, numbers, (*path, key), single=entry.points is None)
    if entry.points is None and len(entry.through) != 1:
        numbers.fault(
            (*path, "through"), "a hole goes through just one piece", "name the piece that it is in"
        )
    width, height = _size(entry, numbers, path)
    place = numbers.document.place(path)
    is_round = entry.diameter is not None
    passage = Passage(f"passage.{name}", points, width, height, is_round, tuple(entry.through), place)
    return Asked(passage, path)


def _points(entry: PassageEntry, numbers: Numbers, path: tuple[Key, ...]) -> Array:
    if (entry.at is None) == (entry.points is None):
        numbers.fault(
            path, "a passage lies at one place", "give either `at` of a hole, or `points` of a tube"
        )
        return np.full((1, 3), math.nan)
    if entry.at is not None:
        return numbers.point(entry.at, *path, "at")[None]
    assert entry.points is not None
    points = np.array([numbers.point(p, *path, "points", i) for i, p in enumerate(entry.points)])
    for i in np.flatnonzero(np.sqrt((np.diff(points, axis=0) ** 2).sum(axis=1)) < 1.0):
        numbers.fault(
            (*path, "points", int(i) + 1), "the point is the same as the one before it", "leave it out"
        )
    return points


def _check_inside(points: Array, hull: Hull, numbers: Numbers, path: tuple[Key, ...], single: bool) -> None:
    """Notes points that are not within the hull."""
    bottom = hull.bottom(points[:, 0], points[:, 1])
    for i in np.flatnonzero(~(points[:, 2] >= bottom - 1.0)):
        where = path if single else (*path, int(i))
        numbers.fault(
            where, "the point lies outside the hull", "give x forward, y to port, z up, inside the skin"
        )


def _size(entry: PassageEntry, numbers: Numbers, path: tuple[Key, ...]) -> tuple[float, float]:
    if entry.diameter is not None:
        if entry.width is not None or entry.height is not None:
            numbers.fault(path, "its size is told twice", "give `diameter`, or `width` and `height`")
        size = numbers.positive(entry.diameter, *path, "diameter")
        return size, size
    if entry.width is None or entry.height is None:
        numbers.fault(path, "its size is missing", "give `diameter`, or `width` and `height`")
        return math.nan, math.nan
    return numbers.positive(entry.width, *path, "width"), numbers.positive(entry.height, *path, "height")


def passages_of(
    asked: Sequence[Asked],
    panels: Sequence[Panel],
    members: Sequence[Member],
    strips: Sequence[Strip],
    numbers: Numbers,
) -> tuple[Passage, ...]:
    """The passages with holes led to both sides of their pieces; names that are not there are faults."""
    own: dict[str, Panel | Member] = {p.name: p for p in panels} | {m.name: m for m in members}
    known = [*own, *(s.name for s in strips)]
    found = []
    for one in asked:
        passage = one.passage
        for i, name in enumerate(passage.through):
            if name not in known:
                right = did_you_mean(name, known)
                numbers.fault((*one.path, "through", i), f"there is no piece called '{name}'", right)
        if len(passage.points) == 1 and passage.through and passage.through[0] in own:
            piece = own[passage.through[0]]
            passage = _led_through(passage, piece, numbers, (*one.path, "at"))
        if len(passage.points) > 1:
            found.append(passage)
    return tuple(found)


def _led_through(passage: Passage, piece: Panel | Member, numbers: Numbers, path: tuple[Key, ...]) -> Passage:
    """A hole as a short way square through its piece."""
    at = passage.points[0]
    local = piece.frame.to_frame(at)
    if isinstance(piece, Panel):
        axis, low, high = 2, -piece.sheet.thickness, 0.0
    else:
        half = np.array([0.0, piece.section.width / 2.0, piece.section.height / 2.0])
        axis = 1 if abs(float(piece.frame.y[2])) < abs(float(piece.frame.z[2])) else 2
        low, high = -half[axis], half[axis]
    off = max(low - float(local[axis]), float(local[axis]) - high)
    if off > BESIDE:
        told = format_length(off, numbers.units)
        numbers.fault(path, f"it lies {told} from {piece.name}", "give a place on the piece it is through")
    ends = np.tile(local, (2, 1))
    ends[:, axis] = low - STUB, high + STUB
    return replace(passage, points=piece.frame.to_boat(ends))
