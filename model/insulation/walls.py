"""The walls of an insulated box as the solid model leaves them: areas and foam of each face."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from scipy.spatial import KDTree
from shapely.geometry.base import BaseGeometry

from model.geometry import Array
from model.panel import Panel
from model.panelling.locker_panels import area_at, liner_of
from model.strip import Strip

if TYPE_CHECKING:
    from model.boat import Boat
    from model.insulation.settings import BoxAsked
    from model.layout.records import DeckPlan, LockerPlan, Opening

NONE = 0.5
"""Foam thinner than this, mm, is none."""
ROUND = ("aft", "starboard", "forward", "port")
"""Walls in the order in which they meet, seen from above against the sun."""
FINE = 24
"""A wall along the hull is measured at so many places each way."""


@dataclass(frozen=True, eq=False)
class Wall:
    """One face of a box.

    Attributes:
        face: `aft`, `forward`, `port`, `starboard`, a number for the walls of an outline, `floor`, `lid`,
            `deck` (the top about the opening).
        inner, outer: areas of the foam's inside and outside, mm2.
        foam: thickness of the foam that lets as much through as the real one, mm; 0 for none.
        least, most: thickness where it is least and greatest, mm.
        inner_sheet, outer_sheet: thickness of the sheets, mm; 0 where there is none.
        long: inside length along the floor, mm; 0 of floor, lid and deck.
        flat: whether it is flat.
    """

    face: str
    inner: float
    outer: float
    foam: float
    least: float
    most: float
    inner_sheet: float
    outer_sheet: float
    long: float = 0.0
    flat: bool = True

    @property
    def has_foam(self) -> bool:
        """Whether any foam is in it."""
        return self.foam > NONE


def walls_of(boat: Boat, locker: LockerPlan, asked: BoxAsked) -> tuple[Wall, ...]:
    """All faces of a box: its walls, floor, and what closes it above."""
    return (*_upright(boat, locker), *_floor(boat, locker), *_top(boat, locker, asked))


def pieces_of(boat: Boat, name: str) -> dict[str, Panel | Strip]:
    """The sheet of a shell by its own name: `wall.aft`, `floor`."""
    start = f"{name}/"
    every: tuple[Panel | Strip, ...] = (*boat.panels, *boat.strips)
    own = {p.name[len(start) :]: p for p in every if p.name.startswith(start)}
    return {key: piece for key, piece in own.items() if "/" not in key}


def _upright(boat: Boat, locker: LockerPlan) -> Iterator[Wall]:
    outer = pieces_of(boat, locker.name)
    liner = pieces_of(boat, f"{locker.name}/liner")
    for key in sorted((key for key in outer if key.startswith("wall.")), key=_round):
        wall = outer[key]
        inner = liner.get(key)
        face = key.removeprefix("wall.")
        if inner is None:
            area = wall.area
            long = float(np.ptp(wall.box[:, :2], axis=0).max())
            yield Wall(
                face, area, area, 0.0, 0.0, 0.0, 0.0, wall.sheet.thickness, long, isinstance(wall, Panel)
            )
        elif isinstance(wall, Panel) and isinstance(inner, Panel):
            yield _flat(face, wall, inner, locker)
        else:
            yield _along_hull(face, wall, inner)


def _round(key: str) -> int:
    """Place of a wall on the way round the box, against the sun."""
    face = key.removeprefix("wall.")
    return int(face) if face.isdigit() else ROUND.index(face.partition(".")[0])


def _flat(face: str, wall: Panel, inner: Panel, locker: LockerPlan) -> Wall:
    """A flat wall: its faces are parallel, so the foam is of one thickness."""
    sheet = inner.sheet.thickness
    off = float((inner.frame.origin - wall.frame.origin) @ inner.frame.z) - sheet
    assert locker.floor is not None
    floor = locker.floor + locker.insulation
    low, high = (above(own, own.polygon, at) for own, at in ((inner, floor), (wall, locker.floor)))
    x0, _, x1, _ = low.bounds if not low.is_empty else (0.0, 0.0, 0.0, 0.0)
    return Wall(
        face, float(low.area), float(high.area), max(off, 0.0), max(off, 0.0), max(off, 0.0), sheet,
        wall.sheet.thickness, float(x1 - x0),
    )  # fmt: skip


def above(panel: Panel, shape: BaseGeometry, height: float) -> BaseGeometry:
    """What of a shape in the plane of an upright panel lies above a height, drawn along the panel and up."""
    frame = panel.frame
    level = _level(frame.z)
    flat = np.array([[frame.x @ level, frame.y @ level], [frame.x[2], frame.y[2]]])
    drawn = shapely.transform(shape, lambda p: p @ flat.T + [0.0, frame.origin[2]])
    return drawn.intersection(shapely.box(-1e5, height, 1e5, 1e5))


def _level(normal: Array) -> Array:
    """The level way along an upright plane."""
    way = np.array([-normal[1], normal[0], 0.0])
    return way / float(np.hypot(*way[:2]))


def _along_hull(face: str, wall: Panel | Strip, inner: Panel | Strip) -> Wall:
    """A wall that follows the hull: the foam's thickness is measured in many places, square to the wall."""
    assert isinstance(wall, Strip)
    assert isinstance(inner, Strip)
    points, weight = _spread(inner, FINE)
    target, _ = _spread(wall, 4 * FINE)
    tree = KDTree(target)
    near, at = tree.query(points)
    normal = _normals(wall, target[at])
    off = np.abs(((points - target[at]) * normal).sum(axis=1)) - inner.sheet.thickness
    off = np.clip(np.minimum(off, near), 0.0, None)
    thin = float(off.min())
    passed = float((weight / np.maximum(off, 1e-3)).sum() / weight.sum())
    edge = inner.edge_a if inner.edge_a[:, 2].mean() < inner.edge_b[:, 2].mean() else inner.edge_b
    long = float(np.sqrt((np.diff(edge, axis=0) ** 2).sum(axis=1)).sum())
    return Wall(
        face, inner.area, wall.area, 0.0 if thin <= NONE else 1.0 / passed, thin, float(off.max()),
        inner.sheet.thickness, wall.sheet.thickness, long, False,
    )  # fmt: skip


def _spread(strip: Strip, count: int) -> tuple[Array, Array]:
    """Points evenly over a strip `(n, 3)` and the area that each stands for."""
    t = (np.arange(count) + 0.5) / count
    along = np.linspace(0.0, len(strip.edge_a) - 1.0, count + 1)
    index = np.arange(len(strip.edge_a))

    def at(edge: Array, where: Array) -> Array:
        return np.column_stack([np.interp(where, index, edge[:, k]) for k in range(3)])

    middle = (along[:-1] + along[1:]) / 2.0
    a, b = at(strip.edge_a, middle), at(strip.edge_b, middle)
    points = a[:, None] + t[None, :, None] * (b - a)[:, None]
    step = at(strip.edge_a, along[1:]) - at(strip.edge_a, along[:-1])
    far = at(strip.edge_b, along[1:]) - at(strip.edge_b, along[:-1])
    ahead = step[:, None] + t[None, :, None] * (far - step)[:, None]
    area = np.sqrt((np.cross(ahead, (b - a)[:, None] / count) ** 2).sum(axis=2))
    return points.reshape(-1, 3), area.ravel()


def _normals(strip: Strip, points: Array) -> Array:
    """Unit normals of a strip near points `(n, 3)`: of the triangle whose middle is nearest."""
    p, q, r = np.moveaxis(strip.points[strip.triangulation], 1, 0)
    cross = np.cross(q - p, r - p)
    cross /= np.sqrt((cross**2).sum(axis=1))[:, None]
    found: Array = cross[KDTree((p + q + r) / 3.0).query(points)[1]]
    return found


def _floor(boat: Boat, locker: LockerPlan) -> Iterator[Wall]:
    outer, liner = (
        pieces_of(boat, locker.name).get("floor"),
        pieces_of(boat, f"{locker.name}/liner").get("floor"),
    )
    if outer is None:
        return
    whole = float(shapely.Polygon(outer.polygon.exterior).area)  # a drain's hole counts as floor
    if liner is None:
        yield Wall("floor", whole, whole, 0.0, 0.0, 0.0, 0.0, outer.sheet.thickness)
        return
    foam = max(locker.insulation - liner.sheet.thickness, 0.0)
    inside = float(shapely.Polygon(liner.polygon.exterior).area)
    sheets = liner.sheet.thickness, outer.sheet.thickness
    yield Wall("floor", inside, whole, foam, foam, foam, *sheets)


def _top(boat: Boat, locker: LockerPlan, asked: BoxAsked) -> Iterator[Wall]:
    """The lid over the opening, and the deck about it."""
    deck, opening = deck_and_opening(boat, locker)
    shell = liner_of(locker, boat.hull) if locker.insulation > 0 else locker
    inside = area_at(shell, boat.hull, locker.top)
    hole = shapely.Polygon() if opening is None else deck.in_plan(opening.polygon)
    through = float(inside.intersection(hole).area)
    if opening is not None:
        lid = opening.lid
        sheet = 0.0 if lid is None or lid.sheet is None else lid.sheet.thickness
        foam = asked.lid if lid is not None else 0.0
        yield Wall("lid", through, float(hole.area), foam, foam, foam, 0.0, sheet)
    rest = float(inside.area) - through
    if rest > 1.0:
        room = room_above(deck, locker)
        foam = room if asked.top is None else min(asked.top, room)
        outer = max(float(area_at(locker, boat.hull, locker.top).area) - float(hole.area), rest)
        yield Wall("deck", rest, outer, foam, foam, foam, 0.0, deck.sheet.thickness)


def deck_and_opening(boat: Boat, locker: LockerPlan) -> tuple[DeckPlan, Opening | None]:
    """What a locker lies under."""
    return boat.layout.decks[locker.deck], boat.layout.opening(locker.opening) if locker.opening else None


def room_above(deck: DeckPlan, locker: LockerPlan) -> float:
    """From the top of a box to the underside of the deck's sheet where it is lowest, mm."""
    x0, _, x1, _ = locker.area.bounds
    return max(min(deck.height_at(x0), deck.height_at(x1)) - deck.sheet.thickness - locker.top, 0.0)
