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
        n = normal / np.hypot(normal[0], normal[1])
        return cls(n, float(n @ point), kind, meets)

    def along(self, point: Array, direction: Array) -> float:
        """Distance from `point` along `direction` to the cut; inf where they are parallel."""
        fall = float(self.normal @ direction)
        return (self.offset - float(self.normal @ point)) / fall if abs(fall) > 1e-12 else np.inf


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
        d = self.q - self.p
        found: Array = d / math.hypot(d[0], d[1])
        return found

    def corners(self) -> Array:
        """The footprint `(4, 2)`, counter-clockwise from the right of p."""
        return self._corners

    @cached_property
    def _corners(self) -> Array:
        d, h = self.direction, self.half
        side = left_of(d) * h
        right, left = self.p - side, self.p + side
        return np.array(
            [
                right + self.cut_p.along(right, d) * d,
                right + self.cut_q.along(right, d) * d,
                left + self.cut_q.along(left, d) * d,
                left + self.cut_p.along(left, d) * d,
            ]
        )

    def shortest(self) -> float:
        """Length of its shorter long face, mm; not above zero when the cuts leave nothing."""
        c = self.corners()
        d = self.direction
        return float(min((c[1] - c[0]) @ d, (c[2] - c[3]) @ d))


@dataclass
class Faces:
    """The faces that stop a bar, as directed segments with the name of the bar each belongs to."""

    starts: list[Array] = field(default_factory=list)
    ends: list[Array] = field(default_factory=list)
    names: list[str] = field(default_factory=list)
    _packed: tuple[Array, Array] | None = None
    _seen: dict[tuple[float, float], tuple[Array, Array]] = field(default_factory=dict)

    def add_bar(self, bar: Bar) -> None:
        """Adds the four faces of a bar."""
        self.add_polygon(bar.corners(), bar.name)

    def add_polygon(self, corners: Array, name: str) -> None:
        """Adds the sides of a polygon `(n, 2)`."""
        self.starts.extend(corners)
        self.ends.extend(np.roll(corners, -1, axis=0))
        self.names.extend([name] * len(corners))
        self._packed = None
        self._seen.clear()

    def _arrays(self) -> tuple[Array, Array]:
        if self._packed is None:
            self._packed = (np.array(self.starts).reshape(-1, 2), np.array(self.ends).reshape(-1, 2))
        return self._packed

    def first_hit(self, origin: Array, direction: Array, ignore: str | None = None) -> tuple[float, int]:
        """Distance and index of the first face ahead of `origin`; (inf, -1) where there is none."""
        return self._first_hits(origin[None], direction, ignore)[0]

    def _first_hits(
        self, origins: Array, direction: Array, ignore: str | None = None
    ) -> list[tuple[float, int]]:
        """`first_hit` of each of `(k, 2)` origins."""
        if not self.names:
            return [(math.inf, -1)] * len(origins)
        off, ahead = self._seen_along(direction)
        # signed distances of each face's two ends from each ray's line, (k, 2, n)
        sides = off - cross(direction, origins)[:, None, None]
        da, db = sides[:, 0], sides[:, 1]
        fall = da - db
        level = np.abs(fall) < 1e-9
        share = da / np.where(level, 1.0, fall)
        travel = ahead[0] + share * (ahead[1] - ahead[0]) - (origins @ direction)[:, None]
        passed = (da * db > 0) | level | (travel < -1e-6)
        if ignore is not None:
            passed |= np.array([name == ignore for name in self.names])
        travel[passed] = np.inf
        best = travel.argmin(axis=1)
        found = travel[np.arange(len(origins)), best]
        return [(t, i if t < math.inf else -1) for t, i in zip(found.tolist(), best.tolist(), strict=True)]

    def _seen_along(self, direction: Array) -> tuple[Array, Array]:
        """How far the faces' ends lie off and ahead along a direction, `(2, n)` each; few ways recur."""
        key = (float(direction[0]), float(direction[1]))
        if key not in self._seen:
            ends = np.stack(self._arrays())
            self._seen[key] = (cross(direction, ends), ends @ direction)
        return self._seen[key]

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
        side = left_of(direction) * (half - GRAZE)
        starts = [origin - side, origin, origin + side]
        hits = self._first_hits(np.array(starts), direction, ignore)
        if all(index < 0 for _, index in hits):
            return None
        best: tuple[float, Cut] | None = None
        for n, (_, index) in enumerate((hits[1], *sorted((hits[0], hits[2])))):
            cut = self._face_cut(index, direction) if index >= 0 else None
            if cut is None:
                continue
            misses = [cut.along(s, direction) - t for s, (t, _) in zip(starts, hits, strict=True)]
            if max(misses) <= SAME_LINE:
                return cut, n == 0 and min(misses) > -SAME_LINE
            back = max(misses) * float(cut.normal @ direction)
            if back <= SNUG and (best is None or back < best[0]):
                best = (back, replace(cut, offset=cut.offset - back))
        if best is not None:
            return best[1], False
        nearest, index = min(h for h in hits if h[1] >= 0)
        return Cut.through(origin + nearest * direction, direction, "tee", self.names[index]), False

    def _face_cut(self, index: int, direction: Array) -> Cut | None:
        a, b = self._arrays()
        run = b[index] - a[index]
        normal = left_of(run / np.hypot(run[0], run[1]))
        if normal @ direction < 0:
            normal = -normal
        if normal @ direction < 0.17:  # a face met at under ten degrees is no landing
            return None
        return Cut.through(a[index], normal, "tee", self.names[index])
