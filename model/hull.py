"""The hull as everything built into it asks it: where the skin is, which way it faces, how near it is."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import numpy.typing as npt

from model.contact import NEAR, lowest, outermost
from model.geometry import Array, Frame, Plane
from model.hull_gap import gap
from model.hull_outline import Cut, hull_outline, inset_polygon
from model.hull_volume import Immersed, Waterplane, immersed, waterplane
from model.shell import Shell
from model.skin import Cubics, Skin
from model.stiffeners import Rib, Stringer, Support
from model.survey import Side, Survey

MIRROR = np.array([1.0, -1.0, 1.0])

SAME = 1e-9
"""Points within this of each other, mm, are asked for once."""


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
    _cuts: dict[tuple[bytes, float, float], Cut] = field(default_factory=dict, init=False, repr=False)

    @cached_property
    def symmetrical(self) -> bool:
        """True if starboard mirrors port."""
        return self.skins["port"] is self.skins["starboard"]

    @cached_property
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

    @cached_property
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
        port = None
        if self.symmetrical and not any(end.normal[1] for end in self.ends):
            skin = self.skins["port"]
            port = Shell(skin.curves, sorted(skin.rows.values()), self.span, self.ends, is_half=True)
        return Shell(self.chain, self.line_rows, self.span, self.ends, port)

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
        xs, zs, shape = _flat(x, z)
        found = outermost(self.skins[side].curves, xs, zs).value
        return self._within(xs, found, zs, found).reshape(shape)

    def bottom(self, x: npt.ArrayLike, y: npt.ArrayLike) -> Array:
        """Height of the skin under (x, y), mm; x and y broadcast. nan outside the hull in plan."""
        xs, ys, shape = _flat(x, y)
        found = np.empty(len(xs))
        for side, own in self._sides(ys):
            found[own] = lowest(self.skins[side].curves, xs[own], np.abs(ys[own])).value
        return self._within(xs, ys, found, found).reshape(shape)

    def normal(self, x: npt.ArrayLike, z: npt.ArrayLike, side: Side = "port") -> Array:
        """Unit normal of a side's skin at height z, out of the boat, `(..., 3) float`; nan off the skin."""
        xs, zs, shape = _flat(x, z)
        curves = self.skins[side].curves
        contact = outermost(curves, xs, zs)
        found = curves.normals(xs, contact.strip, contact.share)
        found[np.isnan(contact.value)] = np.nan
        return _on_side(found, side).reshape(*shape, 3)

    def normal_at(self, x: npt.ArrayLike, y: npt.ArrayLike) -> Array:
        """Unit normal of the skin under (x, y), out of the boat, `(..., 3) float`; nan outside in plan."""
        xs, ys, shape = _flat(x, y)
        return self._floor(xs, ys)[1].reshape(*shape, 3)

    def gap(self, points: Array, ends: bool = False) -> Array:
        """Distance of `(n, 3)` points from the skin, mm, positive inside the boat, `(n,) float`.

        Above the gunwale the nearest skin is the gunwale. With `ends` transom and bow plate count too.
        """
        at = np.asarray(points, dtype=np.float64)
        curves = self.chain
        if self.shell.port is not None:
            # The other half of the skin is never nearer than the mirror image on this half.
            curves, at = self.skins["port"].curves, at.copy()
            np.abs(at[:, 1], out=at[:, 1])
            at, twins = _once(at)
            return gap(curves, self.span, at, self.ends if ends else ())[twins]
        return gap(curves, self.span, at, self.ends if ends else ())

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
        points = self.cut(flat, spacing).points
        return inset_polygon(points, flat, inset) if inset and len(points) else points.copy()

    def cut(self, plane: Plane, spacing: float = 25.0) -> Cut:
        """The outline of `plan_outline` with what its sides lie on; kept for when it is asked again."""
        key = (plane.normal.tobytes(), plane.offset, spacing)
        if key not in self._cuts:
            self._cuts[key] = hull_outline(self.shell, plane, spacing)
        return self._cuts[key]

    def support_under(self, x: float, y: float) -> Support | None:
        """What an upright that comes down at (x, y) lands on; None outside the hull."""
        heights, up = self._floor(np.array([x]), np.array([y]))
        z = float(heights[0])
        if math.isnan(z):
            return None
        up = -up[0]
        found = [Support("skin", "hull", z, up)]
        side: Side = "port" if y >= 0.0 else "starboard"
        for rib in self.ribs:
            if abs(x - rib.x) <= rib.width / 2.0:
                reach = [self.skins[side].line(name, x)[0] for name in (rib.low, rib.high)]
                if reach[0] - NEAR <= abs(y) <= reach[1] + NEAR:
                    found.append(Support("rib", rib.name, z + rib.height, up))
        for bar in self.stringers:
            if abs(y - bar.y) <= bar.width / 2.0 and bar.aft <= x <= bar.forward:
                top = float(self.bottom(x, bar.y)) + bar.height
                found.append(Support("stringer", bar.name, top, np.array([0.0, 0.0, 1.0])))
        return max(found, key=lambda support: support.z)

    def _floor(self, x: Array, y: Array) -> tuple[Array, Array]:
        """Height of the skin under (x, y) `(k,)` and its unit normal, out of the boat; nan outside in plan.

        Under the lean of an end there is no height, but a normal.
        """
        height, normal = np.empty(len(x)), np.empty((len(x), 3))
        for side, own in self._sides(y):
            curves, own_x = self.skins[side].curves, x[own]
            contact = lowest(curves, own_x, np.abs(y[own]))
            height[own] = contact.value
            normal[own] = curves.normals(own_x, contact.strip, contact.share)
        normal[np.isnan(height)] = np.nan
        normal[y < 0.0] *= MIRROR
        return self._within(x, y, height, height), normal

    def _sides(self, y: Array) -> Iterator[tuple[Side, slice | npt.NDArray[np.bool_]]]:
        """The sides that points at y `(k,)` lie on, and which; all at once where the sides are alike."""
        on_port = y >= 0.0
        if self.symmetrical or on_port.all():
            yield "port", slice(None)
        else:
            yield "port", on_port
            yield "starboard", ~on_port

    def _within(self, x: Array, y: Array, z: Array, value: Array) -> Array:
        """`value` where (x, y, z) lies between the ends, else nan."""
        low, high = self.span
        kept = (x >= low - NEAR) & (x <= high + NEAR)
        for end in self.ends:
            n, most = end.normal.tolist(), end.offset + NEAR
            kept &= n[0] * x + n[1] * y + n[2] * z <= most
        return np.where(kept, value, np.nan)


def _flat(x: npt.ArrayLike, other: npt.ArrayLike) -> tuple[Array, Array, tuple[int, ...]]:
    """Two broadcast arrays as rows, and the shape they have together."""
    xs, others = np.asarray(x, dtype=np.float64), np.asarray(other, dtype=np.float64)
    if xs.shape != others.shape:
        xs, others = np.broadcast_arrays(xs, others)
    return xs.ravel(), others.ravel(), xs.shape


def _once(points: Array) -> tuple[Array, npt.NDArray[np.int64]]:
    """Different points of some `(n, 3)`, and for each of these which one it is, `(n,)`."""
    order = np.lexsort(points.T)
    new = np.ones(len(points), dtype=np.bool_)
    new[1:] = (np.abs(points[order[1:]] - points[order[:-1]]) > SAME).any(axis=1)
    which = np.empty(len(points), dtype=np.int64)
    which[order] = np.cumsum(new) - 1
    return points[order[new]], which


def _on_side(normal: Array, side: Side) -> Array:
    return normal if side == "port" else normal * MIRROR
