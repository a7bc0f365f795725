"""What stands in the way of runs, as slabs: flat shapes pushed straight through a thickness.

A segment meets a slab grown by a stand-off if the part of it between the grown faces meets the grown shape.
Slabs are grown square, not round, so that what is told clear is clear by at least the stand-off.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
import shapely

from model.geometry import Array, Frame, cross, unit
from model.hull import Hull
from model.member import Member
from model.prism import Prism
from model.strip import Strip
from model.survey import SIDES

if TYPE_CHECKING:
    from model.boat import Boat

Ints = npt.NDArray[np.int64]

CHORD = 0.5
"""Arcs are followed within this, mm."""

MOST_SIDES = 8
"""Convex shapes of no more sides are met in closed form."""

BIN = 120.0
"""Slabs are sorted along the boat into bins of this length, mm."""

ALONG = 50.0
"""Points along ribs and stringers, mm apart."""

WATERTIGHT = ("well", "box", "tray")
"""Lockers whose walls are better left whole."""


@dataclass(frozen=True, eq=False)
class Slab:
    """A shape `(x, y)` of a frame from z0 to z1, mm, and whose it is.

    `kind` is member, sheet, well (sheet that is better left whole), fixture, lid, room, rib or stringer.
    """

    name: str
    kind: str
    frame: Frame
    shape: shapely.Polygon
    z0: float
    z1: float

    @property
    def box(self) -> Array:
        """Least and greatest corner, `(2, 3)`."""
        x0, y0, x1, y1 = self.shape.bounds
        corners = np.array([[x, y, z] for x in (x0, x1) for y in (y0, y1) for z in (self.z0, self.z1)])
        points = self.frame.to_boat(corners)
        return np.stack([points.min(axis=0), points.max(axis=0)])


def slabs_of(boat: Boat) -> list[Slab]:
    """All that is solid in a boat but its skin, and the room that fittings need."""
    whole = {f"{name}/" for name, plan in boat.layout.lockers.items() if plan.kind in WATERTIGHT}
    found = [_member(m) for m in boat.members if not m.is_cut_away]
    for panel in boat.panels:
        kind = "well" if any(panel.name.startswith(w) for w in whole) else "sheet"
        found += [_of_prism(panel.name, kind, prism) for prism in panel.prisms]
    for strip in boat.strips:
        kind = "well" if any(strip.name.startswith(w) for w in whole) else "sheet"
        found += _strip(strip, kind)
    for fixture in boat.fixtures:
        kind = "lid" if fixture.kind == "lid" else "fixture"
        found += [_of_prism(fixture.name, kind, prism) for prism in fixture.prisms]
        if fixture.part is not None:
            rooms = (Prism.of_block(fixture.frame, block) for block in fixture.part.keep_out)
            found += [_of_prism(fixture.name, "room", prism) for prism in rooms]
    return [*found, *_ribs(boat.hull), *_stringers(boat.hull)]


def _member(member: Member) -> Slab:
    """The tube as a solid bar: what lies inside it is not free either."""
    corners = member.frame.to_frame(member.corners.reshape(-1, 3))
    shape = shapely.Polygon(shapely.get_coordinates(shapely.MultiPoint(corners[:, :2]).convex_hull))
    half = member.section.height / 2.0
    return Slab(member.name, "member", member.frame, shape, -half, half)


def _of_prism(name: str, kind: str, prism: Prism) -> Slab:
    holes = [hole.polyline(CHORD) for hole in prism.holes]
    shape = shapely.Polygon(prism.outline.polyline(CHORD), holes)
    return Slab(name, kind, prism.frame, shape if shape.is_valid else shape.buffer(0.0), prism.z0, prism.z1)


def _strip(strip: Strip, kind: str) -> Iterator[Slab]:
    """Each of its triangles as a plate of the sheet's thickness."""
    for corners in strip.points[strip.triangulation]:
        along, aside = corners[1] - corners[0], corners[2] - corners[0]
        normal = cross(along, aside)
        if float(normal @ normal) > 1e-6:
            frame = Frame.make(corners[0], along, unit(normal))
            shape = shapely.Polygon(frame.to_frame(corners)[:, :2])
            yield Slab(strip.name, kind, frame, shape, -strip.sheet.thickness, 0.0)


def _ribs(hull: Hull) -> Iterator[Slab]:
    """Ribs of each side: the section of the skin between their lines and the same raised by their height."""
    for rib in hull.ribs:
        for side in SIDES:
            section = hull.section(rib.x, side)
            low, high = (hull.line(line, rib.x, side)[2] for line in (rib.low, rib.high))
            inside = (section[:, 1] >= low - 1e-6) & (section[:, 1] <= high + 1e-6)
            foot = section[inside]
            if len(foot) < 2:
                continue
            top = foot[::-1] + np.array([0.0, rib.height])
            frame = Frame(np.array([rib.x, 0.0, 0.0]), np.array([0.0, 1.0, 0.0]), np.array([0.0, 0.0, 1.0]),
                          np.array([1.0, 0.0, 0.0]))  # fmt: skip
            shape = shapely.Polygon(np.concatenate([foot, top]))
            if shape.is_valid and shape.area > 0.0:
                yield Slab(rib.name, "rib", frame, shape, -rib.width / 2.0, rib.width / 2.0)


def _stringers(hull: Hull) -> Iterator[Slab]:
    """Stringers with their feet sunk a little into the skin beneath."""
    for bar in hull.stringers:
        x = np.linspace(bar.aft, bar.forward, max(2, int((bar.forward - bar.aft) / ALONG)))
        foot = np.column_stack([x, hull.bottom(x, np.full(len(x), bar.y))])
        foot = foot[~np.isnan(foot[:, 1])]
        if len(foot) < 2:
            continue
        shape = shapely.Polygon(np.concatenate([foot - [0.0, 5.0], foot[::-1] + np.array([0.0, bar.height])]))
        frame = Frame(np.array([0.0, bar.y, 0.0]), np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0]),
                      np.array([0.0, -1.0, 0.0]))  # fmt: skip
        yield Slab(bar.name, "stringer", frame, shape, -bar.width / 2.0, bar.width / 2.0)


class Blocks:
    """All slabs of a boat, ready to be met by many segments at once."""

    def __init__(self, slabs: Sequence[Slab]) -> None:
        """Sorts them into convex ones, met in closed form, and others."""
        self.slabs = tuple(slabs)
        self.boxes = np.array([slab.box for slab in slabs]).reshape(-1, 2, 3)
        self.frames = np.array([slab.frame.axes for slab in slabs]).reshape(-1, 3, 3)
        self.origins = np.array([slab.frame.origin for slab in slabs]).reshape(-1, 3)
        self.span = np.array([(slab.z0, slab.z1) for slab in slabs]).reshape(-1, 2)
        self.convex = np.array([_is_plain(slab.shape) for slab in slabs], dtype=np.bool_)
        sides = [_sides(s.shape) if plain else _NONE for s, plain in zip(slabs, self.convex, strict=True)]
        self.sides = np.array(sides).reshape(-1, MOST_SIDES, 3)
        self._grown: dict[float, npt.NDArray[np.object_]] = {}

    @cached_property
    def kinds(self) -> npt.NDArray[np.str_]:
        """Kind of each."""
        return np.array([slab.kind for slab in self.slabs])

    @cached_property
    def names(self) -> npt.NDArray[np.str_]:
        """Name of each."""
        return np.array([slab.name for slab in self.slabs])

    @cached_property
    def _bins(self) -> tuple[float, list[Ints], Ints]:
        """Where the first bin along x begins, the slabs in each bin, and the first bin of each slab."""
        start = float(self.boxes[:, 0, 0].min(initial=0.0))
        first = np.floor((self.boxes[:, 0, 0] - start) / BIN).astype(np.int64)
        last = np.floor((self.boxes[:, 1, 0] - start) / BIN).astype(np.int64)
        count = int(last.max(initial=0)) + 1
        return start, [np.flatnonzero((first <= k) & (last >= k)) for k in range(count)], first

    def _near(self, low: Array, high: Array) -> tuple[Ints, Ints]:
        """Pairs of boxes `(n, 3)` and slabs whose boxes meet; each pair is found in the first bin of both."""
        start, bins, begins = self._bins
        first = np.clip(np.floor((low[:, 0] - start) / BIN).astype(np.int64), 0, len(bins))
        last = np.clip(np.floor((high[:, 0] - start) / BIN).astype(np.int64), -1, len(bins) - 1)
        order = np.argsort(first, kind="stable")
        ahead = np.searchsorted(first[order], np.arange(len(bins) + 1))
        reach = int((last - first).max(initial=0))
        found: list[tuple[Ints, Ints]] = [(_NO_INTS, _NO_INTS)]
        for k, slabs in enumerate(bins):
            boxes = order[ahead[max(0, k - reach)] : ahead[k + 1]]
            boxes = boxes[last[boxes] >= k]
            if not len(boxes) or not len(slabs):
                continue
            own = np.maximum(first[boxes][:, None], begins[slabs][None]) == k
            for axis in range(3):
                own &= low[boxes, axis][:, None] <= self.boxes[slabs, 1, axis][None]
                own &= high[boxes, axis][:, None] >= self.boxes[slabs, 0, axis][None]
            i, j = np.nonzero(own)
            found.append((boxes[i], slabs[j]))
        return np.concatenate([f[0] for f in found]), np.concatenate([f[1] for f in found])

    def hits(self, a: Array, b: Array, grown: float) -> tuple[Ints, Ints]:
        """Which of the segments from `a` to `b` `(n, 3)` meet which slabs grown by `grown` mm.

        Returns:
            Numbers of segments and of slabs, a pair each.
        """
        segment, slab = self._near(np.minimum(a, b) - grown, np.maximum(a, b) + grown)
        start = np.einsum("nij,nj->ni", self.frames[slab], a[segment] - self.origins[slab])
        way = np.einsum("nij,nj->ni", self.frames[slab], (b - a)[segment])
        t0, t1 = _between(start[:, 2], way[:, 2], self.span[slab, 0] - grown, self.span[slab, 1] + grown)
        met = t0 <= t1
        plain = met & self.convex[slab]
        t0[plain], t1[plain] = _within(
            start[plain], way[plain], t0[plain], t1[plain], self.sides[slab[plain]], grown
        )
        met &= t0 <= t1
        other = np.flatnonzero(met & ~self.convex[slab])
        if len(other):
            ends = [start[other, :2] + t[other, None] * way[other, :2] for t in (t0, t1)]
            lines = shapely.linestrings(np.stack(ends, axis=1))
            met[other] = shapely.intersects(self._shapes(grown)[slab[other]], lines)
        return segment[met], slab[met]

    def _shapes(self, grown: float) -> npt.NDArray[np.object_]:
        """The shapes that are not plain, grown."""
        if grown not in self._grown:
            shapes = np.array([None if c else s.shape for s, c in zip(self.slabs, self.convex, strict=True)])
            made = shapely.buffer(shapes, grown, quad_segs=2, join_style="mitre")
            shapely.prepare(made)
            self._grown[grown] = made
        return self._grown[grown]


_NO_INTS: Ints = np.zeros(0, dtype=np.int64)

_NONE = np.tile(np.array([0.0, 0.0, 1.0]), (MOST_SIDES, 1))
"""Sides that everything lies within."""


def _is_plain(shape: shapely.Polygon) -> bool:
    """Whether it is convex, whole and of few sides."""
    if shape.geom_type != "Polygon" or len(shape.interiors) or len(shape.exterior.coords) > MOST_SIDES + 1:
        return False
    return bool(shape.area > 0.0 and shape.convex_hull.area - shape.area < 1e-6 * shape.area)


def _sides(shape: shapely.Polygon) -> Array:
    """Rows (nx, ny, offset) with `n . p <= offset` inside, filled up to `MOST_SIDES`."""
    points = np.array(shapely.geometry.polygon.orient(shape).exterior.coords)
    way = np.diff(points, axis=0)
    length = np.sqrt((way**2).sum(axis=1))
    kept = length > 1e-9
    normal = np.column_stack([way[kept, 1], -way[kept, 0]]) / length[kept, None]
    rows = np.column_stack([normal, (normal * points[:-1][kept]).sum(axis=1)])
    found: Array = np.concatenate([rows, _NONE[len(rows) :]])
    return found


def _between(start: Array, way: Array, low: Array, high: Array) -> tuple[Array, Array]:
    """First and last shares of segments between two heights; crossed where they never are between."""
    flat = np.abs(way) < 1e-12
    safe = np.where(flat, 1.0, way)
    one, two = (low - start) / safe, (high - start) / safe
    first, last = np.maximum(np.minimum(one, two), 0.0), np.minimum(np.maximum(one, two), 1.0)
    inside = (start >= low) & (start <= high)
    return np.where(flat, np.where(inside, 0.0, 1.0), first), np.where(flat, np.where(inside, 1.0, 0.0), last)


def _within(
    start: Array, way: Array, t0: Array, t1: Array, sides: Array, grown: float
) -> tuple[Array, Array]:
    """The shares within convex shapes grown by `grown`, of segments `(n, 3)`; sides `(n, k, 3)`."""
    along = np.einsum("nki,ni->nk", sides[:, :, :2], way[:, :2])
    left = sides[:, :, 2] + grown - np.einsum("nki,ni->nk", sides[:, :, :2], start[:, :2])
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        share = left / along
    leaving = np.where(along > 1e-12, share, np.inf).min(axis=1)
    entering = np.where(along < -1e-12, share, -np.inf).max(axis=1)
    outside = ((np.abs(along) <= 1e-12) & (left < 0.0)).any(axis=1)
    return np.where(outside, 1.0, np.maximum(t0, entering)), np.where(outside, 0.0, np.minimum(t1, leaving))
