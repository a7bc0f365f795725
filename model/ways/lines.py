"""The lines along which runs can be clipped: beside and below members, on upright sheet, along the skin.

Each line keeps a stand-off from what it runs along. A line, or a lattice of them, is cut into places; those
that follow on each other are linked, and the rest is for `places`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
import shapely

from model.geometry import Array
from model.member import Member
from model.panel import Panel
from model.stiffeners import Stringer
from model.survey import SIDES

if TYPE_CHECKING:
    from model.boat import Boat
    from model.hull import Hull

SPACING = 90.0
"""Greatest distance of places on a line, mm."""

UPRIGHT = 0.7
"""Sheet whose face leans no more than to this share of level is run along."""

HULL_ROWS = 90.0
"""Distance of the lines along the skin from each other, mm."""


ROUND = np.array([(0, -1), (1, 0), (-1, 0), (0, 1), (1, -1), (-1, -1), (1, 1), (-1, 1)], dtype=np.float64)
"""Where lines along a member lie, across and up: at the middles of its faces and at its edges."""


@dataclass(frozen=True, eq=False)
class Line:
    """Places `(n, 3)` along `piece`, mm, and which of them follow on each other, `(m, 2)`."""

    piece: str
    points: Array
    pairs: npt.NDArray[np.int64]


def lines_of(boat: Boat, off: float, spacing: float = SPACING) -> list[Line]:
    """All lines of a boat at a stand-off, mm, wherever they lead; what they run into is for others to say."""
    found: list[Line] = []
    for member in boat.members:
        if not member.is_cut_away:
            found += _along_member(member, off, spacing)
    for panel in boat.panels:
        if abs(float(panel.frame.z[2])) < UPRIGHT and panel.role != "lid":
            found += _along_panel(panel, off, spacing)
    found += _along_hull(boat.hull, off, spacing)
    for bar in boat.hull.stringers:
        found += _along_stringer(boat.hull, bar, off, spacing)
    found += _over_ribs(boat.hull, off, spacing)
    return found


def _along_member(member: Member, off: float, spacing: float) -> Iterator[Line]:
    """Lines at the middles of the four faces and at the four edges."""
    ends = member.frame.to_frame(member.corners.reshape(-1, 3))[:, 0].reshape(2, 4)
    low, high = float(ends[0].min()) + off, float(ends[1].max()) - off
    if high - low < 2.0 * off:
        return
    x = np.linspace(low, high, max(2, int(np.ceil((high - low) / spacing)) + 1))
    y, z = member.section.width / 2.0 + off, member.section.height / 2.0 + off
    local = np.empty((len(ROUND), len(x), 3))
    local[..., 0], local[..., 1:] = x, (ROUND * (y, z))[:, None]
    number = np.arange(local[..., 0].size).reshape(local.shape[:2])
    pairs = np.stack([number[:, :-1].ravel(), number[:, 1:].ravel()], axis=1)
    yield Line(member.name, member.frame.to_boat(local.reshape(-1, 3)), pairs)


def _along_panel(panel: Panel, off: float, spacing: float) -> Iterator[Line]:
    """A line off the edges of upright sheet, and a lattice on each face, its outer rows near the edges."""
    yield _round_edge(panel, off, spacing)
    inner = panel.polygon.buffer(-2.0 * off)
    if inner.is_empty:
        return
    x0, y0, x1, y1 = inner.bounds
    x = np.linspace(x0, x1, max(2, int(np.ceil((x1 - x0) / spacing)) + 1))
    y = np.linspace(y0, y1, max(2, int(np.ceil((y1 - y0) / spacing)) + 1))
    u, v = np.meshgrid(x, y, indexing="ij")
    inside = shapely.intersects_xy(inner.buffer(1e-6), u, v)
    for height in (off, -panel.sheet.thickness - off):
        points = panel.frame.to_boat(np.stack([u, v, np.full(u.shape, height)], axis=-1))
        yield _lattice(panel.name, np.where(inside[..., None], points, np.nan))


def _round_edge(panel: Panel, off: float, spacing: float) -> Line:
    """A line off the edge of a sheet, by which a run goes round it where the edge is free."""
    ring = panel.polygon.buffer(off, join_style="mitre").exterior
    count = max(4, int(np.ceil(ring.length / spacing)))
    flat = shapely.get_coordinates(
        shapely.line_interpolate_point(ring, np.arange(count) * ring.length / count)
    )
    points = np.column_stack([flat, np.full(count, -panel.sheet.thickness / 2.0)])
    number = np.arange(count)
    return Line(panel.name, panel.frame.to_boat(points), np.stack([number, np.roll(number, -1)], axis=1))


def _line(piece: str, points: Array) -> Line:
    """A line through places `(n, 3)`, cut where they are nan."""
    return _lattice(piece, points[:, None])


def _lattice(piece: str, points: Array) -> Line:
    """Rows and columns of a grid `(n, m, 3)`, cut where places are nan."""
    good = ~np.isnan(points).any(axis=2)
    number = np.where(good, np.cumsum(good).reshape(good.shape) - 1, -1)
    along = np.stack([number[:-1].ravel(), number[1:].ravel()], axis=1)
    aside = np.stack([number[:, :-1].ravel(), number[:, 1:].ravel()], axis=1)
    pairs = np.concatenate([along, aside])
    return Line(piece, points[good], pairs[(pairs >= 0).all(axis=1)])


def _along_hull(hull: Hull, off: float, spacing: float) -> Iterator[Line]:
    """A lattice along the sides and one along the bottom, stood off along the skin's normal."""
    first, last = hull.span
    x = np.linspace(first + off, last - off, max(2, int(np.ceil((last - first) / spacing)) + 1))
    ends = np.concatenate(
        [hull.section(x, "port")[..., 1].ravel(), hull.section(x, "starboard")[..., 1].ravel()]
    )
    low, high = float(np.nanmin(ends)), float(np.nanmax(ends))
    z = np.arange(low + HULL_ROWS / 2.0, high, HULL_ROWS)
    grid_x, grid_z = np.meshgrid(x, z, indexing="ij")
    for side, hand in zip(SIDES, (1.0, -1.0), strict=True):
        half = hull.half_breadth(grid_x, grid_z, side)
        normal = hull.normal(grid_x, grid_z, side)
        skin = np.stack([grid_x, hand * half, grid_z], axis=-1)
        yield _lattice("hull", skin - off * normal)
    most = float(np.nanmax(np.abs(hull.section(x, "port")[..., 0])))
    y = np.arange(-most + HULL_ROWS / 2.0, most, HULL_ROWS)
    grid_x, grid_y = np.meshgrid(x, y, indexing="ij")
    skin = np.stack([grid_x, grid_y, hull.bottom(grid_x, grid_y)], axis=-1)
    yield _lattice("hull", skin - off * hull.normal_at(grid_x, grid_y))


def _along_stringer(hull: Hull, bar: Stringer, off: float, spacing: float) -> Iterator[Line]:
    """Lines over a stringer and at its upper edges and sides."""
    length = bar.forward - bar.aft
    x = np.linspace(bar.aft + off, bar.forward - off, max(2, int(np.ceil(length / spacing)) + 1))
    top = hull.bottom(x, np.full(len(x), bar.y)) + bar.height
    aside = bar.width / 2.0 + off
    for across, up in ((0.0, off), (aside, off), (-aside, off), (aside, -off), (-aside, -off)):
        points = np.column_stack([x, np.full(len(x), bar.y + across), top + up])
        yield _line(bar.name, points)


def _over_ribs(hull: Hull, off: float, spacing: float) -> Iterator[Line]:
    """Lines athwart over ribs, at the same places off the centreline as along the bottom."""
    for rib in hull.ribs:
        most = float(np.abs(hull.section(rib.x, "port")[..., 0]).max())
        y = np.arange(-most + spacing / 2.0, most, spacing)
        lean = 1.0 / np.abs(hull.normal_at(np.full(len(y), rib.x), y)[:, 2])
        z = hull.bottom(np.full(len(y), rib.x), y) + rib.height + off * lean
        points = np.column_stack([np.full(len(y), rib.x), y, z])
        high = max(float(hull.line(rib.high, rib.x, side)[2]) for side in SIDES)
        points[points[:, 2] > high + rib.height + off] = np.nan
        yield _line(rib.name, points)
