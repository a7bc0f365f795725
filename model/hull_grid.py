"""Points of the skin in rows, the first and the last in the planes of the ends, and the skin's outside."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from model.geometry import Array, Plane
from model.hull import Hull
from model.skin import Cubics

KEENEST = 0.3
"""Least 1 + n1.n2 of the outward normals at an edge; a keener edge, as at a stem, is blunted to this."""

WIDE = 60.0
"""Millimetres; wider strips are divided where an end leans..."""
PARTS = 6
"""...into so many, which leaves 1/36 of the bow of the cut across one."""


@dataclass(frozen=True, eq=False, slots=True)
class Grid:
    """Points of the skin.

    Attributes:
        x: `(r,) float`, a parameter that rises along the hull: x but near ends that lean.
        points: `(r, n, 3) float`; columns run on curves or rulings from the starboard gunwale.
        normals: `(r, n - 1, 3) float`, unit, out of the boat, of the strips between columns.
        ends: the planes of the first and last row, normals out of the boat.
        columns: `(m,) int`, the column of each curve of the hull's chain; others lie between curves.
    """

    x: Array
    points: Array
    normals: Array
    ends: tuple[Plane, Plane]
    columns: npt.NDArray[np.int64]

    def outside(self, thickness: float) -> Array:
        """The points moved so that all strips and both ends lie `thickness` mm farther out: `(r, n, 3)`."""
        first, last = self.normals[:, :1], self.normals[:, -1:]
        left = np.concatenate([first, self.normals], axis=1)
        right = np.concatenate([self.normals, last], axis=1)
        alike = np.maximum(1.0 + np.einsum("ijk,ijk->ij", left, right), KEENEST)
        moved = (left + right) / alike[..., None]
        for row, end in ((0, self.ends[0]), (-1, self.ends[1])):
            # One step along the normal of the end, then within its plane; where both strips are as good as
            # one plane the least such step is taken.
            strips = np.stack([left[row], right[row]], axis=1)
            out = strips @ end.normal
            within = strips - out[..., None] * end.normal
            step = np.linalg.pinv(within, rcond=1e-2) @ (1.0 - out)[..., None]
            moved[row] = end.normal + step[..., 0]
        found: Array = self.points + thickness * moved
        return found


def skin_grid(hull: Hull, spacing: float) -> Grid:
    """Points of the skin at most about `spacing` mm apart lengthwise, a row at every break of the lines."""
    parts = _parts(hull)
    chain = hull.chain.divided(parts)
    low, high = hull.span
    bow = hull.bow or Plane(np.array([1.0, 0.0, 0.0]), high)
    start, stop = _meets(chain, hull.transom, low), _meets(chain, bow, high)
    first, last = float(start.max()), float(stop.min())
    x = _rows(chain.breaks, first, last, spacing)
    at = x[:, None] + (start - first) * _ramp(x - first, first - start)
    at = at + (stop - last) * _ramp(last - x, stop - last)
    flat = [chain.each(row) for row in at]
    yz, slope = np.array([f[0] for f in flat]), np.array([f[1] for f in flat])
    points = np.concatenate([at[..., None], yz], axis=-1)
    tangents = np.concatenate([np.ones((*at.shape, 1)), slope], axis=-1)
    columns = np.concatenate([[0], np.cumsum(parts)])
    return Grid(x, points, _normals(points, tangents), (hull.transom, bow), columns)


def _parts(hull: Hull) -> npt.NDArray[np.int64]:
    """How many columns each strip of the chain is divided into.

    Wide strips are where an end leans, since the cut across a twisted strip is not straight.
    """
    if all(_square(end) for end in hull.ends):
        return np.ones(hull.chain.count - 1, dtype=np.int64)
    across = np.diff(hull.chain.at(hull.chain.breaks), axis=1)
    width = np.sqrt(np.einsum("ijk,ijk->ij", across, across)).max(axis=0)
    return np.where(width > WIDE, PARTS, 1)


def _square(plane: Plane) -> bool:
    return abs(float(plane.normal[0])) > 1.0 - 1e-12


def _meets(chain: Cubics, plane: Plane, x: float) -> Array:
    """Where each curve meets the plane of an end, `(n,) float`; x itself where the plane stands square."""
    n = plane.normal
    found = np.full(chain.count, plane.offset / n[0] if _square(plane) else x)
    for _ in range(20):
        at, slope = chain.each(found)
        step = (n[0] * found + at @ n[1:] - plane.offset) / (n[0] + slope @ n[1:])
        found = found - step
        if np.abs(step).max() < 1e-10:
            break
    return found


def _rows(breaks: Array, first: float, last: float, spacing: float) -> Array:
    inner = breaks[(breaks > first + 1.0) & (breaks < last - 1.0)]
    edges = np.concatenate([[first], inner, [last]])
    parts = [max(1, int(np.ceil(run / spacing))) for run in np.diff(edges)]
    rows = [
        np.linspace(a, b, n, endpoint=False) for a, b, n in zip(edges[:-1], edges[1:], parts, strict=True)
    ]
    return np.concatenate([*rows, [last]])


def _ramp(from_end: Array, lean: Array) -> Array:
    """1 at an end, falling to 0 over twice what it leans, so that rows keep their order; `(r, 1) float`."""
    reach = max(2.0 * float(np.abs(lean).max()), 1.0)
    found: Array = np.maximum(0.0, 1.0 - from_end / reach)[:, None]
    return found


def _normals(points: Array, tangents: Array) -> Array:
    """Unit normals of the strips at each row; a strip without width takes that of the row before it."""
    along = tangents[:, 1:] + tangents[:, :-1]
    across = np.diff(points, axis=1)
    found = np.cross(across, along)
    length = np.linalg.norm(found, axis=-1)
    flat = np.linalg.norm(across, axis=-1) < 1e-6
    found = found / np.where(flat, 1.0, length)[..., None]
    for j in range(1, len(points)):
        found[j] = np.where(flat[j][:, None], found[j - 1], found[j])
    return found
