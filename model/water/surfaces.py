"""What water meets in a boat: surfaces that look up, and uprights that stand in its way.

A surface is a piece of a plane over an area in plan, with its metal below it; the skin is told by the hull
itself. An upright is its line in plan with the heights it covers; its thickness is left out, and of a strip
along the hull its lower edge stands for all of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import Polygon

from model.bends.hat import ROLE
from model.flat_arcs import polygons_of
from model.geometry import Array, Frame
from model.layout.edges import largest
from model.member_table import MemberTable
from model.panel import Panel
from model.prism import Prism
from model.water.names import is_drain

if TYPE_CHECKING:
    from model.boat import Boat, Fixture

UPRIGHT = 0.2
"""Sheet whose normal lies flatter than this (its sine with the level) is an upright, the rest surfaces."""

STEEP = 0.5
"""Members that rise more than this (sine) hold no water on their top, nor dam a floor."""

CHORD = 0.5
"""Arcs in plan are followed within this, mm: far less than the spacing of the columns."""


@dataclass(frozen=True, eq=False)
class Surface:
    """A surface that looks up.

    Attributes:
        name: of the piece.
        kind: sheet, lid, tray or block (a member, whose top sheds water).
        area: in plan.
        plane: height = plane[0] + plane[1] x + plane[2] y, mm, `(3,) float`.
        thickness: of the metal below, measured straight down, mm.
        seat: of a lid, how far its top stands above the deck's, mm; 0 else.
        hole: of a lid, the opening that it closes, in plan.
    """

    name: str
    kind: str
    area: Polygon
    plane: Array
    thickness: float
    seat: float = 0.0
    hole: Polygon | None = None

    def height(self, x: Array, y: Array) -> Array:
        """Height at places in plan, mm."""
        found: Array = self.plane[0] + self.plane[1] * x + self.plane[2] * y
        return found


@dataclass(frozen=True, eq=False)
class Wall:
    """An upright: `line` `(n, 2)` in plan, covering heights from `bottom` to `top`, `(n,)` each, mm."""

    name: str
    line: Array
    bottom: Array
    top: Array


def surfaces(boat: Boat) -> list[Surface]:
    """Every surface of a boat that looks up, but the skin, ribs and stringers."""
    flat = [p for p in _plates(boat) if abs(p.frame.z[2]) >= UPRIGHT]
    found = [s for panel in flat for s in (of_prism(panel.name, "sheet", panel.prism),) if s is not None]
    found = [*(packed for s in found for packed in _packed(boat, s)), *_seams(boat, found)]
    for fixture in boat.fixtures:
        found += _lids(boat, fixture) if fixture.kind == "lid" else []
        found += _tray(fixture) if fixture.kind == "tray" else []
    return found + list(_members(boat))


def walls(boat: Boat) -> list[Wall]:
    """Every upright of a boat: sheet, strips along the hull, sides of trays."""
    found = [w for p in _plates(boat) if abs(p.frame.z[2]) < UPRIGHT for w in of_upright(p)]
    for strip in boat.strips:
        lower = strip.edge_a if strip.edge_a[:, 2].mean() < strip.edge_b[:, 2].mean() else strip.edge_b
        upper = strip.edge_b if lower is strip.edge_a else strip.edge_a
        line = _longer(lower[:, :2], strip.sheet.thickness)
        found.append(Wall(strip.name, line, lower[:, 2] - strip.sheet.thickness, upper[:, 2]))
    for fixture in boat.fixtures:
        if fixture.kind == "tray":
            found += [_ring(fixture.name, prism) for prism in fixture.prisms if prism.holes]
    return found


def _plates(boat: Boat) -> list[Panel]:
    """The sheet of a boat but its hats, which are told by themselves."""
    return [panel for panel in boat.panels if panel.role != ROLE]


def _seams(boat: Boat, sheets: Sequence[Surface]) -> Iterator[Surface]:
    """The gaps between sheets of one deck, which are welded or filled."""
    half = boat.layout.seam_gap / 2.0 + 0.1
    for name in boat.layout.decks:
        own = [s for s in sheets if s.name.startswith(f"{name}/sheet.")]
        if len(own) < 2:
            continue
        together = shapely.union_all([s.area for s in own])
        closed = together.buffer(half, join_style="mitre").buffer(-half, join_style="mitre")
        for gap in polygons_of(closed.difference(together)):
            yield replace(own[0], area=gap)


def _packed(boat: Boat, floor: Surface) -> list[Surface]:
    """The floor of a locker; of an insulated one with what lies between it and its liner filled up."""
    owner = floor.name.removesuffix("/floor").removesuffix("/liner")
    locker = boat.layout.lockers.get(owner) if floor.name.endswith("/floor") else None
    if locker is None or locker.insulation <= 0.0:
        return [floor]
    if floor.name.endswith("/liner/floor"):
        return [replace(floor, thickness=floor.thickness + locker.insulation)]
    liner = next((p for p in boat.panels if p.name == f"{owner}/liner/floor"), None)
    filled = replace(
        floor, plane=np.array([locker.top, 0.0, 0.0]), thickness=floor.thickness + locker.top - floor.plane[0]
    )
    ring = floor.area if liner is None else floor.area.difference(_plan(liner.prism))
    return [replace(filled, area=area) for area in polygons_of(ring)]


def _plan(prism: Prism) -> Polygon:
    found = of_prism("", "", prism)
    return Polygon() if found is None else found.area


def of_prism(
    name: str, kind: str, prism: Prism, seat: float = 0.0, hole: Polygon | None = None
) -> Surface | None:
    """The upper face of a prism; None where it is no plane over an area in plan."""
    frame = prism.frame
    up = float(frame.z[2])
    top = frame.moved(dz=prism.z1 if up > 0 else prism.z0)
    rings = (prism.outline, *(hole for hole in prism.holes if not is_drain(hole)))
    outline, *holes = (top.to_boat(loop.polyline(CHORD))[:, :2] for loop in rings)
    area = Polygon(outline, holes)
    area = area if area.is_valid else largest(area.buffer(0))
    if area.is_empty:
        return None
    n, o = frame.z, top.origin
    plane = np.array([float(n @ o), -n[0], -n[1]]) / n[2]
    return Surface(name, kind, area, plane, prism.thickness / abs(up), seat, hole)


def _lids(boat: Boat, fixture: Fixture) -> list[Surface]:
    """The plate of a lid: of its prisms the uppermost."""
    plate = max(fixture.prisms, key=lambda prism: prism.z1)
    filled = Prism(plate.frame, plate.outline, (), plate.z0, plate.z1)
    name = fixture.name.removesuffix("/lid")
    opening = boat.layout.opening(name)
    hole = None if opening is None else boat.layout.decks[opening.deck].in_plan(opening.polygon)
    found = of_prism(fixture.name, "lid", filled, max(plate.z1, 0.0), hole)
    return [] if found is None else [found]


def _tray(fixture: Fixture) -> list[Surface]:
    """Floor of a tray, and its flange with the hollow left out."""
    own = [prism for prism in fixture.prisms if not prism.holes or prism.z0 >= 0.0]
    found = (of_prism(fixture.name, "tray", prism) for prism in own)
    return [surface for surface in found if surface is not None]


def _ring(name: str, prism: Prism) -> Wall:
    """The sides of a tray, from its ring."""
    points = prism.frame.to_boat(prism.holes[0].polyline(CHORD))
    line = np.vstack([points, points[:1]])[:, :2]
    z0, z1 = (float(prism.frame.moved(dz=z).origin[2]) for z in (prism.z0, prism.z1))
    return Wall(name, line, np.full(len(line), z0), np.full(len(line), z1))


def _members(boat: Boat) -> Iterator[Surface]:
    """The tops of members that lie about level, as blocks."""
    table = MemberTable(boat.members)
    x, y, z = np.moveaxis(table.axes, 1, 0)
    for i, member in enumerate(boat.members):
        if abs(x[i, 2]) > STEEP or table.cut_away[i]:
            continue
        on_edge = abs(z[i, 2]) >= abs(y[i, 2])
        across, upward = (y[i], z[i]) if on_edge else (z[i], y[i])
        h = member.section.height if on_edge else member.section.width
        corners = member.corners.reshape(-1, 3)[:, :2]
        area = shapely.MultiPoint(corners).convex_hull
        if not isinstance(area, Polygon):
            continue
        normal = upward if upward[2] > 0 else -upward
        if abs(across[2]) > STEEP:
            continue
        at = member.a + normal * h / 2.0
        plane = np.array([float(normal @ at), -normal[0], -normal[1]]) / normal[2]
        yield Surface(member.name, "block", area, plane, h / float(normal[2]))


def of_upright(panel: Panel) -> Iterator[Wall]:
    """The uprights of a panel, one for each stretch between corners of its outline."""
    ring = panel.outline.polyline(CHORD)
    level = _turned(panel.frame)
    if level is None:
        return
    points = panel.frame.to_boat(ring)
    along = points @ level.x
    stops = np.unique(np.round(along, 3))
    stops = stops[np.concatenate([[True], np.diff(stops) > 0.5])]
    if len(stops) < 2:
        return
    nudge = 1e-3
    at = np.stack([stops[:-1] + nudge, stops[1:] - nudge], axis=1).ravel()
    low, high = _reach(along, points[:, 2], at)
    line = np.outer(at, level.x[:2]) + np.outer(np.full(len(at), float(points[0] @ level.y)), level.y[:2])
    yield Wall(panel.name, _longer(line, panel.sheet.thickness + 0.1), low, high)


def _turned(frame: Frame) -> Frame | None:
    """A level frame whose x runs along an upright panel and whose y is out of its face."""
    out = np.array([frame.z[0], frame.z[1], 0.0])
    return Frame.make((0.0, 0.0, 0.0), np.array([-out[1], out[0], 0.0]), (0.0, 0.0, 1.0))


def _reach(along: Array, up: Array, at: Array) -> tuple[Array, Array]:
    """Least and greatest height of a ring at places along it."""
    a0, a1, u0, u1 = along, np.roll(along, -1), up, np.roll(up, -1)
    passed = (a0 <= at[:, None]) != (a1 <= at[:, None])
    share = (at[:, None] - a0) / np.where(a1 == a0, np.inf, a1 - a0)
    height = u0 + share * (u1 - u0)
    low = np.where(passed, height, np.inf).min(axis=1)
    high = np.where(passed, height, -np.inf).max(axis=1)
    return low, high


def _longer(line: Array, by: float) -> Array:
    """The line with its ends run on, so that sheets that meet at a corner close it."""
    found = line.copy()
    for end, near in ((0, 1), (-1, -2)):
        step = found[end] - found[near]
        length = float(np.hypot(*step))
        if length > 1e-9:
            found[end] = found[end] + step * (by / length)
    return found
