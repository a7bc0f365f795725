"""Walls, floors and liners of lockers, wells, trays and boxes; walls along the hull are bent strips."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from shapely import Polygon, get_coordinates

from model.geometry import Array, Frame
from model.hull import Hull
from model.layout.edges import area_within, largest
from model.layout.hull_area import hull_area
from model.layout.records import LockerPlan
from model.panel import panel_from_polygon
from model.panelling.upright import Line, Upright, corner_cuts
from model.skeleton.ring import labelled_ring
from model.strip import Strip

STRIP_STEP = 60.0
"""Rulings of a wall along the hull stand no further apart than this, mm."""


def locker_panels(locker: LockerPlan, hull: Hull) -> tuple[Upright, list[Strip]]:
    """All sheet of a locker: flat panels, and strips along the hull.

    A box with insulation has a liner inside its walls as well.
    """
    flat, strips = Upright(), list[Strip]()
    for shell in [locker, liner_of(locker, hull)] if locker.insulation > 0 else [locker]:
        floor = Polygon() if shell.floor is None else area_at(shell, hull, shell.floor)
        _add_shell(shell, hull, floor, flat)
        strips += _hull_walls(shell, floor)
    return flat, strips


def liner_of(locker: LockerPlan, hull: Hull) -> LockerPlan:
    """The locker set in by its insulation on every side and below."""
    thick = locker.insulation
    area = largest(locker.area.buffer(-thick, join_style="mitre"))
    if locker.edges and not locker.hangs_in_opening:
        inside = hull_area(hull, Frame.level(locker.top), 0.0, locker.hull_gap + thick)
        area = largest(area.intersection(inside))
    floor = None if locker.floor is None else locker.floor + thick
    edges = {
        side: edge if edge.points is None else edge.moved_in(np.full(len(edge.run_on()) - 1, thick))
        for side, edge in locker.edges.items()
    }
    return replace(
        locker,
        name=f"{locker.name}/liner",
        area=area,
        edges=edges,
        floor=floor,
        hull_gap=locker.hull_gap + thick,
    )


def _add_shell(locker: LockerPlan, hull: Hull, floor: Polygon, found: Upright) -> None:
    """Adds the flat walls and the floor of a locker, whose inside in plan at its floor is `floor`."""
    ring, labels = _ring(locker)
    cuts = corner_cuts(ring, True, locker.sheet.thickness, metal_left=False)
    counts: dict[str, int] = {}
    for i in range(len(ring)):
        side = labels[i]
        if side in locker.open_sides or side.startswith("hull"):
            continue
        j = (i + 1) % len(ring)
        counts[side] = counts.get(side, 0) + 1
        name = f"{locker.name}/wall.{side}" + (f".{counts[side]}" if counts[side] > 1 else "")
        line = Line(name, ring[i], ring[j], "left", float(cuts[i]), float(cuts[j]))
        bottom = None if locker.floor is None else locker.floor - locker.sheet.thickness
        follows = None if locker.hangs_in_opening and locker.floor is not None else hull
        found.add(line, locker.sheet, "wall", (locker.top, locker.top), bottom, follows, locker.hull_gap)
    if locker.floor is not None:
        name, level = f"{locker.name}/floor", Frame.level(locker.floor)
        if floor.is_empty:
            found.missing.append(name)
        else:
            found.panels.append(panel_from_polygon(name, level, floor, locker.sheet, "floor"))


def _ring(locker: LockerPlan) -> tuple[Array, list[str]]:
    """Corners of the inside at the top, counter-clockwise, and the side each following stretch is on."""
    ring, labels = labelled_ring(locker.area, locker.edges)
    if not locker.edges:
        return ring, [str(i + 1) for i in range(len(ring))]
    return ring, [s.partition(".")[2] if s.startswith("rim") else s.replace("ledger", "hull") for s in labels]


def area_at(locker: LockerPlan, hull: Hull, height: float) -> Polygon:
    """The inside in plan at a height."""
    if locker.hangs_in_opening or not locker.edges:
        inside = locker.area
    else:
        inside = area_within(hull_area(hull, Frame.level(height), 0.0, locker.hull_gap), locker.edges)
    if locker.hangs_in_opening:
        return inside
    return area_within(inside.intersection(locker.area), {})


def _hull_walls(locker: LockerPlan, low: Polygon) -> list[Strip]:
    """Strips along the sides that follow the hull, from the floor, whose inside is `low`, up to the top."""
    found: list[Strip] = []
    if locker.floor is None or low.is_empty:
        return found
    top = locker.area
    for side in ("port", "starboard"):
        edge = locker.edges.get(side)
        if edge is None or edge.points is not None or side in locker.open_sides:
            continue
        x0, x1 = max(top.bounds[0], low.bounds[0]) + 0.01, min(top.bounds[2], low.bounds[2]) - 0.01
        if x1 - x0 < 10.0:
            continue
        x = np.linspace(x0, x1, max(3, int((x1 - x0) / STRIP_STEP) + 2))
        upper, lower = (_side_points(a, x, z, side) for a, z in ((top, locker.top), (low, locker.floor)))
        if side == "port":  # seen from inside, so that the metal lies outside
            upper, lower = upper[::-1], lower[::-1]
        found.append(Strip(f"{locker.name}/wall.{side}", upper, lower, locker.sheet, "wall"))
    return found


def _side_points(area: Polygon, x: Array, z: float, side: str) -> Array:
    """Points of an area's outermost side at stations, `(n, 3)`."""
    ring = get_coordinates(area.exterior)
    (x0, y0), (x1, y1) = ring[:-1].T, ring[1:].T
    passed = (x0 <= x[:, None]) != (x1 <= x[:, None])
    share = (x[:, None] - x0) / np.where(x1 == x0, np.inf, x1 - x0)
    y = np.where(passed, y0 + share * (y1 - y0), np.nan)
    outermost = np.nanmax(y, axis=1) if side == "port" else np.nanmin(y, axis=1)
    return np.stack([x, outermost, np.full(len(x), z)], axis=1)
