"""The hull as everything built into it asks it: where the skin is, which way it faces, how near it is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import numpy.typing as npt

from model.geometry import Array, Frame, Plane
from model.hull_gap import gap
from model.hull_outline import hull_outline, inset_polygon
from model.hull_volume import Immersed, Waterplane, immersed, waterplane
from model.shell import Shell
from model.skin import Cubics, Skin, strip_normal
from model.stiffeners import Rib, Stringer, Support
from model.survey import SIDES, Side, Survey

NEAR = 1e-6
"""Millimetres by which a point may lie outside an end or an edge and still count as on it."""


@dataclass(frozen=True, eq=False)
class Hull:
    """The inside of the skin from the transom forward, as lofted through a survey.

    Attributes:
        lines: names from the lowest line (keel) up to the highest (gunwale).
        skins: the two sides; the same object where the hull is symmetrical.
        transom: the inside face of the transom, normal pointing aft.
        bow: the plate that closes a blunt bow, normal pointing forward; None where the lines close.
        thickness: of the sheet, which lies outside the lofted surface; mm.
        ribs, stringers: what stands on the skin.
        survey: what the hull was lofted from, where it was.
    """

    lines: tuple[str, ...]
    skins: Mapping[Side, Skin]
    transom: Plane
    bow: Plane | None = None
    thickness: float = 0.0
    ribs: tuple[Rib, ...] = ()
    stringers: tuple[Stringer, ...] = ()
    survey: Survey | None = field(default=None, repr=False)

    @property
    def symmetrical(self) -> bool:
        """True if starboard mirrors port."""
        return self.skins["port"] is self.skins["starboard"]

    @property
    def ends(self) -> tuple[Plane, ...]:
        """The planes that close the hull, normals pointing out of it."""
        return (self.transom,) if self.bow is None else (self.transom, self.bow)

    @property
    def leans(self) -> dict[float, float]:
        """How far the ends of the survey lean, dx/dz going up, by station."""
        if self.survey is None:
            return {}
        stations = (self.survey.stations[0], self.survey.stations[-1])
        return {s: float(-end.normal[2] / end.normal[0]) for s, end in zip(stations, self.ends, strict=False)}

    @property
    def span(self) -> tuple[float, float]:
        """Least and greatest x of the skin, mm; ends that lean cut part of it away."""
        spans = [skin.span for skin in self.skins.values()]
        return min(s[0] for s in spans), max(s[1] for s in spans)

    @property
    def length(self) -> float:
        """Greatest length inside, mm."""
        low, high = self.span
        return high - low

    @cached_property
    def chain(self) -> Cubics:
        """Every curve from the starboard gunwale under the keel to the port gunwale, y to port.

        The line on the centreline stands once. Rows count from starboard.
        """
        port, starboard = self.skins["port"].curves, self.skins["starboard"].curves
        inner = np.unique(np.concatenate([port.breaks[1:-1], starboard.breaks[1:-1]]))
        breaks = np.concatenate([self.span[:1], inner, self.span[1:]])
        left = port.on(breaks).coefficients
        right = starboard.on(breaks).coefficients[:, :, ::-1] * np.array([-1.0, 1.0])
        return Cubics(breaks, np.concatenate([right[:, :, :-1], left], axis=2))

    @property
    def keel_row(self) -> int:
        """The row of `chain` that lies on the centreline."""
        return self.chain.count // 2

    @cached_property
    def line_rows(self) -> tuple[int, ...]:
        """The rows of `chain` that are named lines, from starboard."""
        middle = self.keel_row
        rows = list(self.skins["port"].rows.values())
        return tuple(sorted({middle + row for row in rows} | {middle - row for row in rows}))

    @cached_property
    def shell(self) -> Shell:
        """The closed skin, for integrals."""
        return Shell(self.chain, self.line_rows, self.span, self.ends)

    def volume_below(self, plane: Plane) -> Immersed:
        """Volume and centre of the hull below a plane whose normal points up, closed at the gunwales."""
        return immersed(self.shell, plane)

    def waterplane(self, plane: Plane) -> Waterplane:
        """Area, centre and second moments of the part of a plane inside the hull."""
        return waterplane(self.shell, plane)

    def section(self, x: npt.ArrayLike, side: Side = "port") -> Array:
        """Corners of the section at x on a side, `(..., k, 2) float`: y to port and z, from the keel up.

        It is not cut by ends that lean.
        """
        found = self.skins[side].section(x)
        return found if side == "port" else found * np.array([-1.0, 1.0])

    def line(self, name: str, x: npt.ArrayLike, side: Side = "port") -> Array:
        """Points of a named line, `(..., 3) float` in the boat.

        Raises:
            KeyError: the hull has no line of that name.
        """
        where = np.asarray(x, dtype=np.float64)
        yz = self.skins[side].line(name, where)
        sign = 1.0 if side == "port" else -1.0
        return np.stack([where, sign * yz[..., 0], yz[..., 1]], axis=-1)

    def half_breadth(self, x: npt.ArrayLike, z: npt.ArrayLike, side: Side = "port") -> Array:
        """Distance of the skin from the centreline at height z, mm; x and z broadcast.

        Where the skin is level at that height, its outermost point. nan below the skin, above the gunwale and
        beyond the ends.
        """
        xs, zs = np.asarray(x, dtype=np.float64), np.asarray(z, dtype=np.float64)
        found, _ = _outermost(self.skins[side].section(xs), zs)
        return self._within(xs, found, zs)

    def bottom(self, x: npt.ArrayLike, y: npt.ArrayLike) -> Array:
        """Height of the skin under (x, y), mm; x and y broadcast. nan outside the hull in plan."""
        xs, ys = np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64)
        port, _ = _lowest(self.skins["port"].section(xs), np.abs(ys))
        if self.symmetrical:
            found = port
        else:
            starboard, _ = _lowest(self.skins["starboard"].section(xs), np.abs(ys))
            found = np.where(ys >= 0.0, port, starboard)
        return self._within(xs, ys, found, value=found)

    def normal(self, x: npt.ArrayLike, z: npt.ArrayLike, side: Side = "port") -> Array:
        """Unit normal of a side's skin at height z, out of the boat, `(..., 3) float`; nan off the skin."""
        xs, zs = np.asarray(x, dtype=np.float64), np.asarray(z, dtype=np.float64)
        skin = self.skins[side]
        points = skin.section(xs)
        y, strip = _outermost(points, zs)
        found = _normal_in(skin, xs, points, strip, z=zs)
        found = np.where(np.isnan(y)[..., None], np.nan, found)
        return found if side == "port" else found * np.array([1.0, -1.0, 1.0])

    def normal_at(self, x: npt.ArrayLike, y: npt.ArrayLike) -> Array:
        """Unit normal of the skin under (x, y), out of the boat, `(..., 3) float`; nan outside in plan."""
        xs, ys = np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64)
        sides = []
        for name in SIDES:
            skin = self.skins[name]
            points = skin.section(xs)
            z, strip = _lowest(points, np.abs(ys))
            made = _normal_in(skin, xs, points, strip, y=np.abs(ys))
            sides.append(np.where(np.isnan(z)[..., None], np.nan, made))
        on_port = (ys >= 0.0)[..., None]
        found: Array = np.where(on_port, sides[0], sides[1] * np.array([1.0, -1.0, 1.0]))
        return found

    def gap(self, points: Array, ends: bool = False) -> Array:
        """Distance of `(n, 3)` points from the skin, mm, positive inside the boat, `(n,) float`.

        Above the gunwale the nearest skin is the gunwale. With `ends` transom and bow plate count too.
        """
        return gap(self.chain, self.span, np.asarray(points, dtype=np.float64), self.ends if ends else ())

    def inside(self, points: Array, clearance: float = 0.0) -> npt.NDArray[np.bool_]:
        """True where `(n, 3)` points lie at least `clearance` mm inside skin, transom and bow plate."""
        found: npt.NDArray[np.bool_] = self.gap(points, ends=True) >= clearance - NEAR
        return found

    def plan_outline(self, plane: Plane | Frame, inset: float = 0.0, spacing: float = 25.0) -> Array:
        """The closed outline in which a plane cuts the inside of the hull, `(n, 3) float` in the boat.

        The plane may be level, pitched, heeled or upright; where the hull is open above, the outline runs
        straight from gunwale to gunwale. It is counter-clockwise seen from the tip of the plane's normal, the
        last point not repeated; empty, shape `(0, 3)`, if the plane misses the hull.

        Args:
            plane: the plane, or a frame whose x-y plane it is.
            inset: moved in by so much within the plane, mm; the largest part, if it falls apart.
            spacing: greatest distance of points along the hull, mm.
        """
        flat = plane.plane if isinstance(plane, Frame) else plane
        points = hull_outline(self.shell, flat, spacing)
        return inset_polygon(points, flat, inset) if inset and len(points) else points

    def support_under(self, x: float, y: float) -> Support | None:
        """What an upright that comes down at (x, y) lands on; None outside the hull."""
        z = float(self.bottom(x, y))
        if np.isnan(z):
            return None
        up = -self.normal_at(x, y)
        found = [Support("skin", "hull", z, up)]
        side: Side = "port" if y >= 0.0 else "starboard"
        for rib in self.ribs:
            reach = [self.skins[side].line(name, x)[0] for name in (rib.low, rib.high)]
            if abs(x - rib.x) <= rib.width / 2.0 and reach[0] - NEAR <= abs(y) <= reach[1] + NEAR:
                found.append(Support("rib", rib.name, z + rib.height, up))
        for bar in self.stringers:
            if abs(y - bar.y) <= bar.width / 2.0 and bar.aft <= x <= bar.forward:
                top = float(self.bottom(x, bar.y)) + bar.height
                found.append(Support("stringer", bar.name, top, np.array([0.0, 0.0, 1.0])))
        return max(found, key=lambda support: support.z)

    def _within(self, x: Array, y: Array, z: Array, value: Array | None = None) -> Array:
        """`value` (y unless given) where (x, y, z) lies between the ends, else nan."""
        low, high = self.span
        kept = (x >= low - NEAR) & (x <= high + NEAR)
        for end in self.ends:
            kept = kept & (end.normal[0] * x + end.normal[1] * y + end.normal[2] * z <= end.offset + NEAR)
        found: Array = np.where(kept, y if value is None else value, np.nan)
        return found


def _outermost(points: Array, z: Array) -> tuple[Array, npt.NDArray[np.int64]]:
    """The greatest half-breadth of sections `(..., n, 2)` at heights z, and in which strip; nan if none."""
    above = points[..., 1] - z[..., None]
    a, b = above[..., :-1], above[..., 1:]
    ya, yb = points[..., :-1, 0], points[..., 1:, 0]
    y = _crossed(a, b, ya, yb, np.maximum(ya, yb))
    strip = np.argmax(y, axis=-1)
    best = np.take_along_axis(y, strip[..., None], -1)[..., 0]
    return np.where(np.isneginf(best), np.nan, best), strip


def _lowest(points: Array, y: Array) -> tuple[Array, npt.NDArray[np.int64]]:
    """The least height of sections `(..., n, 2)` at half-breadths y, and in which strip; nan if none."""
    out = points[..., 0] - y[..., None]
    a, b = out[..., :-1], out[..., 1:]
    za, zb = points[..., :-1, 1], points[..., 1:, 1]
    z = -_crossed(a, b, -za, -zb, np.maximum(-za, -zb))
    strip = np.argmin(z, axis=-1)
    best = np.take_along_axis(z, strip[..., None], -1)[..., 0]
    return np.where(np.isposinf(best), np.nan, best), strip


def _crossed(a: Array, b: Array, va: Array, vb: Array, level: Array) -> Array:
    """The value from `va` to `vb` where `a` to `b` passes zero; `level` where both are zero; else -inf."""
    meets = (np.minimum(a, b) <= NEAR) & (np.maximum(a, b) >= -NEAR)
    rise = b - a
    flat = np.abs(rise) <= NEAR
    t = np.clip(-a / np.where(flat, 1.0, rise), 0.0, 1.0)
    found: Array = np.where(meets, np.where(flat, level, va + t * (vb - va)), -np.inf)
    return found


def _normal_in(
    skin: Skin,
    x: Array,
    points: Array,
    strip: npt.NDArray[np.int64],
    y: Array | None = None,
    z: Array | None = None,
) -> Array:
    """Normals of one side where the given strips reach half-breadth y, or height z; y outward positive."""
    slope = skin.curves.slope(x)
    shape = (*strip.shape, *points.shape[-2:])
    pts, slopes = np.broadcast_to(points, shape), np.broadcast_to(slope, shape)
    rows = strip[..., None, None]
    a, b = (np.take_along_axis(pts, rows + i, -2)[..., 0, :] for i in (0, 1))
    sa, sb = (np.take_along_axis(slopes, rows + i, -2)[..., 0, :] for i in (0, 1))
    axis, value = (0, y) if y is not None else (1, z)
    run = b[..., axis] - a[..., axis]
    t = (np.asarray(value) - a[..., axis]) / np.where(np.abs(run) < NEAR, np.inf, run)
    t = np.clip(t, 0.0, 1.0)[..., None]
    return strip_normal((1.0 - t) * sa + t * sb, b - a)
