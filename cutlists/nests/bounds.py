"""What no plan can be cheaper than, by areas and by large pieces that cannot share a sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from scipy import fft
from scipy.optimize import Bounds, LinearConstraint, milp

from cutlists.nests.forms import SLACK, Form, Pose
from cutlists.nests.ground import Plot
from cutlists.nests.raster import Mask, touched_cells
from parts.outline import Array

_MOST_PAIRS = 30
_COARSE = 120.0
"""Cells along the longest side of the sheet when two large pieces are tried on it."""


@dataclass(frozen=True, eq=False)
class Needs:
    """What any choice of sheets must meet, as rows over the kinds of sheet.

    Attributes:
        room: rows of the most area each kind can be covered by; `area` the least that each row must come to.
        kinds: rows of which kinds count; `number` how many sheets of them there must be.
        bound: the least cost of whole sheets that meet all rows.
        why: what the bound rests on.
    """

    room: Array
    area: Array
    kinds: Array
    number: Array
    bound: float
    why: str

    def number_met(self, counts: Sequence[int]) -> bool:
        """Whether there are enough sheets for the pieces that cannot share one."""
        return bool((self.kinds @ np.asarray(counts) >= self.number - 1e-9).all())


def needs_of(forms: Sequence[Form], plots: Sequence[Plot], fits: npt.NDArray[np.bool_]) -> Needs:
    """What the pieces ask of the sheets.

    Pieces grown by half the spacing do not overlap if the spacing is kept, and lie within the usable
    sheet grown as much: so their areas add up to no more than the sheets'. An opening counts as metal
    where no other piece can lie in it.

    Args:
        forms: the pieces.
        plots: kinds of sheet and offcut, each once.
        fits: `(forms, plots)`: whether a form may fit a plot by itself; false only where it cannot.
    """
    areas = _areas(forms, plots)
    most = np.array([_room(plot) for plot in plots])
    room, area = _area_rows(areas, most, fits)
    kinds, number = _crowds(_apart(forms, plots, fits, areas, most), fits)
    by_area = _cheapest(plots, room, area)
    full = _cheapest(plots, np.concatenate([room, kinds]), np.concatenate([area, number]))
    crowded = full > by_area * (1 + 1e-9)
    return Needs(
        room, area, kinds, number, full, "large pieces that cannot share a sheet" if crowded else "areas"
    )


def _areas(forms: Sequence[Form], plots: Sequence[Plot]) -> Array:
    """Of each form the area it takes up for certain, spacing counted in, mm2."""
    half = plots[0].spacing / 2
    found = []
    for k, form in enumerate(forms):
        grown = _metal(form, form.polygon).buffer(half)
        closed = [
            shapely.Polygon(ring).area
            for ring in getattr(grown, "interiors", ())
            if not any(_may_hold(ring, other) for i, other in enumerate(forms) if i != k)
        ]
        found.append(grown.area + sum(closed))
    return np.array(found)


def _may_hold(ring: shapely.LinearRing, form: Form) -> bool:
    """Whether a form might lie in an opening: false only where area or width forbid it."""
    opening = shapely.Polygon(ring)
    metal = _metal(form, form.polygon)
    return metal.area <= opening.area and least_width(metal) <= least_width(opening) + 1e-6


def least_width(polygon: shapely.Polygon) -> float:
    """Least distance of two parallels with the polygon between them, mm.

    One of them runs along an edge of its hull.
    """
    corners = shapely.get_coordinates(polygon.convex_hull)[:-1]
    ahead = np.roll(corners, -1, axis=0) - corners
    normal = np.stack([-ahead[:, 1], ahead[:, 0]], axis=1) / np.hypot(*ahead.T)[:, None]
    across = corners @ normal.T
    return float(np.ptp(across, axis=0).min())


def _room(plot: Plot) -> float:
    """Most that grown pieces can cover of a plot, mm2."""
    return float(plot.usable.buffer(plot.spacing / 2, join_style="mitre").area)


def _area_rows(areas: Array, room: Array, fits: npt.NDArray[np.bool_]) -> tuple[Array, Array]:
    """Rows of room per plot and the least area each must hold: for pieces that share a set of plots.

    Every set of plots that some piece is held to must have room for all the pieces held within it.
    """
    sets = np.unique(fits, axis=0)
    rows, least = [], []
    for allowed in sets:
        within = ~(fits & ~allowed).any(axis=1)
        rows.append(np.where(allowed, room, 0.0))
        least.append(float(areas[within].sum()))
    rows.append(room)
    least.append(float(areas.sum()))
    return np.array(rows), np.array(least)


def _cheapest(plots: Sequence[Plot], rows: Array, least: Array) -> float:
    """Least cost of whole sheets that meet every row."""
    cost = np.array([plot.stock.cost for plot in plots])
    most = [np.inf if plot.stock.quantity is None else plot.stock.quantity for plot in plots]
    scale = np.maximum(np.abs(rows).max(axis=1), 1e-12)
    # A hair below, so that a sheet filled to the last is not taken for too full.
    meets = LinearConstraint(rows / scale[:, None], least / scale * (1 - 1e-9), np.inf)
    found = milp(
        cost, constraints=meets, integrality=np.ones(len(plots), dtype=np.int64), bounds=Bounds(0, most)
    )
    return float(found.fun) if found.success else 0.0


def _apart(
    forms: Sequence[Form], plots: Sequence[Plot], fits: npt.NDArray[np.bool_], areas: Array, room: Array
) -> npt.NDArray[np.bool_]:
    """Pairs of forms that no sheet can hold both of, `(forms, forms)`."""
    found = np.zeros((len(forms), len(forms)), dtype=np.bool_)
    tried = 0
    order = np.argsort(-areas, kind="stable")
    for place, i in enumerate(order):
        for j in order[place + 1 :]:
            both = fits[i] & fits[j]
            large = areas[i] + areas[j] > room
            apart = large | ~both
            if apart.all():
                found[i, j] = found[j, i] = True
            elif areas[i] + areas[j] > 0.4 * room[both].max() and tried < _MOST_PAIRS:
                tried += 1
                one, two = forms[i], forms[j]
                if not any(may_share(one, two, plots[int(k)]) for k in np.flatnonzero(~apart)):
                    found[i, j] = found[j, i] = True
    return found


def may_share(one: Form, two: Form, plot: Plot) -> bool:
    """Whether two forms might lie on one sheet; false only where that is impossible.

    The second is tried at every place about the first, a cell's width of places at once: by the cells
    that it covers at all of them, and the least box that both need.
    """
    cell = max(plot.size) / _COARSE
    for pose in (p for p in one.poses if not p.flipped):
        first = _inner(_metal(one, pose.polygon), pose.size, 0.0, cell)
        for other in two.poses:
            second = _core(
                _inner(_metal(two, other.polygon).buffer(plot.spacing), other.size, plot.spacing, cell)
            )
            if _finds_place(pose, other, first, second, plot, cell):
                return True
    return False


def _metal(form: Form, polygon: shapely.Polygon) -> shapely.Polygon:
    """The form's polygon, no larger than the piece."""
    return polygon if form.is_exact else polygon.buffer(-SLACK)


def _inner(polygon: shapely.Geometry, size: tuple[float, float], rim: float, cell: float) -> Mask:
    """Cells wholly inside a polygon whose box, less a rim all round, has its low corner at the origin.

    The raster starts whole cells before the origin, as many as the rim takes.
    """
    before = int(np.ceil(rim / cell))
    nx, ny = (int(np.ceil((side + rim) / cell)) + before + 1 for side in size)
    whole = shapely.box(-cell, -cell, (nx + 1) * cell, (ny + 1) * cell)
    moved = shapely.transform(polygon, lambda xy: xy + before * cell)
    return ~touched_cells(whole.difference(moved), (nx, ny), cell)


def _core(inner: Mask) -> Mask:
    """Cells covered wherever the shape is moved up to one cell right and up."""
    found = np.zeros((inner.shape[0] + 1, inner.shape[1] + 1), dtype=np.bool_)
    found[1:-1, 1:-1] = inner[1:, 1:] & inner[:-1, 1:] & inner[1:, :-1] & inner[:-1, :-1]
    return found


def _finds_place(pose: Pose, other: Pose, first: Mask, second: Mask, plot: Plot, cell: float) -> bool:
    """Whether some place of `other` about `pose` is not ruled out."""
    before = int(np.ceil(plot.spacing / cell))
    n, m = np.array(first.shape), np.array(second.shape)
    sizes = tuple(fft.next_fast_len(int(k), real=True) for k in n + m)
    product = fft.rfft2(first.astype(np.float64), sizes) * np.conj(
        fft.rfft2(second.astype(np.float64), sizes)
    )
    counts = fft.irfft2(product, sizes)
    possible = np.ones((1, 1), dtype=np.bool_)
    reach = []
    for axis in (0, 1):
        w, v = pose.size[axis], other.size[axis]
        # Low corner of the other's box at `at` cells, or up to one more.
        at = np.arange(-int(np.ceil(v / cell)) - 1, int(np.ceil(w / cell)) + 2)
        span = np.maximum(w, at * cell + v) - np.minimum(0.0, (at + 1) * cell)
        reach.append(at[span <= plot.size[axis] + 1e-6])
    x, y = np.meshgrid(reach[0] - before, reach[1] - before, indexing="ij")
    inside = (x > -m[0]) & (x < n[0]) & (y > -m[1]) & (y < n[1])
    hit = np.where(inside, counts[x % sizes[0], y % sizes[1]], 0.0)
    possible = hit < 0.5
    return bool(possible.any())


def _crowds(apart: npt.NDArray[np.bool_], fits: npt.NDArray[np.bool_]) -> tuple[Array, Array]:
    """Rows that ask for as many sheets as there are pieces no two of which can share one.

    One crowd is gathered for each set of plots that some piece is held to, largest pieces first.
    """
    rows, least = [], []
    sets = [*np.unique(fits, axis=0), np.ones(fits.shape[1], dtype=np.bool_)]
    for allowed in sets:
        within = np.flatnonzero(~(fits & ~allowed).any(axis=1))
        crowd: list[int] = []
        for i in sorted(within, key=lambda i: -int(apart[i].sum())):
            if all(apart[i, j] for j in crowd):
                crowd.append(int(i))
        rows.append(allowed.astype(np.float64))
        least.append(float(len(crowd)))
    return np.array(rows), np.array(least)
