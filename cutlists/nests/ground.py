"""One sheet while pieces are laid on it: where the next finds room, and how close it goes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import shapely

from cutlists.nests.forms import Form, Pose, edges_of
from cutlists.nests.raster import Counts, Field, Mask, mark, touched_cells
from cutlists.nests.records import Placement, Stock
from parts.outline import Array

TOUCH = 1e-4
"""What is left between outlines that are pushed together, mm; three times it may be taken off a gap."""
_ASK, _PUT = 1.7e-4, 5e-4
"""Nominal seconds to look for one pose and to lay one form, as measured on a plain machine."""
_MOST_NEAR = 8
"""Places on the raster just too narrow that are looked at closely."""


class Rule(NamedTuple):
    """Which of the places a piece fits is taken: least along `axis` first, then least across.

    `far` measures to the far side of the piece, else to its near side.
    """

    axis: int
    far: bool


class Spot(NamedTuple):
    """A place for a form: its pose and the low corner of the pose's box, mm from the ground's corner."""

    pose: Pose
    x: float
    y: float


@dataclass(frozen=True, eq=False)
class Laid:
    """A form that lies on the sheet."""

    form: Form
    spot: Spot

    @property
    def polygon(self) -> shapely.Polygon:
        """What it takes up, from the ground's corner."""
        return self.spot.pose.at(self.spot.x, self.spot.y)


class Plot:
    """What is usable of a kind of stock, the same for every sheet of it.

    Attributes:
        corner: low corner of the usable part's box on the sheet, mm; the plot's own origin.
        usable: the sheet within its margin, from the corner.
        field: its raster with everything outside taken.
    """

    def __init__(self, stock: Stock, spacing: float, margin: float, cell: float) -> None:
        self.stock, self.spacing, self.cell = stock, spacing, cell
        usable = stock.polygon.buffer(-margin, join_style="mitre")
        self.is_empty = usable.is_empty
        corner = (0.0, 0.0) if usable.is_empty else usable.bounds[:2]
        self.corner = np.array(corner)
        self.usable = shapely.transform(usable, lambda xy: xy - self.corner)
        self.size = (0.0, 0.0) if usable.is_empty else self.usable.bounds[2:]
        self.area = float(usable.area)
        shape = tuple(max(1, int(np.ceil(side / cell - 1e-6))) for side in self.size)
        frame = shapely.box(-cell, -cell, (shape[0] + 1) * cell, (shape[1] + 1) * cell)
        outside = frame.difference(self.usable)
        self.taken: Mask = touched_cells(outside, (shape[0], shape[1]), cell)
        self.edges = edges_of(self.usable)
        self.roomy = self.usable.buffer(3 * TOUCH)

    @property
    def is_box(self) -> bool:
        """Whether the usable part is a rectangle along x and y."""
        return self.stock.is_rectangle


class Ground:
    """A plot with the forms laid on it so far.

    `spent` counts the nominal seconds of work on it. A form that found no room is not tried again, since
    room only shrinks.
    """

    def __init__(self, plot: Plot) -> None:
        self.plot = plot
        self.laid: list[Laid] = []
        self.free = plot.area
        self.spent = 0.0
        self._field = Field(plot.taken)
        self._walls: list[Array] = [plot.edges]
        self._polygons: list[shapely.Polygon] = []
        self._openings: Mask | None = None
        self._largest_opening = 0.0
        self._refused: set[int] = set()

    def put(self, form: Form, spot: Spot) -> None:
        """Lay a form; openings of it become room for others."""
        laid = Laid(form, spot)
        polygon = laid.polygon
        self.spent += _PUT
        grown = grown_by(polygon, self.plot.spacing)
        self._field.take(grown, self.plot.cell)
        self._walls.append(edges_of(grown))
        self._polygons.append(polygon)
        self.laid.append(laid)
        self.free -= float(polygon.area)
        self._refused = set(self._refused)  # copies that lie as before keep the one they share
        if polygon.interiors:
            holes = [shapely.Polygon(ring) for ring in polygon.interiors]
            before = np.zeros_like(self.plot.taken) if self._openings is None else self._openings.copy()
            self._openings = mark(before, shapely.MultiPolygon(holes), self.plot.cell)
            self._largest_opening = max(self._largest_opening, *(hole.area for hole in holes))

    def find(self, form: Form, rule: Rule, openings_only: bool = False) -> Spot | None:
        """The best place for a form by the rule, pushed close to what lies there; None if there is none."""
        if id(form) in self._refused or form.polygon.area > (
            self._largest_opening if openings_only else self.free + 1.0
        ):
            return None
        best: tuple[tuple[float, float], Pose, int, int] | None = None
        near: list[tuple[Pose, Counts]] = []
        self.spent += _ASK * len(form.poses)
        for pose, counts in zip(form.poses, self._field.overlaps(form.kernels), strict=True):
            if counts is None:
                counts = np.full((1, 1), np.inf, dtype=np.float32)  # snug places may still be there
            fits = counts < 0.5
            if openings_only:
                fits &= self._in_openings(pose, fits.shape)
            elif best is None:
                near.append((pose, counts))
            found = _first(fits, rule.axis)
            if found is not None:
                rank = _rank(pose, found, rule)
                if best is None or rank < best[0]:
                    best = (rank, pose, *found)
        if best is not None:
            _, pose, i, j = best
            return self._pushed(pose, i * self.plot.cell, j * self.plot.cell, rule.axis)
        if openings_only:
            return None
        spot = next(self._snug(near, rule), None)
        if spot is None:
            self._refused.add(id(form))
        return spot

    def _in_openings(self, pose: Pose, room: tuple[int, ...]) -> Mask:
        """Places where a cell of the pose is in an opening; being clear of metal it is then wholly there."""
        assert self._openings is not None
        i, j = pose.inner
        return self._openings[i : i + room[0], j : j + room[1]]

    def _pushed(self, pose: Pose, x: float, y: float, axis: int) -> Spot:
        """The spot moved along the axis, across it, and along it again until it touches."""
        walls = np.concatenate(self._walls)
        at = np.array([x, y])
        for way in (axis, 1 - axis, axis):
            at[way] -= travel(pose.edges + at, walls, way)
        spot = Spot(pose, float(at[0]), float(at[1]))
        return spot if self.is_clear(spot) else Spot(pose, x, y)

    def is_clear(self, spot: Spot) -> bool:
        """Whether a spot keeps inside and apart, told by exact geometry."""
        polygon = spot.pose.at(spot.x, spot.y)
        if not self.plot.roomy.covers(polygon):
            return False
        return not np.any(shapely.dwithin(polygon, self._polygons, self.plot.spacing - 3 * TOUCH))

    def _snug(self, near: list[tuple[Pose, Counts]], rule: Rule) -> Iterator[Spot]:
        """Places between walls that the raster is too coarse to see, tried exactly."""
        cell = self.plot.cell
        stops = [self._stops(axis) for axis in (0, 1)]
        for pose, counts in near:
            # A gap as wide as the piece may end within a cell on both sides: two rows and two columns.
            cells = np.argwhere(counts < 2 * sum(pose.cells.shape) + 0.5)
            hits = np.rint(counts[cells[:, 0], cells[:, 1]])
            order = np.lexsort((cells[:, 1 - rule.axis], cells[:, rule.axis], hits))
            tried: set[tuple[float, float]] = set()
            for i, j in cells[order[:_MOST_NEAR]].tolist():
                for x in _about(stops[0], pose.size[0], i * cell, cell):
                    for y in _about(stops[1], pose.size[1], j * cell, cell):
                        if (x, y) not in tried and self.is_clear(Spot(pose, x, y)):
                            yield Spot(pose, x, y)
                        tried.add((x, y))

    def _stops(self, axis: int) -> Array:
        """Where walls stand square to the axis, in rising order."""
        walls = np.concatenate(self._walls)
        square = np.abs(walls[:, 0, axis] - walls[:, 1, axis]) < 1e-9
        return np.unique(np.round(walls[square, 0, axis], 6))

    def copy(self) -> Ground:
        """The same ground, that can be laid on further without changing this one."""
        new = Ground(self.plot)
        new.laid, new._walls, new._polygons = list(self.laid), list(self._walls), list(self._polygons)
        new.free, new._openings, new._largest_opening = self.free, self._openings, self._largest_opening
        new._field, new._refused = self._field.copy(), self._refused
        return new

    def placements(self) -> list[Placement]:
        """Every piece on the sheet, in the sheet's coordinates."""
        corner = self.plot.corner
        return [
            laid.form.placement(laid.spot.pose, laid.spot.x + corner[0], laid.spot.y + corner[1])
            for laid in self.laid
        ]


def grown_by(polygon: shapely.Polygon, spacing: float) -> shapely.Polygon:
    """The polygon with what must stay clear round it; true along edges, at corners up to a tenth more."""
    return polygon.buffer(spacing, join_style="mitre", mitre_limit=1.1)


def _first(fits: Mask, axis: int) -> tuple[int, int] | None:
    """The cell that is first along the axis, then across."""
    lines = np.asarray(fits.any(axis=1 - axis))
    at = int(lines.argmax())
    if not lines[at]:
        return None
    across = int((fits[at] if axis == 0 else fits[:, at]).argmax())
    return (at, across) if axis == 0 else (across, at)


def _rank(pose: Pose, at: tuple[int, int], rule: Rule) -> tuple[float, float]:
    reach = [n + (k if rule.far else 0) for n, k in zip(at, pose.cells.shape, strict=True)]
    return float(reach[rule.axis]), float(reach[1 - rule.axis])


def _about(stops: Array, side: float, about: float, cell: float) -> list[float]:
    """Low ends within two cells of `about` that bring one end of a side to a stop."""
    low = stops[np.searchsorted(stops, about - 2 * cell) : np.searchsorted(stops, about + 2 * cell)]
    far = about + side
    high = stops[np.searchsorted(stops, far - 2 * cell) : np.searchsorted(stops, far + 2 * cell)]
    return [*low.tolist(), *(high - side).tolist()][:6]


def travel(edges: Array, walls: Array, axis: int) -> float:
    """How far edges `(n, 2, 2)` may move against the axis before they meet walls `(m, 2, 2)`, mm."""
    if axis == 1:
        edges, walls = edges[:, :, ::-1], walls[:, :, ::-1]
    low, high = edges[:, :, 1].min(), edges[:, :, 1].max()
    right = edges[:, :, 0].max()
    ahead = (
        (walls[:, :, 1].max(axis=1) >= low)
        & (walls[:, :, 1].min(axis=1) <= high)
        & (walls[:, :, 0].min(axis=1) <= right)
    )
    walls = walls[ahead]
    gaps = np.concatenate([_gaps(edges[:, 0], walls), -_gaps(walls[:, 0], edges)])
    gaps = gaps[gaps > -2 * TOUCH]
    return max(0.0, float(gaps.min()) - TOUCH) if len(gaps) else 0.0


def _gaps(points: Array, segments: Array) -> Array:
    """For each point and segment at the point's height, how far the segment lies to the left of it."""
    a, b = segments[:, 0], segments[:, 1]
    y = points[:, 1][:, None]
    rise = b[:, 1] - a[:, 1]
    level = np.abs(rise) < 1e-12
    share = (y - a[:, 1]) / np.where(level, 1.0, rise)
    meets = (share >= 0) & (share <= 1) & ~level
    x = a[:, 0] + share * (b[:, 0] - a[:, 0])
    found: Array = (points[:, 0][:, None] - x)[meets]
    return found
