"""What is measured on an outline: its corners, its rounded corners, and its curved edges by ordinates."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from model.geometry import Array
from parts.outline import Loop

ROUND = 80.0
"""Arcs of a lesser radius between two tangents are rounded corners, measured as if they were sharp, mm."""
CORNER = math.radians(12.0)
"""An outline that turns less than this in one place is taken to run on there."""
STRAIGHT = 0.5
"""A run that strays less than this from its chord is a straight edge, mm."""
FINE = 0.02
"""Sagitta at which curved edges are followed, mm."""


@dataclass(frozen=True, eq=False)
class CurvedEdge:
    """A curved run of an outline, `points` `(n, 2)` along it, laid out by ordinates.

    Attributes:
        points: along the curve.
        along: 0 where ordinates stand on stations of x, 1 on stations of y.
    """

    points: Array
    along: int

    @classmethod
    def of(cls, points: Array) -> CurvedEdge:
        """The run with its stations along its longer extent."""
        wide, tall = np.ptp(points, axis=0)
        return cls(points, 0 if wide >= tall else 1)

    def ordinates(self, step: float, base: Array) -> Array:
        """Station and ordinate of the curve at its ends and at every multiple of `step`, `(k, 2)`.

        Both are measured from `base` `(2,)`. A curve that turns back on itself along its stations gives the
        first ordinate met.
        """
        points = self.points - base
        at, out = points[:, self.along], points[:, 1 - self.along]
        if at[-1] < at[0]:
            at, out = at[::-1], out[::-1]
        low, high = float(at[0]), float(at[-1])
        inner = step * np.arange(math.ceil(low / step), math.floor(high / step) + 1)
        inner = inner[(inner > low + step / 6) & (inner < high - step / 6)]
        stations = np.concatenate([[low], inner, [high]])
        rising = np.maximum.accumulate(at)
        return np.column_stack([stations, np.interp(stations, rising, out)])

    def strays(self, ordinates: Array, base: Array) -> float:
        """How far the curve lies at most from straight lines through its ordinates, mm."""
        points = self.points - base
        at, out = points[:, self.along], points[:, 1 - self.along]
        x, y = ordinates.T
        k = np.clip(np.searchsorted(x, at, side="right") - 1, 0, len(x) - 2)
        dx, dy = x[k + 1] - x[k], y[k + 1] - y[k]
        off = np.abs((out - y[k]) * dx - (at - x[k]) * dy) / np.hypot(dx, dy)
        return float(off.max())


@dataclass(frozen=True, eq=False)
class Measured:
    """What a person lays an outline out by.

    Attributes:
        corners: `(n, 2)`, rounded ones where their sides would meet.
        rounds: radius and middle of the arc of each rounded corner.
        curves: its curved edges.
        circle: centre and radius, where it is one circle.
    """

    corners: Array
    rounds: tuple[tuple[float, Array], ...]
    curves: tuple[CurvedEdge, ...]
    circle: tuple[Array, float] | None


def measured(loop: Loop) -> Measured:
    """The corners, rounds and curved edges of an outline."""
    circle = _circle(loop)
    if circle is not None:
        return Measured(np.zeros((0, 2)), (), (), circle)
    points, rounds = _sharpened(loop)
    ahead = np.roll(points, -1, axis=0) - points
    points = points[np.hypot(*ahead.T) > 1e-6]
    ahead = np.roll(points, -1, axis=0) - points
    heading = np.arctan2(ahead[:, 1], ahead[:, 0])
    turn = (heading - np.roll(heading, 1) + np.pi) % (2 * np.pi) - np.pi
    at = np.flatnonzero(np.abs(turn) > CORNER)
    if not len(at):
        at = np.array([int(np.argmin(points[:, 0]))])
    curves = []
    for start, stop in zip(at, np.roll(at, -1), strict=True):
        run = np.arange(start, stop + 1 if stop > start else stop + len(points) + 1) % len(points)
        if _bow(points[run]) > STRAIGHT:
            curves.append(CurvedEdge.of(points[run]))
    return Measured(points[at], tuple(rounds), tuple(curves), None)


def _circle(loop: Loop) -> tuple[Array, float] | None:
    if not loop.bulges.all():
        return None
    centre = loop.centroid
    points = loop.polyline(FINE)
    radii = np.hypot(*(points - centre).T)
    radius = float(radii.mean())
    return (centre, radius) if float(np.ptp(radii)) < 0.1 else None


def _bow(run: Array) -> float:
    """How far a run strays from its chord, mm; of a closed one its size."""
    chord = run[-1] - run[0]
    length = float(np.hypot(*chord))
    if length < 1e-6:
        return float(np.ptp(run, axis=0).max())
    off = (run - run[0]) @ np.array([-chord[1], chord[0]]) / length
    return float(np.abs(off).max())


def _sharpened(loop: Loop) -> tuple[Array, list[tuple[float, Array]]]:
    """The outline as points with rounded corners made sharp and other arcs followed; and the rounds."""
    found: list[Array] = []
    rounds: list[tuple[float, Array]] = []
    for arc in _runs(loop):
        found.append(arc.start)
        if not arc.turn:
            continue
        chord = arc.end - arc.start
        length, angle = float(np.hypot(*chord)), abs(arc.turn)
        radius = length / (2 * math.sin(angle / 2))
        if radius <= ROUND and angle < math.radians(170):
            rise = length / 2 * math.tan(angle / 2)
            side = np.array([chord[1], -chord[0]]) / length * math.copysign(1.0, arc.turn)
            middle = (arc.start + arc.end) / 2
            found[-1] = middle + rise * side
            rounds.append((radius, middle + (radius - radius * math.cos(angle / 2)) * side))
            continue
        steps = max(2, math.ceil(angle / math.radians(4)))
        found += _arc(arc.start, arc.end, arc.turn, steps)
    return _without_tangents(np.array(found)), rounds


@dataclass(frozen=True, eq=False, slots=True)
class _Run:
    """An edge, or arcs of one circle one after the other: `turn` is the angle they turn through, rad."""

    start: Array
    end: Array
    turn: float
    centre: Array | None


def _runs(loop: Loop) -> list[_Run]:
    """The edges of an outline with arcs of one circle put together."""
    found: list[_Run] = []
    ends = np.roll(loop.points, -1, axis=0)
    for start, end, bulge in zip(loop.points, ends, loop.bulges.tolist(), strict=True):
        turn = 4 * math.atan(bulge)
        run = _Run(start, end, turn, _centre(start, end, turn) if bulge else None)
        if found and _continues(found[-1], run):
            run = _Run(found[-1].start, end, found[-1].turn + turn, run.centre)
            found.pop()
        found.append(run)
    if len(found) > 2 and _continues(found[-1], found[0]):
        last = found.pop()
        found[0] = _Run(last.start, found[0].end, last.turn + found[0].turn, last.centre)
    return found


def _continues(one: _Run, other: _Run) -> bool:
    """Whether two runs are arcs of one circle, together less than half of it."""
    if one.centre is None or other.centre is None or abs(one.turn + other.turn) >= math.pi:
        return False
    return one.turn * other.turn > 0 and float(np.hypot(*(one.centre - other.centre))) < 0.2


def _centre(start: Array, end: Array, turn: float) -> Array:
    chord = end - start
    length = float(np.hypot(*chord))
    normal = np.array([-chord[1], chord[0]]) / length
    found: Array = (start + end) / 2 + normal * length / (2 * math.tan(turn / 2))
    return found


def _arc(start: Array, end: Array, turn: float, steps: int) -> list[Array]:
    """Points inside an arc that turns through `turn` rad."""
    centre = _centre(start, end, turn)
    from_centre = start - centre
    inside = []
    for k in range(1, steps):
        c, s = math.cos(turn * k / steps), math.sin(turn * k / steps)
        inside.append(centre + np.array([[c, -s], [s, c]]) @ from_centre)
    return inside


def _without_tangents(points: Array) -> Array:
    """The points less the tangent points at which rounded corners ended."""
    ahead = np.roll(points, -1, axis=0) - points
    behind = points - np.roll(points, 1, axis=0)
    turn = np.abs(behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0])
    size = np.maximum(np.hypot(*ahead.T) * np.hypot(*behind.T), 1e-12)
    forward = (ahead * behind).sum(axis=1) > 0
    straight = (turn / size < 1e-6) & forward
    return points[~straight] if (~straight).sum() >= 3 else points
