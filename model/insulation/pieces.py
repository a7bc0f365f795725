"""Foam to cut for a box: a flat outline for each face, laid so that the pieces close the corners."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import Polygon, affinity

from model.clearance.bodies import boat_bodies
from model.flat_arcs import polygons_of
from model.insulation.walls import NONE, Wall, above, deck_and_opening, pieces_of, room_above
from model.panel import Panel
from model.panelling.locker_panels import area_at
from model.shadow import Thing, shadow, shape_of
from model.strip import Strip

if TYPE_CHECKING:
    from model.boat import Boat
    from model.insulation.settings import BoxAsked
    from model.layout.records import LockerPlan

PLAY = 3.0
"""Left round the foam of a lid and between foam and frame, mm."""
NARROW = 12.0
"""Strips under the deck narrower than this are filled by hand, mm."""
OVER = ("aft", "forward")
"""Walls whose foam reaches over the ends of the foam of the others."""


@dataclass(frozen=True, eq=False)
class FoamPiece:
    """One piece of foam of a box.

    Attributes:
        name: `locker.ice/foam.aft`.
        face: of the box.
        outline: flat, seen from inside, its low corner at 0, mm.
        thickness: as the model leaves it, mm.
        note: what to mind.
    """

    name: str
    face: str
    outline: Polygon
    thickness: float
    note: str = ""

    @property
    def volume(self) -> float:
        """mm3."""
        return float(self.outline.area) * self.thickness


def foam_pieces(
    boat: Boat, locker: LockerPlan, asked: BoxAsked, walls: tuple[Wall, ...]
) -> tuple[FoamPiece, ...]:
    """The foam of a box: all under the floor, on that the walls, fore and aft ones over the others' ends."""
    found = []
    for face, outline, thickness, note in _flat(boat, locker, asked, {w.face: w for w in walls}):
        if thickness > NONE and not outline.is_empty:
            name = f"{locker.name}/foam.{face}"
            found.append(FoamPiece(name, face, _at_origin(outline), thickness, note))
    return tuple(found)


def _flat(
    boat: Boat, locker: LockerPlan, asked: BoxAsked, walls: dict[str, Wall]
) -> Iterator[tuple[str, Polygon, float, str]]:
    outer, liner = pieces_of(boat, locker.name), pieces_of(boat, f"{locker.name}/liner")
    if "floor" in walls and "floor" in outer:
        yield "floor", Polygon(outer["floor"].polygon.exterior), walls["floor"].foam, "lay it first"
    for key, inner in liner.items():
        face = key.removeprefix("wall.")
        wall = walls.get(face)
        if key == "floor" or wall is None or key not in outer:
            continue
        yield face, _wall(locker, face, outer[key], inner, walls), wall.foam, _wall_note(wall)
    yield from _above(boat, locker, asked, walls)


def _wall_note(wall: Wall) -> str:
    if wall.flat:
        return ""
    return f"bent along the hull: {wall.least:.0f} to {wall.most:.0f} mm thick, trim to fit"


def _wall(
    locker: LockerPlan, face: str, outer: Panel | Strip, inner: Panel | Strip, walls: dict[str, Wall]
) -> Polygon:
    """A wall's foam from the foam of the floor up to the rim."""
    assert locker.floor is not None
    sheet = inner.sheet.thickness
    if isinstance(inner, Strip) or isinstance(outer, Strip):
        return _one(inner.polygon.buffer(sheet, join_style="mitre"))
    low = locker.floor + locker.insulation - sheet
    if face in OVER:
        return _one(above(outer, outer.polygon, low))
    between = above(inner, inner.polygon.buffer(sheet, join_style="mitre"), low)
    shape = between.intersection(shapely.box(-1e5, low, 1e5, locker.top))
    if face.isdigit():  # of an outline: each reaches over the end of the next
        after = walls.get(str(int(face) + 1)) or walls.get("1")
        shape = shapely.union_all(
            [shape, affinity.translate(shape, after.foam if after else 0.0)]
        ).convex_hull
    return _one(shape)


def _above(
    boat: Boat, locker: LockerPlan, asked: BoxAsked, walls: dict[str, Wall]
) -> Iterator[tuple[str, Polygon, float, str]]:
    """Under the lid, and between the frame under the deck about the opening."""
    deck, opening = deck_and_opening(boat, locker)
    if opening is not None and "lid" in walls:
        x0, y0, x1, y1 = opening.outline.bounds
        back = PLAY + asked.lid**2 / (2.0 * min(x1 - x0, y1 - y0))
        note = f"glue under the lid; {back:.0f} mm clear all round, so that it swings free"
        yield "lid", _one(opening.polygon.buffer(-back, join_style="mitre")), asked.lid, note
    if "deck" not in walls:
        return
    low, high = locker.top, locker.top + room_above(deck, locker)
    area = area_at(locker, boat.hull, locker.top)
    things = [
        Thing(body.name, solid, PLAY)
        for body in boat_bodies(boat)
        if body.kind in ("member", "sheet", "lid") and not body.name.startswith(f"{deck.name}/sheet")
        for solid in body.solids
    ]
    hole = shapely.Polygon() if opening is None else deck.in_plan(opening.polygon).buffer(PLAY)
    free = area.difference(shapely.union_all([shape_of(shadow(things, low, high)), hole]))
    half = NARROW / 2.0
    wide = free.buffer(-half, join_style="mitre").buffer(half, join_style="mitre", mitre_limit=2.0)
    for k, part in enumerate(polygons_of(wide.intersection(free)), 1):
        if part.area > NARROW * 100.0:
            yield f"deck.{k}", part, walls["deck"].foam, "between the frame, under the deck"


def _one(shape: shapely.geometry.base.BaseGeometry) -> Polygon:
    """The largest polygon of a shape."""
    parts = polygons_of(shape)
    return parts[0] if parts else Polygon()


def _at_origin(outline: Polygon) -> Polygon:
    x0, y0, _, _ = outline.bounds
    moved: Polygon = shapely.transform(outline, lambda points: points - np.array([x0, y0]))
    return moved
