"""Frame members as bars in the plane of a deck, and how far a new bar runs before it meets one.

All of a deck's frame lies in one plane, so fitting it is plane geometry: a bar is an axis, a half width
and a cut line at each end. Bars become members only when every one has its place.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from model.geometry import Array
from parts.section import Section

GRAZE = 0.05
"""A bar's outermost probing lines lie this far inside its faces, mm: flush neighbours do not stop it."""

SAME_LINE = 1e-4
"""Faces closer than this, mm, are one face."""

SNUG = 0.3
"""An end is held off its face by no more than this, mm, to pass what just reaches in beside it."""


def left_of(direction: Array) -> Array:
    """The unit vector a quarter turn to the left, `(..., 2)`."""
    if direction.ndim == 1:  # np.stack costs more than the arithmetic
        return np.array((-direction[1], direction[0]))
    return np.stack([-direction[..., 1], direction[..., 0]], axis=-1)


def cross(a: Array, b: Array) -> Array:
    """The scalar cross product of plane vectors `(..., 2)`."""
    found: Array = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
    return found


@dataclass(frozen=True, eq=False)
class Cut:
    """The line `normal . p = offset` in which a bar ends; the normal points out of the metal.

    `meets` names the bar it ends on; `kind` is the joint: corner, tee or free.
    """

    normal: Array
    offset: float
    kind: str = "free"
    meets: str | None = None

    @classmethod
    def through(cls, point: Array, normal: Array, kind: str = "free", meets: str | None = None) -> Cut:
        """The cut through a point, square to `normal` (of any length)."""
        (x, y), (px, py) = normal.tolist(), point.tolist()
        length = math.hypot(x, y)
        x, y = x / length, y / length
        return cls(np.array((x, y)), x * px + y * py, kind, meets)

    def along(self, point: Array, direction: Array) -> float:
        """Distance from `point` along `direction` to the cut; inf where they are parallel."""
        # Plain floats throughout this file: for two numbers they are five times faster than arrays.
        (x, y), (px, py), (dx, dy) = self.normal.tolist(), point.tolist(), direction.tolist()
        fall = x * dx + y * dy
        return float((self.offset - x * px - y * py) / fall) if abs(fall) > 1e-12 else math.inf


@dataclass(frozen=True, eq=False)
class Bar:
    """A frame member in the deck's plane: axis from `p` to `q` `(2,)`, mm, with a cut at each end."""

    name: str
    role: str
    section: Section
    p: Array
    q: Array
    cut_p: Cut
    cut_q: Cut
    roll: float = 0.0

    @property
    def half(self) -> float:
        """Half the width across the axis, mm."""
        return (self.section.width * self._upright + self.section.height * self._flat) / 2

    @property
    def depth(self) -> float:
        """How far the bar reaches below the top of the frame, mm."""
        return self.section.width * self._flat + self.section.height * self._upright

    @property
    def _upright(self) -> float:
        return abs(math.cos(self.roll))

    @property
    def _flat(self) -> float:
        return abs(math.sin(self.roll))

    def turned(self, roll: float, keep_right: bool | None = None) -> Bar:
        """The bar rolled about its axis.

        Args:
            roll: rad.
            keep_right: True to keep its right face where it is, as seen from p to q; False the left one; None
                to keep its axis.
        """
        found = replace(self, roll=roll)
        if keep_right is None:
            return found
        aside = (found.half - self.half) * (1.0 if keep_right else -1.0) * left_of(self.direction)
        return replace(found, p=self.p + aside, q=self.q + aside)

    @cached_property
    def direction(self) -> Array:
        """Unit vector from p to q."""
        (px, py), (qx, qy) = self.p.tolist(), self.q.tolist()
        length = math.hypot(qx - px, qy - py)
        return np.array(((qx - px) / length, (qy - py) / length))

    def corners(self) -> Array:
        """The footprint `(4, 2)`, counter-clockwise from the right of p."""
        return self._corners

    @cached_property
    def _corners(self) -> Array:
        h, (px, py), (dx, dy) = self.half, self.p.tolist(), self.direction.tolist()
        found = []
        for side, first, second in ((-h, self.cut_p, self.cut_q), (h, self.cut_q, self.cut_p)):
            at = np.array((px - dy * side, py + dx * side))
            for cut in (first, second):
                run = cut.along(at, self.direction)
                found.append((px - dy * side + run * dx, py + dx * side + run * dy))
        return np.array(found)

    def shortest(self) -> float:
        """Length of its shorter long face, mm; not above zero when the cuts leave nothing."""
        dx, dy = self.direction.tolist()
        a, b, c, d = self._corners.tolist()
        return float(min((b[0] - a[0]) * dx + (b[1] - a[1]) * dy, (c[0] - d[0]) * dx + (c[1] - d[1]) * dy))


Point = tuple[float, float]


@dataclass(frozen=True, eq=False, slots=True)
class _Seen:
    """Faces as seen along a direction: how far their two ends lie off to its left, and how far ahead.

    `low` and `high` are the lesser and the greater of how far they lie off, `reach` the greater of how far
    ahead, `(n,) float`; `ends` holds for each face how far off, then how far ahead its start and its end lie.
    """

    low: Array
    high: Array
    reach: Array
    ends: list[tuple[float, float, float, float]]

    def first(self, near: list[int], line: float, start: float) -> tuple[float, int]:
        """Distance and index of the first of the faces `near` that a ray meets, `line` to the left."""
        best, found = math.inf, -1
        for i in near:
            a, b, low, high = self.ends[i]
            fall = a - b
            a -= line
            if a * (a - fall) <= 0 and not -1e-9 < fall < 1e-9:
                travel = low + a / fall * (high - low) - start
                if -1e-6 <= travel < best:
                    best, found = travel, i
        return best, found


@dataclass
class Faces:
    """The faces that stop a bar, as directed segments with the name of the bar each belongs to."""

    starts: list[Point] = field(default_factory=list)
    ends: list[Point] = field(default_factory=list)
    names: list[str] = field(default_factory=list)
    _seen: dict[Point, _Seen] = field(default_factory=dict)

    def add_bar(self, bar: Bar) -> None:
        """Adds the four faces of a bar."""
        self.add_polygon(bar.corners(), bar.name)

    def add_polygon(self, corners: Array, name: str) -> None:
        """Adds the sides of a polygon `(n, 2)`."""
        points = [(x, y) for x, y in corners.tolist()]
        self.starts += points
        self.ends += points[1:] + points[:1]
        self.names += [name] * len(points)

    def first_hit(self, origin: Array, direction: Array, ignore: str | None = None) -> tuple[float, int]:
        """Distance and index of the first face ahead of `origin`; (inf, -1) where there is none."""
        (x, y), (dx, dy) = origin.tolist(), direction.tolist()
        return self._first_hits([(x, y)], (dx, dy), ignore)[0]

    def _first_hits(
        self, origins: list[Point], direction: Point, ignore: str | None = None
    ) -> list[tuple[float, int]]:
        """`first_hit` of each of some origins."""
        if not self.names:
            return [(math.inf, -1)] * len(origins)
        seen, (dx, dy) = self._seen_along(direction), direction
        lines = [dx * y - dy * x for x, y in origins]
        starts = [dx * x + dy * y for x, y in origins]
        beside = (seen.low <= max(lines)) & (seen.high >= min(lines)) & (seen.reach >= min(starts) - 1e-6)
        near = [i for i in beside.nonzero()[0].tolist() if self.names[i] != ignore]
        return [seen.first(near, line, start) for line, start in zip(lines, starts, strict=True)]

    def _seen_along(self, direction: Point) -> _Seen:
        """The faces seen along a direction; few ways recur, and only new faces are looked at again."""
        found = self._seen.get(direction)
        known = 0 if found is None else len(found.ends)
        if found is not None and known == len(self.names):
            return found
        dx, dy = direction
        ends = [] if found is None else found.ends
        extents = []
        for (ax, ay), (bx, by) in zip(self.starts[known:], self.ends[known:], strict=True):
            a, b, start, end = dx * ay - dy * ax, dx * by - dy * bx, dx * ax + dy * ay, dx * bx + dy * by
            ends.append((a, b, start, end))
            extents.append((min(a, b), max(a, b), max(start, end)))
        low, high, reach = np.array(extents).T
        if found is not None:
            low, high = np.concatenate([found.low, low]), np.concatenate([found.high, high])
            reach = np.concatenate([found.reach, reach])
        found = _Seen(low, high, reach, ends)
        self._seen[direction] = found
        return found

    def stop(
        self, origin: Array, direction: Array, half: float, ignore: str | None = None
    ) -> tuple[Cut, bool] | None:
        """Where a bar of half width `half` that sets out from `origin` along `direction` must end.

        Args:
            origin: a point of its axis, `(2,)`.
            direction: unit vector, `(2,)`.
            half: half its width, mm.
            ignore: name of a bar that does not stop it (itself).

        Returns:
            The cut, and whether the whole end lies on one face; None where nothing stands in the way.
        """
        (x, y), (dx, dy), aside = origin.tolist(), direction.tolist(), half - GRAZE
        starts = [(x + dy * aside, y - dx * aside), (x, y), (x - dy * aside, y + dx * aside)]
        hits = self._first_hits(starts, (dx, dy), ignore)
        if all(index < 0 for _, index in hits):
            return None
        best: tuple[float, Cut] | None = None
        for n, (_, index) in enumerate((hits[1], *sorted((hits[0], hits[2])))):
            cut = self._face_cut(index, (dx, dy)) if index >= 0 else None
            if cut is None:
                continue
            nx, ny = cut.normal.tolist()
            fall = nx * dx + ny * dy
            misses = [
                (cut.offset - nx * sx - ny * sy) / fall - t
                for (sx, sy), (t, _) in zip(starts, hits, strict=True)
            ]
            if max(misses) <= SAME_LINE:
                return cut, n == 0 and min(misses) > -SAME_LINE
            back = max(misses) * fall
            if back <= SNUG and (best is None or back < best[0]):
                best = (back, replace(cut, offset=cut.offset - back))
        if best is not None:
            return best[1], False
        nearest, index = min(h for h in hits if h[1] >= 0)
        return Cut.through(origin + nearest * direction, direction, "tee", self.names[index]), False

    def _face_cut(self, index: int, direction: Point) -> Cut | None:
        (ax, ay), (bx, by), (dx, dy) = self.starts[index], self.ends[index], direction
        length = math.hypot(bx - ax, by - ay)
        nx, ny = (ay - by) / length, (bx - ax) / length
        fall = nx * dx + ny * dy
        if fall < 0:
            nx, ny, fall = -nx, -ny, -fall
        if fall < 0.17:  # a face met at under ten degrees is no landing
            return None
        return Cut(np.array((nx, ny)), nx * ax + ny * ay, "tee", self.names[index])
