"""The boat in upright columns, and the floors that lie one above the other in each.

Columns stand on a grid whose lines run along every square edge of the boat and no further apart than
`SPACING`, so that square rooms are told exactly and others to half a column. A floor is what water in a
column rests on: it has a height and the headroom below what covers it. Of floors that lie closer together
than `TIGHT` the lower one is covered.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt
import shapely

from model.contact import lowest
from model.geometry import Array
from model.hull import Hull
from model.survey import SIDES
from model.water.surfaces import Surface, Wall

Ints = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]

SPACING = 20.0
"""Greatest distance of grid lines, mm."""

LEAST = 0.8
"""Lines nearer to each other than this, mm, are one."""

LONG = 30.0
"""Edges shorter than this, mm, get no line of their own."""

TIGHT = 1.5
"""A gap less high than this, mm, lets no water through: metal that touches is welded or nearly so."""

KEEL = 8.0
"""Lines beside the centreline, mm, for water to run along the keel."""


@dataclass(frozen=True, eq=False)
class Grid:
    """Lines of the grid: `x` `(n + 1,)` and `y` `(m + 1,)`, mm; column (i, j) is number i m + j."""

    x: Array
    y: Array

    @property
    def shape(self) -> tuple[int, int]:
        """Columns along and athwart."""
        return len(self.x) - 1, len(self.y) - 1

    @cached_property
    def middles(self) -> tuple[Array, Array]:
        """Middles of the columns along and athwart."""
        return (self.x[:-1] + self.x[1:]) / 2.0, (self.y[:-1] + self.y[1:]) / 2.0

    @cached_property
    def centres(self) -> tuple[Array, Array]:
        """Middles of all columns, x and y, `(n m,)` each."""
        x, y = np.meshgrid(*self.middles, indexing="ij")
        return x.ravel(), y.ravel()

    @cached_property
    def areas(self) -> Array:
        """Areas of all columns in plan, `(n m,)`, mm2."""
        return np.outer(np.diff(self.x), np.diff(self.y)).ravel()

    def column(self, x: Array, y: Array) -> Ints:
        """The column over each place; -1 off the grid."""
        i = np.searchsorted(self.x, x, side="right") - 1
        j = np.searchsorted(self.y, y, side="right") - 1
        n, m = self.shape
        inside = (i >= 0) & (i < n) & (j >= 0) & (j < m)
        return np.where(inside, i * m + j, -1).astype(np.int64)

    def within(self, area: shapely.Polygon) -> Ints:
        """The columns whose middles lie in an area."""
        mx, my = self.middles
        x0, y0, x1, y1 = area.bounds
        i0, i1 = np.searchsorted(mx, (x0, x1))
        j0, j1 = np.searchsorted(my, (y0, y1))
        if i0 == i1 or j0 == j1:
            return np.zeros(0, dtype=np.int64)
        i, j = np.meshgrid(np.arange(i0, i1), np.arange(j0, j1), indexing="ij")
        shapely.prepare(area)
        inside = shapely.contains_xy(area, mx[i], my[j])
        return np.asarray((i * self.shape[1] + j)[inside], dtype=np.int64)


def grid_of(hull: Hull, surfaces: Sequence[Surface], walls: Sequence[Wall], spacing: float = SPACING) -> Grid:
    """The grid of a boat."""
    low, high = hull.span
    half = float(max(np.nanmax(hull.section(np.linspace(low, high, 41), side)[..., 0]) for side in SIDES))
    half = max(half, float(-min(hull.section(np.linspace(low, high, 41), "starboard")[..., 0].min(), 0.0)))
    x, y = [low - 1.0, high + 1.0], [-half - 1.0, half + 1.0, 0.0, -KEEL, KEEL]
    for a, b in _edges(surfaces, walls):
        step = np.abs(b - a)
        x += a[(step[:, 0] < 0.05) & (step[:, 1] > LONG), 0].tolist()
        y += a[(step[:, 1] < 0.05) & (step[:, 0] > LONG), 1].tolist()
    for rib in hull.ribs:
        x += [rib.x - rib.width / 2.0, rib.x + rib.width / 2.0]
    for bar in hull.stringers:
        y += [bar.y - bar.width / 2.0, bar.y + bar.width / 2.0]
        x += [bar.aft, bar.forward]
    return Grid(_filled(x, spacing), _filled(y, spacing))


def _edges(surfaces: Iterable[Surface], walls: Iterable[Wall]) -> Iterator[tuple[Array, Array]]:
    """Both ends of every stretch of an outline or an upright, `(k, 2)` each."""
    for surface in surfaces:
        for ring in (surface.area.exterior, *surface.area.interiors):
            points = shapely.get_coordinates(ring)
            yield points[:-1], points[1:]
    for wall in walls:
        yield wall.line[:-1], wall.line[1:]


def _filled(lines: list[float], spacing: float) -> Array:
    """The lines in order without twins, and more between them where they stand wide."""
    low, high = min(lines), max(lines)
    kept: list[float] = []
    for at in sorted(lines):
        if not kept or at - kept[-1] > LEAST:
            kept.append(at)
    kept[0], kept[-1] = low, high
    stops = np.array(kept)
    parts = np.maximum(np.ceil(np.diff(stops) / spacing - 1e-9), 1).astype(np.int64)
    within = [
        np.linspace(a, b, n, endpoint=False) for a, b, n in zip(stops[:-1], stops[1:], parts, strict=True)
    ]
    return np.concatenate([*within, stops[-1:]])


@dataclass(frozen=True, eq=False)
class Floors:
    """What water can rest on, in all columns.

    Attributes:
        grid: of the columns.
        column: of each floor, `(k,) int`.
        x, y, z: the middle of each floor, `(k,)`, mm.
        slope: rise per mm forward and to port, `(k, 2)`; 0 on the skin, which is no plane.
        ceiling: height of what covers it, `(k,)`, mm; inf in the open.
        piece: index into `names`, `(k,) int`; what the floor is of.
        names: of pieces; `hull` is the first.
        first: number of the lowest floor in each column, `(n m + 1,) int`; the floors of one follow on.
    """

    grid: Grid
    column: Ints
    z: Array
    slope: Array
    ceiling: Array
    piece: Ints
    names: tuple[str, ...]
    first: Ints

    @cached_property
    def x(self) -> Array:
        """Middle of each floor, forward, mm."""
        return self.grid.centres[0][self.column]

    @cached_property
    def y(self) -> Array:
        """Middle of each floor, to port, mm."""
        return self.grid.centres[1][self.column]

    @cached_property
    def area(self) -> Array:
        """Area of each floor in plan, mm2."""
        return self.grid.areas[self.column]

    def in_column(self, column: int) -> range:
        """Numbers of the floors in a column, from below."""
        return range(int(self.first[column]), int(self.first[column + 1])) if column >= 0 else range(0)


SKIN = 0
"""The piece `hull`."""


def skin_heights(hull: Hull, x: Array, y: Array) -> Array:
    """Height of the inside of the boat under places in plan, `(n,)`; nan outside.

    Over an end that leans outward it is the end's own.
    """
    found = np.full(len(x), np.nan)
    low, high = hull.span
    within = (x >= low) & (x <= high)
    for side, sign in ((SIDES[0], 1.0), (SIDES[1], -1.0)):
        own = np.flatnonzero(within & (sign * y >= 0.0))
        heights = lowest(hull.skins[side].curves, x[own], np.abs(y[own])).value
        rim = hull.line(hull.lines[-1], x[own], side)[:, 2]
        for end in hull.ends:
            n = end.normal
            past = n[0] * x[own] + n[1] * y[own] + n[2] * heights > end.offset
            leans_out = n[2] < -1e-6
            on_end = (end.offset - n[0] * x[own] - n[1] * y[own]) / n[2] if leans_out else np.nan
            heights = np.where(past, on_end, heights)
        found[own] = np.where(heights < rim, heights, np.nan)
    return found


@dataclass(frozen=True, eq=False)
class _Solids:
    """What one piece fills in the columns it stands in, `(k,)` each; `slope` `(k, 2)` of its top."""

    name: str
    column: Ints
    top: Array
    bottom: Array
    slope: Array


def floors_of(hull: Hull, surfaces: Sequence[Surface], grid: Grid) -> Floors:
    """All floors of a boat."""
    x, y = grid.centres
    skin = skin_heights(hull, x, y)
    inside = np.flatnonzero(np.isfinite(skin))
    level = np.zeros((len(inside), 2))
    solids = [_Solids("hull", inside, skin[inside], np.full(len(inside), -np.inf), level)]
    solids += _on_skin(hull, skin, grid)
    for surface in surfaces:
        at = grid.within(surface.area)
        at = at[np.isfinite(skin[at])]
        top = surface.height(x[at], y[at])
        slope = np.broadcast_to(surface.plane[1:], (len(at), 2))
        solids.append(_Solids(surface.name, at, top, top - surface.thickness, slope))
    return _stacked(grid, solids)


def _stacked(grid: Grid, solids: Sequence[_Solids]) -> Floors:
    """Solids in columns to the floors between them."""
    column = np.concatenate([s.column for s in solids])
    top, bottom = np.concatenate([s.top for s in solids]), np.concatenate([s.bottom for s in solids])
    slope = np.concatenate([s.slope for s in solids])
    piece = np.repeat(np.arange(len(solids)), [len(s.column) for s in solids])
    order = np.lexsort((top, column))
    column, top, bottom = column[order], top[order], bottom[order]
    last = np.append(column[1:] != column[:-1], True)
    cover = np.where(last, np.inf, np.append(bottom[1:], np.inf))
    while True:  # the lowest underside of all that lies above, not only of what comes next
        lower = np.minimum(cover, np.where(last, np.inf, np.append(cover[1:], np.inf)))
        if np.array_equal(lower, cover):
            break
        cover = lower
    kept = np.flatnonzero(cover - top >= TIGHT)
    first = np.searchsorted(column[kept], np.arange(len(grid.areas) + 1))
    names = tuple(s.name for s in solids)
    own = order[kept]
    return Floors(grid, column[kept], top[kept], slope[own], cover[kept], piece[own], names, first)


def _on_skin(hull: Hull, skin: Array, grid: Grid) -> Iterator[_Solids]:
    """Ribs and stringers."""
    x, y = grid.centres
    for rib in hull.ribs:
        for side, sign in ((SIDES[0], 1.0), (SIDES[1], -1.0)):
            reach = [float(hull.skins[side].line(name, rib.x)[0]) for name in (rib.low, rib.high)]
            own = (np.abs(x - rib.x) < rib.width / 2) & (sign * y > min(reach)) & (sign * y < max(reach))
            at = np.flatnonzero(own & np.isfinite(skin))
            yield _Solids(rib.name, at, skin[at] + rib.height, skin[at], np.zeros((len(at), 2)))
    for bar in hull.stringers:
        own = (np.abs(y - bar.y) < bar.width / 2) & (x > bar.aft) & (x < bar.forward)
        at = np.flatnonzero(own & np.isfinite(skin))
        top = np.fmax(hull.bottom(x[at], np.full(len(at), bar.y)) + bar.height, skin[at])
        yield _Solids(bar.name, at, top, skin[at], np.zeros((len(at), 2)))
