"""The ring round a deck: rims along its free edges and ledgers along the hull, closed at the corners."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, partial
from itertools import pairwise

import numpy as np
import numpy.typing as npt
from shapely import Point, Polygon, get_coordinates, make_valid
from shapely.geometry.polygon import orient

from model.geometry import Array
from model.layout.edges import OUTLINE, Edge, largest
from model.skeleton.plan_bar import Bar, Cut, cross, left_of
from parts.section import Section

ON_EDGE = 1e-6
TURN_OF_A_CORNER = math.radians(35)
"""A hull outline that turns more than this at one point has a corner there, such as at the transom."""

SQUARE = math.tan(math.radians(5))
"""A ledger this near to square across lies on the transom or on a bow plate."""

LEAST_RUN = 3.0
"""Runs shorter than this, mm, come of edges that graze the hull and are left out."""

TRUE = math.sin(math.radians(0.1))
"""A ledger this near to fore and aft is set so."""

ACUTE = math.radians(58)
"""Inside corners sharper than this are teed: their mitre passes 61 degrees, past most saws.

(Common practice.)
"""


@dataclass(frozen=True, eq=False)
class Run:
    """A straight side of the ring: a point and direction of its outer face, the metal to the left of it."""

    label: str
    point: Array
    direction: Array

    def inset(self, distance: float) -> Run:
        """The parallel run, moved to its left."""
        return Run(self.label, self.point + distance * left_of(self.direction), self.direction)

    @property
    def on_hull(self) -> bool:
        """Whether it follows the hull."""
        return self.label.startswith("ledger")


def meeting(a: Run, b: Run) -> Array:
    """The point in which a run meets the next; where they are all but parallel, at the next one's start."""
    (ax, ay), (bx, by) = a.point.tolist(), b.point.tolist()
    (ux, uy), (vx, vy) = a.direction.tolist(), b.direction.tolist()
    turn = ux * vy - uy * vx
    if abs(turn) < 1e-6:
        half = ((by - ay) * vx - (bx - ax) * vy) / 2
        return np.array((bx + half * vy, by - half * vx))
    travel = ((bx - ax) * vy - (by - ay) * vx) / turn
    return np.array((ax + travel * ux, ay + travel * uy))


@dataclass(frozen=True, eq=False)
class NoTurn:
    """Where a ledger is not to turn: bands along one axis in which its inner face must lie whole.

    Attributes:
        axis: 0 for bands of x, 1 for bands of y.
        depth: width of the ledger, mm.
        bands: least and greatest value of each, mm.
    """

    axis: int
    depth: float
    bands: tuple[tuple[float, float], ...] = ()

    def bars(self, points: Array) -> npt.NDArray[np.bool_]:
        """At which points of a ledger's line `(n, 2)` it may not turn, `(n,) bool`."""
        step = np.gradient(points, axis=0)
        inner = points + self.depth * left_of(step / np.hypot(step[:, 0], step[:, 1])[:, None])
        at = inner[:, self.axis]
        found = np.zeros(len(points), dtype=np.bool_)
        for low, high in self.bands:
            found |= (at > low) & (at < high)
        return found


ANYWHERE = NoTurn(0, 0.0)


def ring_runs(
    area: Polygon, edges: dict[str, Edge], ledger_gap: float, no_turn: NoTurn = ANYWHERE
) -> list[Run]:
    """The straight sides round an area, counter-clockwise; hull sides stand off it by `ledger_gap` at most.

    Args:
        area: what the frame may fill, in the deck's plane.
        edges: its edges in the same plane; those that are lines are followed exactly.
        ledger_gap: greatest distance between a straight ledger and the curved side it follows, mm.
        no_turn: where ledgers should not turn, if there is another place for it.
    """
    ring, labels = labelled_ring(area, edges)
    runs: list[Run] = []
    for start, stop in _stretches(ring, labels):
        index = np.arange(start, stop + 1) % len(ring)
        points, label = ring[index], labels[start % len(ring)]
        if label.startswith("ledger"):
            label = _across(points) or label
            runs.extend(_ledger_runs(points, label, ledger_gap, no_turn))
        else:
            step = points[-1] - points[0]
            runs.append(Run(label, points[0], step / np.hypot(*step)))
    runs = _without_short(runs)
    return _held_inside(runs, area)


def ring_bars(runs: list[Run], section: Section, prefix: str) -> list[Bar]:
    """The members of a ring, mitred where they meet, or teed where the corner is too sharp to mitre."""
    width = section.width
    axes = [run.inset(width / 2) for run in runs]
    names = _names(runs, prefix)
    count = len(runs)
    bars = []
    for i, run in enumerate(runs):
        before, after = (i - 1) % count, (i + 1) % count
        p, q = meeting(axes[before], axes[i]), meeting(axes[i], axes[after])
        cut_p = _corner_cut(runs, names, width, i, before)
        cut_q = _corner_cut(runs, names, width, i, after)
        bars.append(Bar(names[i], run.label.partition(".")[0], section, p, q, cut_p, cut_q))
    return bars


def inner_area(runs: list[Run], width: float) -> Polygon:
    """The area inside the ring's inner faces."""
    inner = [run.inset(width) for run in runs]
    area = Polygon([meeting(inner[i - 1], inner[i]) for i in range(len(inner))])
    return area if area.is_valid else largest(make_valid(area))


def _corner_cut(runs: list[Run], names: list[str], width: float, i: int, other: int) -> Cut:
    """The cut of run i where it meets a neighbour."""
    ahead = other == (i + 1) % len(runs)
    first, second = (i, other) if ahead else (other, i)
    d1, d2 = runs[first].direction, runs[second].direction
    corner = meeting(runs[first], runs[second])
    inside = math.pi - math.atan2(float(cross(d1, d2)), float(d1 @ d2))
    if inside >= ACUTE:
        if inside <= 2 * math.pi - ACUTE:
            bisector = d1 + d2
            return Cut.through(corner, bisector if ahead else -bisector, "corner", names[other])
        return _wrapped_cut(runs, names, width, i, other)
    whole = second if runs[first].on_hull and not runs[second].on_hull else first
    outward = -left_of(runs[other].direction)
    if i == whole:  # runs through to the outer face of the other
        return Cut.through(corner, outward)
    return Cut.through(runs[other].inset(width).point, outward, "tee", names[other])


def _wrapped_cut(runs: list[Run], names: list[str], width: float, i: int, other: int) -> Cut:
    """The cut of run i at a corner whose metal lies round the outside of a sharp point.

    The run that comes first goes on past the point; the other is cut to its inner face: the ring is closed.
    """
    ahead = other == (i + 1) % len(runs)
    first, second = (i, other) if ahead else (other, i)
    d1, d2 = runs[first].direction, runs[second].direction
    corner = meeting(runs[first], runs[second])
    if ahead:  # far enough that the whole slanted end of the other lands on it
        return Cut.through(corner + (width / abs(float(cross(d1, d2))) + 1.0) * d1, d1)
    return Cut.through(corner, left_of(d1), "tee", names[first])


def _names(runs: list[Run], prefix: str) -> list[str]:
    """`rim.aft.1`: numbered along each edge; one run alone carries no number less than 1."""
    seen: dict[str, int] = {}
    names = []
    for run in runs:
        seen[run.label] = seen.get(run.label, 0) + 1
        names.append(f"{prefix}/{run.label}.{seen[run.label]}")
    return names


def labelled_ring(area: Polygon, edges: dict[str, Edge]) -> tuple[Array, list[str]]:
    """Corners of an area counter-clockwise `(n, 2)`, and for the side after each the edge it lies on.

    They begin where the aft edge does (else starboard, forward, port), or at the first point of an outline:
    names that count along them must not change with the place where a polygon happens to begin.
    """
    ring = get_coordinates(orient(area).exterior)[:-1]
    step = ring - np.concatenate([ring[-1:], ring[:-1]])
    ring = ring[np.hypot(step[:, 0], step[:, 1]) > 1e-6]
    labels = edge_labels(ring, edges)
    outline = edges.get(OUTLINE)
    if outline is not None and outline.points is not None:
        start = int(np.argmin(np.hypot(*(ring - outline.points[0]).T)))
    else:
        turns = [i for i in range(len(ring)) if labels[i] != labels[i - 1]] or [0]
        start = min(turns, key=lambda i: (_FIRST.get(labels[i].partition(".")[2], 9), *ring[i]))
    return np.roll(ring, -start, axis=0), labels[start:] + labels[:start]


_FIRST = {"aft": 0, "starboard": 1, "forward": 2, "port": 3}


def edge_labels(ring: Array, edges: dict[str, Edge]) -> list[str]:
    """For each segment of the ring the edge it lies on: `rim.aft`, or `ledger.port` along the hull."""
    nxt = np.concatenate([ring[1:], ring[:1]])
    middle = (ring + nxt) / 2
    labels = np.where(middle[:, 1] >= 0, "ledger.port", "ledger.starboard").astype("U24")
    for side, edge in edges.items():
        if edge.points is None:
            continue
        line = edge.run_on()
        for k in range(len(line) - 1):
            d = line[k + 1] - line[k]
            length = float(np.hypot(*d))
            d = d / length
            near = np.abs(cross(d, ring - line[k])) < ON_EDGE * 10
            on = near & np.concatenate([near[1:], near[:1]])
            along = (middle - line[k]) @ d
            on &= (along > -ON_EDGE) & (along < length + ON_EDGE)
            labels[on] = f"rim.{side}"
    found: list[str] = labels.tolist()
    return found


def _stretches(ring: Array, labels: list[str]) -> list[tuple[int, int]]:
    """Ranges (start, end vertex) of the ring that belong together: one edge run, or one smooth hull side."""
    count = len(ring)
    steps = np.concatenate([ring[1:], ring[:1]]) - ring
    steps /= np.hypot(steps[:, 0], steps[:, 1])[:, None]
    previous = np.concatenate([steps[-1:], steps[:-1]])
    turn = np.abs(np.arctan2(cross(previous, steps), (previous * steps).sum(axis=1))).tolist()
    breaks = []
    for i in range(count):
        same = labels[i] == labels[i - 1]
        smooth = turn[i] < (TURN_OF_A_CORNER if labels[i].startswith("ledger") else 1e-7)
        if not (same and smooth):
            breaks.append(i)
    if not breaks:
        breaks = [0]
    return [(b, breaks[k + 1] if k + 1 < len(breaks) else breaks[0] + count) for k, b in enumerate(breaks)]


def _across(points: Array) -> str | None:
    """The label of a straight run across the boat: the ledger on the transom or on a bow plate."""
    step = points[-1] - points[0]
    if abs(step[0]) > SQUARE * abs(step[1]) or _off(points, 0, len(points) - 1) > LEAST_RUN:
        return None
    return "ledger.aft" if step[1] < 0 else "ledger.forward"


def _ledger_runs(points: Array, label: str, gap: float, no_turn: NoTurn) -> list[Run]:
    """The fewest straight runs along a curved side, evenly loaded, no further off it than `gap`."""
    stops = _turns(points, gap, no_turn.bars(points))
    runs = []
    for a, b in pairwise(stops):
        step = points[b] - points[a]
        direction = step / np.hypot(*step)
        direction = _trued(direction, points[a : b + 1], gap)
        inward = float(cross(direction, points[a : b + 1] - points[a]).max(initial=0.0))
        runs.append(Run(label, points[a], direction).inset(inward))
    return runs


def _turns(points: Array, gap: float, barred: npt.NDArray[np.bool_]) -> list[int]:
    """Indices of the points at which the runs along a side begin and end, found from aft on both sides."""
    if points[0, 0] > points[-1, 0]:  # so that the two sides of a symmetrical boat come out alike
        return [len(points) - 1 - k for k in reversed(_turns(points[::-1], gap, barred[::-1]))]
    off = cache(partial(_off, points))
    stops = _fewest(off, gap, barred)
    low, high = 0.0, gap
    for _ in range(7):  # the same number of runs at the least gap, so that the gap is shared out evenly
        middle = (low + high) / 2
        tried = _fewest(off, middle, barred)
        if len(tried) == len(stops):
            stops, high = tried, middle
        else:
            low = middle
    return stops


def _trued(direction: Array, points: Array, gap: float) -> Array:
    """The direction itself, or fore and aft where that is so near that beams may as well be cut square."""
    level = np.array([math.copysign(1.0, direction[0]), 0.0])
    if abs(float(cross(level, direction))) > TRUE:
        return direction
    off = cross(level, points - points[0])
    return level if float(off.max() - off.min()) <= gap else direction


def _fewest(off: Callable[[int, int], float], gap: float, barred: npt.NDArray[np.bool_]) -> list[int]:
    """Indices of the fewest points between which the line keeps within `gap` of a straight run.

    `off` tells how far the line strays from the run between two of them.
    """
    stops = [0]
    last = len(barred) - 1
    while stops[-1] < last:
        low, high = stops[-1] + 1, last
        while low < high:
            middle = (low + high + 1) // 2
            if off(stops[-1], middle) <= gap:
                low = middle
            else:
                high = middle - 1
        free = [i for i in range(stops[-1] + 1, low + 1) if i == last or not barred[i]]
        stops.append(free[-1] if free else low)
    return stops


def _off(points: Array, a: int, b: int) -> float:
    """How far points `(n, 2)` from a to b stray from the straight run between these two, mm."""
    (x0, y0), (x1, y1) = points[a].tolist(), points[b].tolist()
    length = math.hypot(x1 - x0, y1 - y0)
    off = points[a : b + 1] @ np.array(((y0 - y1) / length, (x1 - x0) / length))
    return float(off.max() - off.min())


def _without_short(runs: list[Run]) -> list[Run]:
    """Leaves out runs too short to be a member, unless too few would be left."""
    kept = list(runs)
    while len(kept) > 3:
        corners = [meeting(kept[i - 1], kept[i]) for i in range(len(kept))]
        lengths = [
            float((corners[(i + 1) % len(kept)] - corners[i]) @ kept[i].direction) for i in range(len(kept))
        ]
        shortest = int(np.argmin(lengths))
        if lengths[shortest] >= LEAST_RUN:
            break
        kept.pop(shortest)
    return kept


def _held_inside(runs: list[Run], area: Polygon) -> list[Run]:
    """Moves hull runs inward until no corner of the ring lies outside the area."""
    held = list(runs)
    for _ in range(4):
        count = len(held)
        worst = 0.0
        moves = [0.0] * count
        for i in range(count):
            corner = meeting(held[i - 1], held[i])
            out = area.distance(Point(corner))
            if out > 1e-6:
                worst = max(worst, out)
                for k in ((i - 1) % count, i):
                    if held[k].on_hull:
                        moves[k] = max(moves[k], out)
        held = [run.inset(move) if move else run for run, move in zip(held, moves, strict=True)]
        if worst <= 1e-6:
            break
    return held
