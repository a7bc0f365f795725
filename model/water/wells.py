"""What wells and boxes hold: to the overflow and to the rim, between their own walls, floor and hull side.

The inside is bounded by the flat walls, the floor and the strips along the hull, which are ruled straight
from the floor's edge to the top at the same stations. A level cut between has its corners on the rulings, so
its area is A(s) = (1 - s) A_floor + s A_top, s the share of the height; the volume up to a height is its
integral, exactly. Where a side leans fore and aft besides, or a floor is the hull itself, areas are taken at
levels in between and integrated by Gauss's rule.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from shapely import Polygon

from model.geometry import Array
from model.layout.records import LockerPlan
from model.panelling.locker_panels import area_at, liner_of
from model.strip import Strip
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.boat import Boat

LITRE = 1e6
GALLON = 3.785411784e6
"""US gallon of 231 cubic inches, mm3 (NIST Handbook 44, Appendix C)."""

POINTS = 8
"""Levels at which the area of a box that is no ruled one is taken."""

KINDS = ("well", "box", "tray")


@dataclass(frozen=True)
class Holds:
    """What a well, box or tray holds.

    Attributes:
        name: of the locker.
        kind: of locker.
        floor, rim: heights of its inside, mm.
        overflow: height of its overflow, mm; None where it has none.
        to_rim, to_overflow: volume, mm3; the latter None without an overflow.
        exact: whether by closed form, else by levels.
    """

    name: str
    kind: str
    floor: float
    rim: float
    overflow: float | None
    to_rim: float
    to_overflow: float | None
    exact: bool

    def told(self, units: str) -> str:
        """One line."""
        rim = f"{volume_told(self.to_rim / LITRE, units)} to its rim"
        if self.to_overflow is None or self.overflow is None:
            return f"{self.name} holds {rim}"
        over = f"{volume_told(self.to_overflow / LITRE, units)} to its overflow"
        return f"{self.name} holds {over} {format_length(self.overflow, units)} up, {rim}"


def volume_told(litres: float, units: str) -> str:
    """A volume in litres and, in a boat of inches, US gallons."""
    text = f"{litres:.2f}" if litres < 10 else f"{litres:.1f}"
    gallons = f" ({litres * LITRE / GALLON:.2f} US gal)" if units in ("in", "ft") else ""
    return f"{text} litres{gallons}"


def holds(boat: Boat) -> tuple[Holds, ...]:
    """What each well, box and tray of a boat holds."""
    own = [k for k in boat.layout.lockers.values() if k.kind in KINDS and not k.open_sides]
    return tuple(_holds(boat, locker) for locker in own)


def _holds(boat: Boat, locker: LockerPlan) -> Holds:
    inside = inside_of(boat, locker)
    over = locker.overflow
    return Holds(
        locker.name,
        locker.kind,
        inside.floor,
        inside.rim,
        over,
        inside.volume(inside.rim),
        None if over is None else inside.volume(over),
        inside.exact,
    )


@dataclass(frozen=True, eq=False)
class Inside:
    """The inside of a box from `floor` to `rim`, mm.

    Attributes:
        low, top: outlines at floor and rim with corners that belong together, `(n, 2)`; of no use where the
            box is not ruled.
        cut: the inside in plan at a height, where the box is not ruled.
        exact: whether it is ruled.
    """

    floor: float
    rim: float
    low: Array
    top: Array
    cut: Callable[[float], Polygon]
    exact: bool

    def area(self, z: float) -> float:
        """Area of the level cut at a height, mm2."""
        if self.exact:
            s = (z - self.floor) / (self.rim - self.floor)
            return (1 - s) * _area(self.low) + s * _area(self.top)
        return float(self.cut(z).area)

    def volume(self, z: float) -> float:
        """Volume from the floor up to a height, mm3."""
        z = min(max(z, self.floor), self.rim)
        if self.exact:
            # linear in height: the trapezoid is the integral
            return (z - self.floor) * (self.area(self.floor) + self.area(z)) / 2.0
        at, weight = np.polynomial.legendre.leggauss(POINTS)
        half = (z - self.floor) / 2.0
        return float(
            half * sum(w * self.area(self.floor + half * (1 + t)) for t, w in zip(at, weight, strict=True))
        )


def inside_of(boat: Boat, locker: LockerPlan) -> Inside:
    """The inside of a locker, of an insulated one within its liner."""
    shell = liner_of(locker, boat.hull) if locker.insulation > 0 else locker
    if shell.floor is None:
        x, y = np.array(shell.area.exterior.coords).T
        lowest = float(np.fmin.reduce(boat.hull.bottom(x, y), initial=shell.top))
        return Inside(lowest, shell.top, np.zeros((0, 2)), np.zeros((0, 2)), _cutter(boat, shell), False)
    floor = next((p for p in boat.panels if p.name == f"{shell.name}/floor"), None)
    outline = Polygon() if floor is None else Polygon(floor.polygon.exterior)  # drains count as floor
    strips = [s for s in boat.strips if s.name.startswith(f"{shell.name}/wall.")]
    low, top = _ruled(outline, strips)
    # what strips do not follow, such as a wall that leans along with the hull, would show as missing area
    exact = bool(len(low)) and abs(_area(low) - outline.area) < 2e-3 * outline.area
    if not strips:
        exact = exact and abs(shell.area.area - outline.area) < 1e-3 * outline.area
    return Inside(shell.floor, shell.top, low, top, _cutter(boat, shell), exact)


def _cutter(boat: Boat, shell: LockerPlan) -> Callable[[float], Polygon]:
    return lambda z: area_at(shell, boat.hull, z)


def _ruled(floor: Polygon, strips: list[Strip]) -> tuple[Array, Array]:
    """Outlines at the floor and at the top, corners that belong together; empty without a floor."""
    if floor.is_empty:
        return np.zeros((0, 2)), np.zeros((0, 2))
    ring = np.array(floor.exterior.coords)[:-1]
    if not strips:
        return ring, ring
    edges = [_edges(strip) for strip in strips]
    x0, x1 = max(low[0, 0] for low, _ in edges), min(low[-1, 0] for low, _ in edges)
    sides = {}
    for (low, top), strip in zip(edges, strips, strict=True):
        sides[strip.name.rpartition(".")[2]] = (low[:, :2], top[:, :2])
    for side in ("port", "starboard"):
        if side not in sides:
            flat = _flat_side(ring, side, x0, x1)
            sides[side] = (flat, flat)
    (port_low, port_top), (other_low, other_top) = sides["port"], sides["starboard"]
    return np.vstack([other_low, port_low[::-1]]), np.vstack([other_top, port_top[::-1]])


def _edges(strip: Strip) -> tuple[Array, Array]:
    """The lower and the upper edge of a strip, from aft."""
    low, top = strip.edge_a, strip.edge_b
    if low[:, 2].mean() > top[:, 2].mean():
        low, top = top, low
    return (low, top) if low[0, 0] < low[-1, 0] else (low[::-1], top[::-1])


def _flat_side(ring: Array, side: str, x0: float, x1: float) -> Array:
    """Corners of a side of an outline that follows no strip, from aft between two stations."""
    sign = 1.0 if side == "port" else -1.0
    after = np.roll(ring, -1, axis=0)
    stations = np.unique(np.concatenate([[x0, x1], ring[(ring[:, 0] > x0) & (ring[:, 0] < x1), 0]]))
    passed = (ring[:, 0] <= stations[:, None]) != (after[:, 0] <= stations[:, None])
    run = np.where(after[:, 0] == ring[:, 0], np.inf, after[:, 0] - ring[:, 0])
    y = ring[:, 1] + (stations[:, None] - ring[:, 0]) / run * (after[:, 1] - ring[:, 1])
    outer = sign * np.where(passed, sign * y, -np.inf).max(axis=1)
    return np.column_stack([stations, outer])


def _area(ring: Array) -> float:
    x, y = ring.T
    return abs(float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum())) / 2.0
