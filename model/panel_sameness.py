"""When two flat pieces are the same piece for the shop: a signature that turning and moving do not change."""

from __future__ import annotations

import hashlib
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

import numpy as np
import numpy.typing as npt

from model.geometry import Array
from parts.outline import Loop

if TYPE_CHECKING:
    from model.bends.bend_line import BendLine
    from parts.sheet import Sheet

TOLERANCE = 0.05
"""Coordinates are told apart in steps of this many mm."""

_OFF_GRID = 11 * TOLERANCE / 32
"""Moves the bounds between steps off the numbers drawings are made of (halves of 0.05 mm and of 1/32 in),
so that rounding in the last digit does not decide on which side of a bound such a number falls."""

_STRAIGHT = 1e-6
"""A corner this many mm off the line or circle of its neighbours is no corner."""

_FLIP = np.array([-1.0, 1.0])

Rows = npt.NDArray[np.int64]


class FlatPiece(Protocol):
    """What is cut from sheet: a panel, one with flanges or a strip laid flat."""

    @property
    def cut_outline(self) -> Loop:
        """The outline on the sheet, mm."""

    @property
    def cut_holes(self) -> tuple[Loop, ...]:
        """The holes in it."""

    @property
    def bend_lines(self) -> tuple[BendLine, ...]:
        """Where it is bent after it is cut."""

    @property
    def sheet(self) -> Sheet:
        """What it is cut from."""


def signature(piece: FlatPiece, both_faces: bool = True) -> str:
    """The same text for two pieces that are one piece to the shop, wherever they are in the boat.

    Turning in the plane never matters; of bent pieces the bends count as well. Coordinates within 0.05 mm
    count as one unless a step falls between them.

    Args:
        piece: a panel or a strip.
        both_faces: whether the sheet may be used either face up, so that the mirror image is the same
            piece; false for tread plate and sheet finished on one side.
    """
    key = _drawn(piece, both_faces)
    if key not in _KEPT:
        if len(_KEPT) >= MOST_KEPT:
            _KEPT.clear()
        _KEPT[key] = _signature(piece, both_faces)
    return _KEPT[key]


def _drawn(piece: FlatPiece, both_faces: bool) -> bytes:
    """A piece's own numbers as they are, which come again at each build where nothing moved."""
    parts = [b"%d %s" % (both_faces, piece.sheet.name.encode())]
    for loop in (piece.cut_outline, *piece.cut_holes):
        parts += [b"%d" % len(loop.points), loop.points.tobytes(), loop.bulges.tobytes()]
    for bend in piece.bend_lines:
        parts += [bend.ends.tobytes(), b"%r %r %d" % (bend.angle, bend.radius, bend.up)]
    return b" ".join(parts)


_KEPT: dict[bytes, str] = {}
"""Signatures by what was drawn; a boat that is built again and again has most of its pieces as before."""
MOST_KEPT = 2000


def _signature(piece: FlatPiece, both_faces: bool) -> str:
    loops = [tidied(loop.ccw()) for loop in (piece.cut_outline, *piece.cut_holes)]
    origin = loops[0].centroid
    rings = [_Ring.of(loop, origin) for loop in loops]
    bends = [_Bend.of(bend, origin) for bend in piece.bend_lines]
    rows = _least(rings, bends)
    if both_faces:
        rows = min(rows, _least([ring.mirrored() for ring in rings], [bend.mirrored() for bend in bends]))
    digest = hashlib.sha1(rows, usedforsecurity=False).hexdigest()
    return f"{piece.sheet.name}:{digest[:16]}"


@dataclass(frozen=True, eq=False, slots=True)
class _Ring:
    """A loop about the piece's centre, counter-clockwise, mm.

    Attributes:
        corners: `(n, 2) float`.
        middles: the middle of the edge after each corner, on its arc, `(n, 2) float`.
        circle: centre x, y and radius, where the whole loop is one circle.
    """

    corners: Array
    middles: Array
    circle: tuple[float, float, float] | None

    @classmethod
    def of(cls, loop: Loop, origin: Array) -> _Ring:
        """The ring of a loop about `origin` `(2,)`."""
        found = _circle(loop)
        if found is None:
            return cls(loop.points - origin, loop.apexes - origin, None)
        x, y = (found[0] - origin).tolist()
        return cls(loop.points, loop.apexes, (x, y, found[1]))

    @property
    def middle(self) -> tuple[float, float]:
        """Centre of a circle; of another loop nothing in particular."""
        return self.circle[:2] if self.circle else (0.0, 0.0)

    def mirrored(self) -> _Ring:
        """The mirror image in the line x = 0, counter-clockwise again."""
        if self.circle:
            x, y, radius = self.circle
            return _Ring(self.corners, self.middles, (-x, y, radius))
        middles = self.middles[::-1] * _FLIP
        return _Ring(self.corners[::-1] * _FLIP, np.concatenate([middles[1:], middles[:1]]), None)

    def longest(self) -> Array:
        """The vectors of the longest edges, `(k, 2) float`."""
        ahead = np.concatenate([self.corners[1:], self.corners[:1]]) - self.corners
        length = np.hypot(ahead[:, 0], ahead[:, 1])
        found: Array = ahead[length > length.max() - TOLERANCE / 5]
        return found

    def rows(self, cosine: float, sine: float) -> bytes:
        """Each corner and the middle of the edge after it, in steps, from the least corner on.

        `cosine` and `sine` are of the direction laid along x.
        """
        turn = np.array([(cosine, -sine), (sine, cosine)])
        if self.circle:
            x, y, radius = self.circle
            return _packed(_steps(np.array([*((x, y) @ turn), radius, 0.0])))
        rows = np.empty((len(self.corners), 4))
        np.matmul(self.corners, turn, out=rows[:, :2])
        np.matmul(self.middles, turn, out=rows[:, 2:])
        steps = _steps(rows)
        first = np.flatnonzero(steps[:, 0] == steps[:, 0].min())
        least = int(first[np.lexsort(steps[first].T[::-1])[0]] if len(first) > 1 else first[0])
        return _packed(steps[least:]) + _packed(steps[:least])


@dataclass(frozen=True, eq=False, slots=True)
class _Bend:
    """A bend about the piece's centre: its ends `(2, 2)`, mm, its turn to the face in degrees, its radius."""

    ends: Array
    turn: float
    radius: float

    @classmethod
    def of(cls, line: BendLine, origin: Array) -> _Bend:
        """The bend of a line about `origin` `(2,)`."""
        degrees = math.degrees(line.angle)
        return cls(line.ends - origin, degrees if line.up else -degrees, line.radius)

    def mirrored(self) -> _Bend:
        """The same bend seen on the back: the piece turned over about the line x = 0."""
        return _Bend(self.ends * _FLIP, -self.turn, self.radius)

    def rows(self, cosine: float, sine: float) -> bytes:
        """Both ends, turn and radius in steps; as of `_Ring`."""
        ends = _steps(self.ends @ np.array([(cosine, -sine), (sine, cosine)]))
        ordered = ends[np.lexsort(ends.T[::-1])]
        return _packed(ordered) + _packed(_steps(np.array([self.turn, self.radius])))


def tidied(loop: Loop) -> Loop:
    """The loop with edges joined that continue each other; a circle is left as two half circles."""
    if _circle(loop) is not None:
        return loop
    keep = ~_continued(loop)
    if keep.all() or keep.sum() < 2:
        return loop
    kept = np.flatnonzero(keep)
    angle = 4 * np.arctan(loop.bulges)
    total = np.add.reduceat(np.roll(angle, -kept[0]), kept - kept[0])
    return Loop(loop.points[kept], np.tan(total / 4))


def _continued(loop: Loop) -> npt.NDArray[np.bool_]:
    """For each vertex whether the edges on its two sides lie on one line, or on one circle walked one way."""
    ahead = np.concatenate([loop.points[1:], loop.points[:1]]) - loop.points
    behind = np.concatenate([ahead[-1:], ahead[:-1]])
    before = np.concatenate([loop.bulges[-1:], loop.bulges[:-1]])
    whole = behind + ahead
    length = np.maximum(np.hypot(whole[:, 0], whole[:, 1]), _STRAIGHT)
    off = np.abs(behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0])
    onward = (behind * ahead).sum(axis=1) > 0
    found: npt.NDArray[np.bool_] = (before == 0) & (loop.bulges == 0) & onward & (off < _STRAIGHT * length)
    for i in np.flatnonzero(before * loop.bulges > 0):
        centre, radius = _centre(loop.points[i - 1], loop.points[i], float(before[i]))
        others = np.stack([loop.apexes[i], loop.points[(i + 1) % len(ahead)]])
        found[i] = np.abs(np.hypot(*(others - centre).T) - radius).max() < _STRAIGHT
    return found


def _centre(start: Array, end: Array, bulge: float) -> tuple[Array, float]:
    """Centre and radius of the arc from `start` to `end`."""
    half = (end - start) / 2
    left = np.array([-half[1], half[0]])
    centre = start + half + left * (1 - bulge**2) / (2 * bulge)
    return centre, float(np.hypot(*(start - centre)))


def _circle(loop: Loop) -> tuple[Array, float] | None:
    """Centre and radius where the whole loop is one circle."""
    if not (loop.bulges > 0).all():
        return None
    around = np.concatenate([loop.points, loop.apexes])
    centre = loop.centroid
    distance = np.hypot(*(around - centre).T)
    return (centre, float(distance.mean())) if np.ptp(distance) < _STRAIGHT else None


def _least(rings: list[_Ring], bends: list[_Bend]) -> bytes:
    """The rows of all rings and bends in the drawing direction that makes them least, as bytes."""
    found = []
    for angle in _directions(rings).tolist():
        outside, *holes = (ring.rows(math.cos(angle), math.sin(angle)) for ring in rings)
        lines = sorted(bend.rows(math.cos(angle), math.sin(angle)) for bend in bends)
        found.append(b"|".join([outside, *sorted(holes), *lines]))
    return min(found)


def _directions(rings: list[_Ring]) -> Array:
    """Angles that may be laid along x: of the longest edges, of the outside or, if that is round, of holes.

    Where all are circles: towards the hole farthest off the middle; with none off it any will do.
    """
    angular = [ring for ring in rings if ring.circle is None]
    if angular:
        chosen = angular[:1] if angular[0] is rings[0] else angular
        ways = np.concatenate([ring.longest() for ring in chosen])
    else:
        away = np.array([ring.middle for ring in rings])
        distance = np.hypot(away[:, 0], away[:, 1])
        if distance.max() <= TOLERANCE:
            return np.zeros(1)
        ways = away[distance > distance.max() - TOLERANCE / 5]
    found: Array = np.arctan2(ways[:, 1], ways[:, 0])
    return found


def _steps(values: Array) -> Rows:
    found: Rows = np.floor((values + _OFF_GRID) / TOLERANCE).astype(np.int64)
    return found


def _packed(steps: Rows) -> bytes:
    """The steps as bytes that are the same on every machine."""
    return steps.astype(">i8").tobytes()
