"""What stands on a level surface or against an upright one, as areas of that surface."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from model.flat_arcs import polygon_of
from model.geometry import Array, Frame
from model.mat.surfaces import Surface, from_plan
from model.panel import Panel
from model.prism import Prism

if TYPE_CHECKING:
    from model.boat import Boat
    from model.layout.records import ConsolePlan, DeckPlan

_TOUCH = 0.05
"""What reaches above a surface by less than this does not stand on it, mm."""
_SQUARE = 1e-3
_ROUND_CORNER = 50.0
_STEEP = 0.3
"""Sheet that leans no more than this (sine) from square to a surface stands upright on it."""
_UPRIGHT_ROLES = ("bulkhead", "wall", "riser")


def standing_on(boat: Boat, surface: Surface, thickness: float) -> BaseGeometry:
    """The area of a level surface that something takes: decks above, consoles, fittings, upright sheet.

    What lies under a higher deck is taken as well: it is not walked on; the floor of a locker is lined all
    the same. Fittings that come out for use stand on the mat and take nothing.

    Args:
        boat: whose layout, panels and fittings are looked at.
        surface: a deck, a seat box top, a lid, or a level lining.
        thickness: of the mat, mm; what begins higher above the surface takes nothing.
    """
    taken: list[BaseGeometry] = []
    if surface.kind != "lining":
        others = (deck for deck in boat.layout.decks.values() if deck.name != surface.deck)
        taken += [_under(surface, deck, thickness) for deck in others]
        taken += [_console(surface, console, thickness) for console in boat.layout.consoles]
    taken += [_prism(surface.frame, prism, thickness) for prism in _fitting_prisms(boat)]
    taken += [
        _sheet(surface.frame, panel, thickness)
        for panel in boat.panels
        if panel.role in _UPRIGHT_ROLES and panel.name != surface.name
    ]
    flanges = (prism for panel in boat.panels for prism in panel.prisms[1:])
    taken += [_prism(surface.frame, prism, thickness) for prism in flanges]
    return shapely.union_all([area for area in taken if not area.is_empty])


def against(boat: Boat, surface: Surface, thickness: float) -> BaseGeometry:
    """The area of an upright surface that fittings and consoles stand against."""
    taken = [_prism(surface.frame, prism, thickness) for prism in _fitting_prisms(boat)]
    for console in boat.layout.consoles:
        corners = _console_corners(console, 0.0, float(console.profile[:, 1].max()))
        taken.append(_hull_in_slab(surface.frame, corners, thickness))
    return shapely.union_all([area for area in taken if not area.is_empty])


def hidden_below(boat: Boat, surface: Surface, near: float, far: float) -> BaseGeometry:
    """The area of an upright surface lower than a deck before it, or beside it round a corner.

    A deck counts that lies anywhere between `near` and `far` mm before the face: what is behind it is no
    more than a slot.
    """
    x0, _, x1, _ = surface.area.bounds
    # past its ends too, to meet what stands at an inside corner
    band = shapely.box(x0 - _ROUND_CORNER, near, x1 + _ROUND_CORNER, far)
    plan = shapely.transform(band, lambda p: _before(surface.frame, p))
    return shapely.union_all([
        _below(surface.frame, shapely.get_coordinates(part), deck)
        for deck in boat.layout.decks.values()
        for part in shapely.get_parts(plan.intersection(deck.plan_area()))
        if isinstance(part, Polygon) and part.area > _TOUCH
    ])  # fmt: skip


def _before(frame: Frame, points: Array) -> Array:
    """Plan points from places along an upright face and distances before it."""
    flat = np.column_stack([points[:, 0], np.zeros(len(points)), points[:, 1]])
    return frame.to_boat(flat)[:, :2]


def _below(frame: Frame, plan: Array, deck: DeckPlan) -> BaseGeometry:
    """The area of a face below the part of a deck that has these plan corners."""
    heights = np.array([deck.height_at(float(x)) for x in plan[:, 0]])
    top = frame.to_frame(np.column_stack([plan, heights]))[:, :2]
    return shapely.MultiPoint(np.vstack([top, top - [0.0, 1e4]])).convex_hull


def _fitting_prisms(boat: Boat) -> list[Prism]:
    loose = {plan.name for plan in boat.layout.fixtures if plan.removable}
    return [
        prism
        for fixture in boat.fixtures
        if fixture.kind != "lid" and fixture.name not in loose
        for prism in fixture.prisms
    ]


def _under(surface: Surface, deck: DeckPlan, thickness: float) -> BaseGeometry:
    """The part of a surface under another deck, or level with it."""
    frame = surface.frame
    moved = shapely.transform(deck.plan_area(), lambda plan: from_plan(frame, plan))
    shared = moved.intersection(surface.area.buffer(2 * thickness))
    if shared.is_empty:
        return Polygon()
    x, _, z = frame.to_boat(shapely.get_coordinates(shared.centroid)[0])
    return shared if deck.height_at(float(x)) > z - thickness else Polygon()


def _console(surface: Surface, console: ConsolePlan, thickness: float) -> BaseGeometry:
    foot = surface.frame.to_frame(console.frame.origin)
    if not -thickness < foot[2] < thickness:
        return Polygon()
    return _hull_in_slab(surface.frame, _console_corners(console, 0.0, 2 * thickness), 2 * thickness)


def _console_corners(console: ConsolePlan, low: float, high: float) -> Array:
    """Corners of the part of a console between two heights above its foot, in the boat, `(n, 3)`."""
    band = Polygon(console.profile).intersection(shapely.box(-1e5, low - 0.01, 1e5, high))
    profile = shapely.get_coordinates(band)
    half = console.width / 2
    rows = [np.column_stack([profile[:, 0], np.full(len(profile), y), profile[:, 1]]) for y in (-half, half)]
    return console.frame.to_boat(np.vstack(rows))


def _prism(frame: Frame, prism: Prism, thickness: float) -> BaseGeometry:
    """The area a solid takes of a surface: its outline where it stands square on it, else its shadow."""
    if float(prism.frame.z @ frame.z) > 1 - _SQUARE:
        base = frame.to_frame(prism.frame.origin)
        if base[2] + prism.z1 < _TOUCH or base[2] + prism.z0 > thickness:
            return Polygon()
        turn = np.stack([prism.frame.x @ frame.axes.T, prism.frame.y @ frame.axes.T])[:, :2]
        return shapely.transform(polygon_of(prism.outline), lambda p: p @ turn + base[:2])
    flat = prism.outline.polyline()
    rows = [np.column_stack([flat, np.full(len(flat), z)]) for z in (prism.z0, prism.z1)]
    return _hull_in_slab(frame, prism.frame.to_boat(np.vstack(rows)), thickness)


def _hull_in_slab(frame: Frame, corners: Array, thickness: float) -> BaseGeometry:
    """The shadow of a solid's corners on a surface, where the solid reaches into the mat's thickness."""
    own = frame.to_frame(corners)
    if not len(own) or own[:, 2].max() < _TOUCH or own[:, 2].min() > thickness:
        return Polygon()
    return shapely.MultiPoint(own[:, :2]).convex_hull


def _sheet(frame: Frame, panel: Panel, thickness: float) -> BaseGeometry:
    """The footprint of upright sheet on a level surface."""
    if abs(float(panel.frame.z @ frame.z)) > _STEEP:
        return Polygon()
    # along the panel's x and height above the surface, in place of the panel's own x and y
    rise = panel.frame.axes @ frame.z
    base = float((panel.frame.origin - frame.origin) @ frame.z)
    seen = shapely.transform(panel.polygon, lambda p: np.column_stack([p[:, 0], p @ rise[:2] + base]))
    band = seen.intersection(shapely.box(-1e5, _TOUCH, 1e5, thickness))
    if band.is_empty:
        return Polygon()
    x0, _, x1, _ = band.bounds
    t = panel.sheet.thickness
    corners = panel.frame.to_boat(np.array([(x0, 0.0, -t), (x1, 0.0, -t), (x1, 0.0, 0.0), (x0, 0.0, 0.0)]))
    return Polygon(from_plan(frame, corners[:, :2]))
