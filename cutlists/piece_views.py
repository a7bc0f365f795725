"""Flat views of a cut piece: which way it is seen, where its length falls on the page, what is visible."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from model.geometry import Array

if TYPE_CHECKING:
    from cutlists.saw_list import SawRow
    from parts.outline import Loop

TALLEST = 58.0
"""Greatest page height of a view, px."""

GREATEST_SCALE = 2.2
"""Pixels a millimetre at most, so that small bar is not drawn large."""

BREAK = 26.0
"""Width of the band that stands for what is broken out, px."""

CHORD = 0.03
"""Greatest distance of a drawn arc from the true one, mm."""

Point = tuple[float, float]


@dataclass(frozen=True, eq=False, slots=True)
class View:
    """A way to look square at the axis, in member axes: page right is x, page up `up`, the eye at `eye`."""

    up: Array
    eye: Array

    def heights(self, points: Array) -> Array:
        """Page heights of `(m, 2)` section points, mm, `(m,)`."""
        found: Array = points @ self.up[1:]
        return found


FLAT = View(np.array([0.0, 1.0, 0.0]), np.array([0.0, 0.0, 1.0]))
"""The top, left side up the page: what is seen from above with the width face down."""

EDGE = View(np.array([0.0, 0.0, 1.0]), np.array([0.0, -1.0, 0.0]))
"""The right side, top up the page: what is seen from above with the left side down."""


def views(row: SawRow) -> tuple[View, View]:
    """The piece from above as it lies for its first mitre, and turned a quarter.

    A round tube is turned so that the long point of that mitre is down the page.
    """
    ends = (row.cuts.end_a, row.cuts.end_b)
    lead = next((cut for cut in ends if not cut.is_square), ends[0])
    if lead.face == "height":
        return EDGE, FLAT
    if lead.face == "round" and lead.long_turn is not None:
        up = -np.array([0.0, math.cos(lead.long_turn), math.sin(lead.long_turn)])
        eye = np.cross([1.0, 0.0, 0.0], up)
        return View(up, eye), View(eye, -up)
    return FLAT, EDGE


@dataclass(frozen=True, eq=False, slots=True)
class Stretch:
    """Where lengths along the piece fall on the page, the plain middle of a long one broken out.

    `first` and `last` bound the piece (mm in member axes), `left` is the page x of `first`, `cuts` the parts
    left out, in order (none when it is drawn whole): never an end, nor a hole.
    """

    first: float
    last: float
    left: float
    scale: float
    cuts: tuple[tuple[float, float], ...]

    @classmethod
    def of(cls, row: SawRow, left: float, right: float) -> Stretch:
        """Fits the piece between two page positions."""
        section, prism = row.section, row.member.prism
        across = max(section.width, section.height)
        scale = min(TALLEST / across, GREATEST_SCALE)
        first, last = float(prism.near_long[0]), float(prism.far_long[0])
        if (last - first) * scale <= right - left:
            return cls(first, last, (left + right - (last - first) * scale) / 2.0, scale, ())
        slopes = float(prism.near_short[0]) - first, last - float(prism.far_short[0])
        holes = sorted((hole.along, hole.diameter) for hole in row.member.holes)
        room = right - left - BREAK * (len(holes) + 1)
        shown = sum(slopes) + across + sum(2.0 * size for _, size in holes)
        scale = min(scale, room / shown)
        spare = across / 2.0 + (room / scale - shown) / 2.0
        stops = [first + slopes[0] + spare, last - slopes[1] - spare]
        for along, size in holes:
            stops[-1:-1] = [along - size, along + size]
        cuts = tuple(
            (a, b) for a, b in zip(stops[::2], stops[1::2], strict=True) if b - a > BREAK / max(scale, 1e-9)
        )
        drawn = (last - first - sum(b - a for a, b in cuts)) * scale + BREAK * len(cuts)
        if not cuts or drawn > right - left + 1e-6:
            return cls(first, last, left, (right - left) / (last - first), ())
        return cls(first, last, (left + right - drawn) / 2.0, scale, cuts)

    def page(self, x: float) -> float:
        """Page x of a place along the member."""
        gone, breaks = 0.0, 0
        for start, stop in self.cuts:
            if x <= start:
                break
            if x < stop:
                x = start
                break
            gone, breaks = gone + stop - start, breaks + 1
        return self.left + BREAK * breaks + (x - self.first - gone) * self.scale


@dataclass(frozen=True, slots=True)
class Shape:
    """A polygon or line on the page. `kind`: "face", "line", "end" or "bore"."""

    kind: str
    points: tuple[Point, ...]


def visible_shapes(row: SawRow, view: View, stretch: Stretch, middle: float) -> list[Shape]:
    """What is seen of the piece, in the order to paint it, its axis at page height `middle`."""
    prism, section = row.member.prism, row.section
    outline = rim(section.outer.ccw())
    ends = prism.ends_at(outline)[0, :, :, 0]
    flat = [[_page(stretch, view, middle, x, outline, k) for k, x in enumerate(end)] for end in ends]
    found = _sides(outline, view, flat[0], flat[1])
    for end, plane in enumerate(row.member.local_ends):
        if float(plane.normal @ view.eye) < 1e-9:
            continue
        found.append(Shape("end", tuple(flat[end])))
        for hole in section.holes:
            bore = rim(hole)
            at = prism.ends_at(bore)[0, end, :, 0]
            found.append(
                Shape("bore", tuple(_page(stretch, view, middle, x, bore, k) for k, x in enumerate(at)))
            )
    return found


def rim(loop: Loop) -> Array:
    """A loop's outline as drawn, `(m, 2) float`."""
    return np.asarray(loop.polyline(CHORD))


def _page(stretch: Stretch, view: View, middle: float, x: float, points: Array, place: int) -> Point:
    return stretch.page(float(x)), middle - float(points[place] @ view.up[1:]) * stretch.scale


def _sides(outline: Array, view: View, near: list[Point], far: list[Point]) -> list[Shape]:
    """The long faces that look at the eye, the farthest first, and the edges where they turn or end."""
    way = np.roll(outline, -1, axis=0) - outline
    way /= np.linalg.norm(way, axis=1)[:, None]
    # The outward normal of an edge (dy, dz) of a counter-clockwise outline is (dz, -dy).
    seen = way[:, 1] * view.eye[1] - way[:, 0] * view.eye[2] > 1e-9
    sharp = (way * np.roll(way, 1, axis=0)).sum(axis=1) < math.cos(math.radians(35.0))
    depth = outline @ view.eye[1:]
    runs = sorted(_runs(seen, sharp), key=lambda run: float(depth[run].mean()))
    found = []
    for run in runs:
        here, there = (tuple(end[k] for k in run) for end in (near, far))
        found.append(Shape("face", here + there[::-1]))
        found += [Shape("line", here), Shape("line", there)]
        found += [Shape("line", (here[k], there[k])) for k in (0, -1)]
    return found


def _runs(seen: npt.NDArray[np.bool_], sharp: npt.NDArray[np.bool_]) -> list[list[int]]:
    """Runs of outline points along which the surface is seen and turns smoothly; round the corner once."""
    count = len(seen)
    starts = [k for k in range(count) if seen[k] and (sharp[k] or not seen[k - 1])]
    found = []
    for start in starts:
        run = [start, (start + 1) % count]
        while seen[run[-1]] and not sharp[run[-1]] and run[-1] != start:
            run.append((run[-1] + 1) % count)
        found.append(run)
    return found
