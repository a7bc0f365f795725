"""The room in which rods lie: its bounds, and everything that stands in it or round it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import Point, Polygon

from model.geometry import UP, Array
from model.hull import Hull
from model.layout.edges import largest
from model.layout.records import LockerPlan
from model.rods.names import Stowage
from model.rods.pieces import Piece
from model.rods.rod import Pose
from model.rods.soup import Flags, Soup

if TYPE_CHECKING:
    from model.boat import Boat

SPACING = 40.0
"""Sections of the skin, mm apart: chords lie within 0.1 mm of a side of 2 m radius."""

BOUND = "the edge of "
"""Begins the name of a side of the room that has no metal."""

BESIDE = 3.0
"""A side of the room all of which lies this near to where it keeps off the skin, mm, is the hull's."""

BEYOND = 250.0
"""A side that ends at the hull is taken to run on so far, mm."""

NEAR = 150.0
"""No end of a rod lies further than this outside the box of the room, mm: skin may bulge out below a deck."""

DEEP = 5_000.0
"""Below anything in a boat, mm."""


@dataclass(frozen=True, eq=False)
class Room:
    """Where rods may lie.

    Attributes:
        place: the locker or opening.
        area: in plan.
        low: height of its floor; of the hull's lowest point where it has none, mm.
        high: height of its top, the greatest where the deck slopes, mm.
        soup: the triangles that bound it and stand in it.
        solids: the pieces near it.
        hull: of the boat.
    """

    place: Stowage
    area: Polygon
    low: float
    high: float
    soup: Soup
    solids: tuple[Piece, ...]
    hull: Hull

    @property
    def box(self) -> Array:
        """Least and greatest corner, `(2, 3) float`."""
        x0, y0, x1, y1 = self.area.bounds
        return np.array([[x0, y0, self.low], [x1, y1, self.high]])

    def within(self, points: Array) -> Flags:
        """Whether points `(n, 3)` lie in its area in plan, between floor and top, inside the hull, `(n,)`."""
        found: Flags = shapely.contains_xy(self.area, points[:, 0], points[:, 1])
        found &= (points[:, 2] > self.low) & (points[:, 2] < self.high)
        found[found] = self.hull.gap(points[found], ends=True) > 0.0
        return found

    def holds(self, pose: Pose) -> bool:
        """Whether a rod that touches nothing lies inside, not inside metal or beyond the room's bounds."""
        ends = np.stack([pose.butt, pose.tip])
        middle = ends.mean(axis=0)
        if not (self.near(ends).all() and self.within(middle[None])[0]):
            return False
        return self.in_metal(middle) is None

    def near(self, points: Array) -> Flags:
        """Whether points `(n, 3)` lie so near to its box that a rod in it may end there, `(n,)`."""
        low, high = self.box
        found: Flags = ((points > low - NEAR) & (points < high + NEAR)).all(axis=1)
        return found

    def in_metal(self, point: Array) -> str | None:
        """The piece that a point lies in; None where it is free."""
        for piece in self.solids:
            near = (piece.box[0] < point).all() and (piece.box[1] > point).all()
            if near and winding(piece.mesh.triangles, point) > 0.5:
                return piece.name
        return None


def winding(triangles: Array, point: Array) -> float:
    """How often a closed mesh of triangles `(m, 3, 3)` winds round a point: 1 inside, 0 outside.

    The sum of solid angles over 4 pi (Van Oosterom and Strackee 1983).
    """
    a, b, c = np.moveaxis(triangles - point, 1, 0)
    la, lb, lc = (np.sqrt((v**2).sum(axis=1)) for v in (a, b, c))
    over = (a * np.cross(b, c)).sum(axis=1)
    under = la * lb * lc + (a * b).sum(1) * lc + (b * c).sum(1) * la + (c * a).sum(1) * lb
    return float(np.arctan2(over, under).sum() / (2.0 * np.pi))


def room_of(place: Stowage, boat: Boat, every: Sequence[Piece]) -> Room:
    """The room of a locker, or below a deck around its opening down to what floor there is.

    Args:
        place: the locker or opening.
        boat: the boat it is in.
        every: all its pieces.
    """
    area = _area(place)
    low, floor = _floor(place, boat, area)
    top = _top(place)
    x0, y0, x1, y1 = area.bounds
    high = float(_ceiling(place, np.array([[x0, y0], [x1, y1]]), top)[:, 2].max())
    wide = np.array([[x, y] for x in (x0 - BEYOND, x1 + BEYOND) for y in (y0 - BEYOND, y1 + BEYOND)])
    ceiling = _ceiling(place, wide, top)
    box = np.array([[x0, y0, low], [x1, y1, high]])
    solids = tuple(_metal(every, box))
    parts = [(piece.name, _near(piece.mesh.triangles, box, 1.0), True) for piece in solids]
    # where a slanting side and the skin meet may lie outside the box
    parts += [("hull", _near(own, box, BEYOND), True) for own in skin(boat.hull, x0 - BEYOND, x1 + BEYOND)]
    bounds = [*_sides(place, boat, area, low, high), _two(ceiling, -UP)]
    if floor is not None:
        bounds.append(_two(np.column_stack([wide, np.full(4, floor)]), UP))
    parts += [(f"{BOUND}{place.name}", quad, True) for quad in bounds]
    return Room(place, area, low, high, Soup.of(parts), solids, boat.hull)


def _near(triangles: Array, box: Array, reach: float) -> Array:
    """The triangles whose own box comes within reach of a box `(2, 3)`."""
    low, high = triangles.min(axis=1), triangles.max(axis=1)
    found: Array = triangles[((low <= box[1] + reach) & (high >= box[0] - reach)).all(axis=1)]
    return found


def _area(place: Stowage) -> Polygon:
    """Its inside in plan; with a side that has no wall, what lies under its whole deck."""
    locker = place.locker
    if locker is None or locker.open_sides:
        return place.deck.plan_area()
    return largest(locker.area.buffer(-_lining(locker), join_style="mitre"))


def _lining(locker: LockerPlan) -> float:
    """How thick its insulation and liner are, mm."""
    return locker.insulation + locker.sheet.thickness if locker.insulation else 0.0


def _top(place: Stowage) -> float:
    """Its top in the deck's frame, mm along z: a lid's under face where it has one, else the deck's."""
    lid = place.opening.lid if place.opening is not None else None
    return max(-place.deck.sheet.thickness, 0.0 if lid is None else lid.bottom)


def _ceiling(place: Stowage, corners: Array, top: float) -> Array:
    """Its top over points `(n, 2)` in plan, `(n, 3) float`."""
    rise = [place.deck.height_at(float(x)) + top / float(place.deck.frame.x[0]) for x in corners[:, 0]]
    return np.column_stack([corners, rise])


def _floor(place: Stowage, boat: Boat, area: Polygon) -> tuple[float, float | None]:
    """The lowest it can be, and its floor's height where it has one."""
    if place.locker is not None:
        floor = place.locker.floor
        if floor is not None:
            floor += _lining(place.locker)
    else:
        assert place.opening is not None
        floor = _deck_below(place, boat, place.deck.in_plan(place.opening.polygon).centroid)
    if floor is not None:
        return floor, floor
    x0, _, x1, _ = area.bounds
    across = np.linspace(x0, x1, 40)
    return min(float(boat.hull.section(across, side)[..., 1].min()) for side in ("port", "starboard")), None


def _deck_below(place: Stowage, boat: Boat, at: Point) -> float | None:
    """The highest deck below a point of this one, mm; None where there is none above the hull."""
    own = place.deck.height_at(at.x)
    heights = [
        deck.height_at(at.x)
        for deck in boat.layout.decks.values()
        if deck is not place.deck and deck.name.startswith("deck.") and deck.plan_area().contains(at)
    ]
    return max((height for height in heights if height < own - 1.0), default=None)


def _metal(every: Sequence[Piece], box: Array) -> Iterator[Piece]:
    """Pieces that come near a box."""
    for piece in every:
        if (piece.box[0] <= box[1] + 1.0).all() and (piece.box[1] >= box[0] - 1.0).all():
            yield piece


def skin(hull: Hull, aft: float, forward: float) -> Iterator[Array]:
    """Triangles of the inside of the skin between two stations and a little beyond, and its ends."""
    low, high = hull.span
    first, last = max(low, aft - SPACING), min(high, forward + SPACING)
    inner = hull.chain.breaks
    rows = np.linspace(first, last, max(2, int(np.ceil((last - first) / SPACING)) + 1))
    rows = np.unique(np.concatenate([rows, inner[(inner > first) & (inner < last)]]))
    yz = hull.chain.at(rows)
    points = np.concatenate([np.broadcast_to(rows[:, None, None], (*yz.shape[:2], 1)), yz], axis=2)
    a, b, c, d = points[:-1, :-1], points[1:, :-1], points[1:, 1:], points[:-1, 1:]
    cells = np.concatenate([np.stack([a, c, b], axis=2), np.stack([a, d, c], axis=2)])[:, :, ::-1]
    yield cells.reshape(-1, 3, 3)
    for end in hull.ends:
        y, z = np.array([-DEEP, DEEP]), np.array([-DEEP, DEEP])
        corners = np.array([[0.0, v, w] for v in y for w in z])
        corners[:, 0] = (end.offset - corners[:, 1:] @ end.normal[1:]) / end.normal[0]
        yield _two(corners, -end.normal)


def _sides(place: Stowage, boat: Boat, area: Polygon, low: float, high: float) -> Iterator[Array]:
    """Upright faces along the sides of the area, but for those along the hull."""
    locker = place.locker
    gap = place.deck.hull_gap if locker is None else locker.hull_gap + _lining(locker)
    level = place.locker.top if place.locker is not None else high
    for k, ring in enumerate((area.exterior, *area.interiors)):
        points = shapely.get_coordinates(ring)
        inward = 1.0 if ring.is_ccw == (k == 0) else -1.0
        starts, ends = points[:-1].copy(), points[1:].copy()
        tried = np.concatenate([starts, (starts + ends) / 2.0, ends])
        off = boat.hull.gap(np.column_stack([tried, np.full(len(tried), level)]), ends=True)
        free = off.reshape(3, -1).max(axis=0) > gap + BESIDE
        # below the level of the area the skin may stand further out
        ways = (ends - starts) / np.hypot(*(ends - starts).T)[:, None]
        ends[~np.roll(free, -1)] += (BEYOND * ways)[~np.roll(free, -1)]
        starts[~np.roll(free, 1)] -= (BEYOND * ways)[~np.roll(free, 1)]
        for start, end in zip(starts[free], ends[free], strict=True):
            corners = [[*start, low - 1.0], [*start, high], [*end, low - 1.0], [*end, high]]
            yield _two(np.array(corners), inward * np.array([start[1] - end[1], end[0] - start[0], 0.0]))


def _two(corners: Array, facing: Array) -> Array:
    """Two triangles for a quad's corners `(4, 3)`, told row by row, that look to the side of `facing`."""
    a, b, c, d = corners
    found = np.array([[a, b, c], [b, d, c]])
    return found if float(np.cross(b - a, c - a) @ facing) > 0.0 else found[:, ::-1]
