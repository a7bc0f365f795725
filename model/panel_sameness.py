"""When two flat pieces are the same piece for the shop: a signature that turning and moving do not change."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from typing import TYPE_CHECKING, Protocol

import numpy as np
import numpy.typing as npt

from model.geometry import Array
from parts.outline import Loop

if TYPE_CHECKING:
    from parts.sheet import Sheet

TOLERANCE = 0.05
"""Coordinates are told apart in steps of this many mm."""

_OFF_GRID = 11 * TOLERANCE / 32
"""Moves the bounds between steps off the numbers drawings are made of (halves of 0.05 mm and of 1/32 in),
so that rounding in the last digit does not decide on which side of a bound such a number falls."""

_STRAIGHT = 1e-6
"""A corner this many mm off the line or circle of its neighbours is no corner."""

Rows = npt.NDArray[np.int64]


class FlatPiece(Protocol):
    """What is cut from sheet: a panel, or a strip laid flat."""

    @property
    def outline(self) -> Loop:
        """The outline on the sheet, mm."""

    @property
    def holes(self) -> tuple[Loop, ...]:
        """The holes in it."""

    @property
    def sheet(self) -> Sheet:
        """What it is cut from."""


def signature(piece: FlatPiece, both_faces: bool = True) -> str:
    """The same text for two pieces that are one piece to the shop, wherever they are in the boat.

    Turning in the plane never matters. Coordinates within 0.05 mm count as one unless a step falls
    between them.

    Args:
        piece: a panel or a strip.
        both_faces: whether the sheet may be used either face up, so that the mirror image is the same
            piece; false for tread plate and sheet finished on one side.
    """
    loops = [tidied(loop.ccw()) for loop in (piece.outline, *piece.holes)]
    if both_faces:
        mirrored = [loop.transformed([(-1.0, 0.0), (0.0, 1.0)]) for loop in loops]
        rows = min(_least(loops), _least(mirrored))
    else:
        rows = _least(loops)
    digest = hashlib.sha1(rows, usedforsecurity=False).hexdigest()
    return f"{piece.sheet.name}:{digest[:16]}"


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
    ahead = np.roll(loop.points, -1, axis=0) - loop.points
    behind, before = np.roll(ahead, 1, axis=0), np.roll(loop.bulges, 1)
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


def _least(loops: list[Loop]) -> bytes:
    """The rows of all loops in the drawing direction that makes them least, as bytes."""
    origin = loops[0].centroid
    found = []
    for angle in _directions(loops, origin):
        c, s = np.cos(angle), np.sin(angle)
        turn = np.array([(c, s), (-s, c)])
        outside, *holes = (_rows(loop, origin, turn).tobytes() for loop in loops)
        found.append(b"|".join([outside, *sorted(holes)]))
    return min(found)


def _directions(loops: list[Loop], origin: Array) -> Iterator[float]:
    """Angles that may be laid along x: those of the longest edges, of the first loop that is no circle.

    Where all are circles: towards the hole farthest off the middle; with none off it any will do.
    """
    for loop in loops:
        if _circle(loop) is None:
            ahead = np.roll(loop.points, -1, axis=0) - loop.points
            length = np.hypot(ahead[:, 0], ahead[:, 1])
            longest = ahead[length > length.max() - TOLERANCE / 5]
            yield from np.arctan2(longest[:, 1], longest[:, 0])
            if loop is loops[0]:
                return
    away = np.array([loop.centroid - origin for loop in loops])
    distance = np.hypot(away[:, 0], away[:, 1])
    if distance.max() > TOLERANCE:
        far = away[distance > distance.max() - TOLERANCE / 5]
        yield from np.arctan2(far[:, 1], far[:, 0])
    elif all(_circle(loop) is not None for loop in loops):
        yield 0.0


def _rows(loop: Loop, origin: Array, turn: Array) -> Rows:
    """Each corner and the middle of the edge after it, in steps, from the least corner on; `(n, 4)`."""
    round_one = _circle(loop)
    if round_one is not None:
        centre = turn @ (round_one[0] - origin)
        return _steps(np.array([[*centre, round_one[1], 0.0]]))
    pairs = np.concatenate([(loop.points - origin) @ turn.T, (loop.apexes - origin) @ turn.T], axis=1)
    rows = _steps(pairs)
    first = int(np.lexsort(rows.T[::-1])[0])
    return np.roll(rows, -first, axis=0)


def _steps(values: Array) -> Rows:
    found: Rows = np.floor((values + _OFF_GRID) / TOLERANCE).astype(">i8")
    return found
