"""Where a panel larger than its sheet is divided: along members, into the fewest and most even pieces."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
import shapely

from model.flat_arcs import polygons_of
from model.geometry import Array
from model.seam_lines import SeamLine, seam_lines

SEAM_GAP = 0.8
"""Gap left between two pieces at a seam, mm (1/32 in, common practice for sheet butted over a member)."""

Grain = Literal["x", "y"]
_MOST_PIECES = 12


class SeamError(ValueError):
    """A panel exceeds its sheet and no member lies where it would have to be divided.

    Attributes:
        wrong: what is wrong, in mm of the panel's own frame.
        right: what would help.
        axis: the frame's axis along which the piece is too long, 'x' or 'y'.
        low: a seam must lie beyond this coordinate on that axis, mm.
        high: and before this one, mm.
    """

    def __init__(self, axis: Grain, low: float, high: float, length: float, sheet: float) -> None:
        self.axis: Grain = axis
        self.low, self.high = low, high
        self.wrong = (
            f"a piece is {length:.0f} mm along {axis}, the sheet takes {sheet:.0f} mm, and no member between "
            f"{axis}={low:.0f} and {axis}={high:.0f} carries a seam across it"
        )
        self.right = f"add a member across the panel between {axis}={low:.0f} and {axis}={high:.0f}"
        super().__init__(f"{self.wrong}; {self.right}")


@dataclass(frozen=True, eq=False)
class SeamPlan:
    """A panel divided: its pieces, each within a sheet, and the seams between them, mm."""

    pieces: tuple[shapely.Polygon, ...]
    seams: tuple[shapely.LineString, ...]


@dataclass(frozen=True)
class SheetFit:
    """What fits a sheet: its sizes as (width, length), a margin all round, and the way of the grain.

    With `grain` the sheet's length runs along that axis of the panel; without it a piece may lie on the
    sheet at any angle its own edges suggest.
    """

    sizes: tuple[tuple[float, float], ...]
    clearance: float = 6.0
    grain: Grain | None = None

    @property
    def usable(self) -> Array:
        """Usable (width, length) of each size, `(k, 2) float`, mm, width the lesser."""
        return np.sort(np.array(self.sizes, dtype=np.float64), axis=1) - 2 * self.clearance

    def takes(self, polygon: shapely.Polygon) -> bool:
        """Whether the polygon fits one of the sizes."""
        corners = shapely.get_coordinates(polygon.convex_hull)
        extent = np.ptp(corners, axis=0)
        if self.grain:
            size = extent[::-1] if self.grain == "x" else extent
            return bool((size <= self.usable + 1e-6).all(axis=1).any())
        ahead = np.diff(corners, axis=0)
        angle = np.concatenate([[0.0], np.arctan2(ahead[:, 1], ahead[:, 0])])
        along = np.outer(np.cos(angle), corners[:, 0]) + np.outer(np.sin(angle), corners[:, 1])
        across = np.outer(np.cos(angle), corners[:, 1]) - np.outer(np.sin(angle), corners[:, 0])
        sizes = np.sort(np.stack([np.ptp(along, axis=1), np.ptp(across, axis=1)], axis=1), axis=1)
        return bool((sizes[:, None, :] <= self.usable[None] + 1e-6).all(axis=2).any())

    def fewest(self, polygon: shapely.Polygon) -> int:
        """A number of pieces that cannot be undercut: by area, and by the sheet's diagonal."""
        largest = self.usable
        by_area = polygon.area / float(largest.prod(axis=1).max())
        low_x, low_y, high_x, high_y = polygon.bounds
        reach = max(high_x - low_x, high_y - low_y) / float(np.hypot(*largest.T).max())
        return max(1, math.ceil(by_area - 1e-9), math.ceil(reach - 1e-9))


def split_at_seams(
    polygon: shapely.Polygon,
    fit: SheetFit,
    lines: Sequence[shapely.LineString],
    gap: float = SEAM_GAP,
    reach: float = 60.0,
    sliver: float = 40.0,
) -> SeamPlan:
    """The panel in the fewest pieces that each fit a sheet, of those the most even, parted along members.

    Args:
        polygon: the panel's outline with holes in its own frame, mm.
        fit: the sheets it may be cut from.
        lines: centre lines of the members under it, in the same frame; straight.
        gap: left between pieces at a seam, mm, half on either side of the line.
        reach: a line is taken to carry a seam this far beyond its own ends, mm, so that it need only come
            near the panel's edge, and members in line count as one across the member between them.
        sliver: no piece may be narrower than this all along, mm.

    Raises:
        SeamError: a member is missing where the panel would have to be parted.
    """
    if fit.takes(polygon):
        return SeamPlan((polygon,), ())
    search = _Search(fit, seam_lines(lines, reach), gap, sliver)
    least = max(2, fit.fewest(polygon))
    for most in range(least, max(least + 4, _MOST_PIECES)):
        found = search.best(polygon, most)
        if found is not None:
            return SeamPlan(found.pieces, found.seams)
        if most == least:
            _demand_lines(polygon, search)
    raise _missing(polygon, fit)


@dataclass(frozen=True, eq=False)
class _Division:
    pieces: tuple[shapely.Polygon, ...]
    seams: tuple[shapely.LineString, ...]

    @property
    def cost(self) -> tuple[int, float]:
        """Number of pieces, then unevenness; both add up over the parts of a panel."""
        return len(self.pieces), sum(piece.area**2 for piece in self.pieces)


@dataclass(eq=False)
class _Search:
    """Exact search over cuts right across a piece, one after the other, each result kept."""

    fit: SheetFit
    lines: list[SeamLine]
    gap: float
    sliver: float
    known: dict[tuple[float, ...], _Division | None] = field(default_factory=dict)

    def best(self, piece: shapely.Polygon, most: int) -> _Division | None:
        """The best division of the piece into `most` pieces or fewer, or None."""
        if self.fit.takes(piece):
            return _Division((piece,), ())
        if most < max(2, self.fit.fewest(piece)):
            return None
        key = (*np.round((*piece.bounds, piece.area), 2).tolist(), most)
        if key not in self.known:
            self.known[key] = self._best_cut(piece, most)
        return self.known[key]

    def _best_cut(self, piece: shapely.Polygon, most: int) -> _Division | None:
        best: _Division | None = None
        for line in self.lines:
            parts, seams = self.parted(piece, line)
            if len(parts) < 2 or (best is not None and self._floor(parts) >= best.cost):
                continue
            found = self._together(parts, seams, most)
            if found is not None and (best is None or found.cost < best.cost):
                best = found
                most = len(best.pieces)
        return best

    def _floor(self, parts: list[shapely.Polygon]) -> tuple[int, float]:
        """A cost that no division of the parts undercuts: the fewest pieces each, all of one size."""
        counts = [self.fit.fewest(part) for part in parts]
        # Seams take a little off each part before it is divided; 2 % is more than they can.
        return sum(counts), sum((0.98 * p.area) ** 2 / n for p, n in zip(parts, counts, strict=True))

    def _together(
        self, parts: list[shapely.Polygon], seams: list[shapely.LineString], most: int
    ) -> _Division | None:
        """The best divisions of all parts, within `most` pieces in all."""
        floors = [1 if self.fit.takes(part) else max(2, self.fit.fewest(part)) for part in parts]
        spare = most - sum(floors)
        pieces: list[shapely.Polygon] = []
        for part, floor in zip(parts, floors, strict=True):
            found = self.best(part, floor + spare) if spare >= 0 else None
            if found is None:
                return None
            spare -= len(found.pieces) - floor
            pieces.extend(found.pieces)
            seams = [*seams, *found.seams]
        return _Division(tuple(pieces), tuple(seams))

    def parted(
        self, piece: shapely.Polygon, line: SeamLine
    ) -> tuple[list[shapely.Polygon], list[shapely.LineString]]:
        """The piece parted along the line where it carries a seam; one part if it cannot be."""
        seams = line.across(piece)
        if not seams:
            return [piece], []
        bands = [
            shapely.buffer(line.longer(seam, 4 * self.gap), self.gap / 2, cap_style="flat") for seam in seams
        ]
        parts = polygons_of(piece.difference(shapely.union_all(bands)))
        if any(part.buffer(-self.sliver / 2).is_empty for part in parts):
            return [piece], []
        return parts, seams


def _demand_lines(polygon: shapely.Polygon, search: _Search) -> None:
    """Refuse a panel of which some part exceeds the sheet even when parted along every line.

    Raises:
        SeamError: there is such a part.
    """
    cells = [polygon]
    for line in search.lines:
        cells = [part for cell in cells for part in search.parted(cell, line)[0]]
    for cell in cells:
        if not search.fit.takes(cell):
            raise _missing(cell, search.fit)


def _missing(piece: shapely.Polygon, fit: SheetFit) -> SeamError:
    """What line a piece that exceeds the sheet is missing."""
    low_x, low_y, high_x, high_y = piece.bounds
    wide, long = fit.usable[int(np.argmax(fit.usable.prod(axis=1)))]
    ways = {"x": [(long, wide)], "y": [(wide, long)]}.get(fit.grain or "", [(long, wide), (wide, long)])
    over: list[tuple[float, Grain, float]] = []
    for along_x, along_y in ways:
        excess_x, excess_y = (high_x - low_x) / along_x, (high_y - low_y) / along_y
        axis: Grain = "x" if excess_x >= excess_y else "y"
        over.append((max(excess_x, excess_y), axis, along_x if axis == "x" else along_y))
    _, axis, room = min(over)
    low, high = (low_x, high_x) if axis == "x" else (low_y, high_y)
    return SeamError(axis, max(low, high - room), min(high, low + room), high - low, room)
