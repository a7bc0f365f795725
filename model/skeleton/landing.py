"""Where a post comes down: on a lower deck, a rib, a stringer or the skin, and where it may not stand."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Iterator
from dataclasses import dataclass
from functools import cached_property, partial

import numpy as np
import numpy.typing as npt
import shapely
from shapely import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from model.geometry import UP, Array, Plane
from model.hull import Hull
from model.kept import content
from model.layout.records import ConsolePlan, DeckPlan, Layout
from model.member import Member
from model.skeleton.plan_bar import Bar
from model.survey import SIDES

BESIDE = 3.0
"""Clear space, mm, between a post and a wall, a fixture or the edge of an opening."""

OFF_SHEET = 1.0
"""Clear space, mm, between a post and the edge of a lower deck it passes."""


STEEPEST = math.cos(math.radians(55))
"""A post does not land on skin steeper than 55 degrees, where its foot would be cut to a knife edge.

(Common practice; few saws tilt or swing further.)
"""

ON_MEMBER = 4.0
"""A post stands over a member of a lower deck if its axis is this far inside that member's edges, mm."""

NEXT_TO = 60.0
"""A deck no further than this from another in plan, mm, may be in the way of the other's posts."""

CLOSE = 0.01
"""A foot within this of its gap, mm, is not moved again."""

MOST_LIFTS = 8


@dataclass(frozen=True, eq=False)
class Landing:
    """What a post ends on: kind of joint, its name, and the plane of its foot (normal out of the post)."""

    kind: str
    name: str
    foot: Plane


class Site:
    """The boat in which posts are set: what the ground below its decks has in common."""

    def __init__(self, layout: Layout, hull: Hull, bars: dict[str, tuple[Bar, ...]]) -> None:
        """Takes the layout, the hull, and the frames of all decks by deck."""
        self.layout, self.hull, self.bars = layout, hull, bars
        self._framing: dict[str, BaseGeometry] = {}

    def framing(self, deck: DeckPlan) -> BaseGeometry:
        """Where a post stands over one of a deck's own members, seen from above."""
        if deck.name not in self._framing:
            self._framing[deck.name] = _framing(deck, self.bars[deck.name])
        return self._framing[deck.name]

    @cached_property
    def stiffeners(self) -> Array:
        """Ribs and stringers in plan: least x and y, greatest x and y, `(k, 4) float`."""
        return np.array(_stiffeners(self.hull)).reshape(-1, 4)

    @cached_property
    def barriers(self) -> list[tuple[Polygon, Callable[[DeckPlan], bool]]]:
        """Plan areas in which no post may stand of a deck that they lie or reach below."""
        return list(_barriers(self.layout))

    def lower(self, deck: DeckPlan) -> list[DeckPlan]:
        """The decks below another, the highest first."""
        decks = (d for d in self.layout.decks.values() if d.name.startswith("deck.") and _below(d, deck))
        return sorted(decks, key=lambda d: -_height(d))

    def near(self, deck: DeckPlan) -> Hashable:
        """What tells the lower decks as far as they lie near another from any others."""
        x0, y0, x1, y1 = deck.plan_area().bounds
        window = (x0 - NEXT_TO, y0 - NEXT_TO, x1 + NEXT_TO, y1 + NEXT_TO)
        told = []
        for lower in self.lower(deck):
            shapes = (lower.plan_area(), lower.taken_up, self.framing(lower))
            near = tuple(shapely.clip_by_rect(shape, *window).wkb for shape in shapes)
            told.append((lower.name, content(lower.frame), near))
        return tuple(told)

    def barring(self, deck: DeckPlan) -> list[Polygon]:
        """Plan areas in which no post of a deck may stand, besides those of its own rules."""
        return [area for area, is_below in self.barriers if is_below(deck)]


class Ground:
    """The lower decks and the hull below the posts of one deck."""

    def __init__(self, site: Site, deck: DeckPlan) -> None:
        """Gathers what lies below `deck`."""
        self.hull, self.deck, self.stiffeners = site.hull, deck, site.stiffeners
        self.lower = site.lower(deck)
        self.areas = [d.plan_area() for d in self.lower]
        self.holes = [d.taken_up for d in self.lower]
        self.framing = [site.framing(d) for d in self.lower]
        self.barred = shapely.union_all([*deck.rules.no_posts, *site.barring(deck)])
        shapely.prepare([self.barred, *self.areas, *self.holes, *self.framing])

    def allows(self, footprints: Array) -> npt.NDArray[np.bool_]:
        """Which footprints `(n, 4, 2)` in plan are clear of everything that bars a post; `(n,) bool`."""
        shapes = np.asarray(shapely.polygons(footprints))
        good = np.asarray(~shapely.intersects(self.barred, shapes))
        ask = np.flatnonzero(good)  # what no lower deck has decided yet
        for area, holes in zip(self.areas, self.holes, strict=True):
            inside = shapely.contains(area, shapes[ask])
            on, off = ask[inside], ask[~inside]
            good[on] = ~shapely.dwithin(holes, shapes[on], BESIDE)
            good[off] = ~shapely.dwithin(area, shapes[off], OFF_SHEET)
            ask = off[good[off]]
        good[ask] = ~np.isnan(self.hull.bottom(footprints[ask, :, 0], footprints[ask, :, 1])).any(axis=1)
        good[ask] &= ~self._beside_stiffener(footprints[ask], shapes[ask])
        ask = ask[good[ask]]
        middles = footprints[ask].mean(axis=1)
        good[ask] = -self.hull.normal_at(middles[:, 0], middles[:, 1])[:, 2] >= STEEPEST
        return good

    def _beside_stiffener(self, footprints: Array, shapes: npt.NDArray[np.object_]) -> npt.NDArray[np.bool_]:
        """Which posts on the skin would stand against a rib or stringer that their axis does not fall on."""
        low, high, axes = footprints.min(axis=1), footprints.max(axis=1), footprints.mean(axis=1)
        x0, y0, x1, y1 = self.stiffeners.T[:, :, None]
        near = (low[:, 0] <= x1 + BESIDE) & (high[:, 0] >= x0 - BESIDE)
        near &= (low[:, 1] <= y1 + BESIDE) & (high[:, 1] >= y0 - BESIDE)
        near &= ~((axes[:, 0] > x0) & (axes[:, 0] < x1) & (axes[:, 1] > y0) & (axes[:, 1] < y1))
        bar, post = np.nonzero(near)
        beside = shapely.dwithin(shapely.box(*self.stiffeners[bar].T), shapes[post], BESIDE)
        found = np.zeros(len(shapes), dtype=np.bool_)
        found[post[beside]] = True
        return found

    def firm(self, points: Array) -> npt.NDArray[np.bool_]:
        """At which plan points `(n, 2)` a post would stand over a member of a lower deck, or on no deck."""
        good = np.zeros(len(points), dtype=np.bool_)
        undecided = np.ones(len(points), dtype=np.bool_)
        for area, framing in zip(self.areas, self.framing, strict=True):
            inside = undecided & shapely.contains_xy(area, points)
            good |= inside & shapely.contains_xy(framing, points)
            undecided &= ~inside
        return good | undecided

    def under(self, x: float, y: float, half: float = 0.0) -> Landing | None:
        """What a post whose axis is at (x, y) lands on; None outside the hull.

        `half` is how far its foot reaches fore and aft: on a stringer that climbs it clears the higher end.
        """
        for deck, area in zip(self.lower, self.areas, strict=True):
            if shapely.contains_xy(area, x, y):
                point = np.array([x, y, deck.height_at(x)])
                return Landing("sole", f"{deck.name}/sheet", Plane.through(point, -deck.frame.z))
        found = self.hull.support_under(x, y)
        if found is None:
            return None
        if found.kind == "stringer":
            bar = next(s for s in self.hull.stringers if s.name == found.name)
            tops = self.hull.bottom(np.array([x - half, x, x + half]), bar.y) + bar.height
            return Landing("stringer", found.name, Plane.through((x, y, float(np.nanmax(tops))), -UP))
        kind = "hull" if found.kind == "skin" else found.kind
        return Landing(kind, found.name, Plane.through((x, y, found.z), -found.normal))


def _stiffeners(hull: Hull) -> list[tuple[float, float, float, float]]:
    """Ribs and stringers in plan: least x and y, greatest x and y of each."""
    found = [(s.aft, s.y - s.width / 2, s.forward, s.y + s.width / 2) for s in hull.stringers]
    for rib in hull.ribs:
        x0, x1 = rib.x - rib.width / 2, rib.x + rib.width / 2
        for side in SIDES:
            ends = [float(hull.line(name, rib.x, side)[1]) for name in (rib.low, rib.high)]
            found.append((x0, min(ends), x1, max(ends)))
    return found


def lift_off_skin(hull: Hull, posts: list[Member], gap: float) -> list[tuple[Plane, float, float]]:
    """The feet of posts that stand on the skin, each moved in until its whole end clears the skin by `gap`.

    Args:
        hull: the hull.
        posts: members whose end A is a plane parallel to the skin where the axis meets it.
        gap: least distance between end and skin, mm.

    Returns:
        For each post its foot plane, and the least and greatest gap of its end.
    """
    if not posts:
        return []
    outlines = [_outline_points(post) for post in posts]
    stops = np.cumsum([len(o) for o in outlines])[:-1]
    planes = [post.end_a for post in posts]
    for _ in range(MOST_LIFTS):
        points = [_on_plane(post, plane, o) for post, plane, o in zip(posts, planes, outlines, strict=True)]
        gaps = np.split(hull.gap(np.vstack(points)), stops)
        short = [float(g.min()) - gap for g in gaps]
        if max(map(abs, short)) < CLOSE:
            break
        # One that is close is left alone, so that a foot does not depend on which others are lifted with it.
        planes = [
            plane.moved(by) if abs(by) >= CLOSE else plane for plane, by in zip(planes, short, strict=True)
        ]
    return [(plane, float(g.min()), float(g.max())) for plane, g in zip(planes, gaps, strict=True)]


def _outline_points(post: Member) -> Array:
    """Points of the section's outline in member axes, `(n, 2)`, close enough for a gap over a curved skin."""
    corners = post.section.outer.polyline()
    middles = (corners + np.roll(corners, -1, axis=0)) / 2
    return np.vstack([corners, middles])


def _on_plane(post: Member, plane: Plane, outline: Array) -> Array:
    """The lines along the post through points of its outline, met with a plane; `(n, 3)` in the boat."""
    frame = post.frame
    start = frame.origin + outline[:, :1] * frame.y + outline[:, 1:] * frame.z
    travel = -plane.height(start) / float(plane.normal @ frame.x)
    found: Array = start + travel[:, None] * frame.x
    return found


def _framing(deck: DeckPlan, bars: tuple[Bar, ...]) -> BaseGeometry:
    """Where a post stands over one of a deck's own members, seen from above."""
    if not bars:
        return Polygon()
    shapes = shapely.buffer(shapely.polygons(np.array([bar.corners() for bar in bars])), -ON_MEMBER)
    return deck.in_plan(shapely.union_all(shapes))


def _height(deck: DeckPlan) -> float:
    return deck.height_at(float(deck.plan_area().centroid.x))


def _below(lower: DeckPlan, deck: DeckPlan) -> bool:
    """Whether a deck lies below another where the two overlap in plan, or all but do."""
    if lower.name == deck.name:
        return False
    under = deck.sheet.thickness + deck.rules.section.height
    if lower.frame.x[2] == deck.frame.x[2] == 0.0:  # both level: no need to know where
        lies = lower.height_at(0.0) < deck.height_at(0.0) - under
        return lies and bool(shapely.dwithin(lower.plan_area(), deck.plan_area(), NEXT_TO))
    shared = lower.plan_area().intersection(deck.plan_area().buffer(NEXT_TO))
    if shared.is_empty:
        return False
    x = float(shared.centroid.x)
    return lower.height_at(x) < deck.height_at(x) - under


def _barriers(layout: Layout) -> Iterator[tuple[Polygon, Callable[[DeckPlan], bool]]]:
    """Plan areas in which no post may stand, and whether each is in the way of a deck's posts."""
    for locker in layout.lockers.values():
        area = locker.area.buffer(locker.sheet.thickness + BESIDE, join_style="mitre")
        yield area, partial(_reaches_below, locker.floor, locker.area.centroid.x)
    for bulkhead in layout.bulkheads:
        line = LineString([bulkhead.start, bulkhead.end])
        area = line.buffer(bulkhead.sheet.thickness + BESIDE, cap_style="flat")
        yield area, partial(_reaches_below, bulkhead.bottom, float(bulkhead.start[0]))
    for console in layout.consoles:
        yield _foot(console).buffer(BESIDE), partial(_stands_below, layout.decks[console.stands_on], None)
    for seat in layout.decks.values():
        if seat.stands_on is not None:
            base = layout.decks[seat.stands_on]
            yield seat.plan_area().buffer(BESIDE), partial(_stands_below, base, seat)
    for fixture in layout.fixtures:
        x, _, z = fixture.frame.origin.tolist()
        x0, y0, _, x1, y1, _ = fixture.part.bounds
        corners = fixture.frame.to_boat(np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]))[:, :2]
        yield Polygon(corners).buffer(BESIDE), partial(_lies_below, x, z)


def _lies_below(x: float, z: float, deck: DeckPlan) -> bool:
    """Whether something at a station and a height lies below a deck."""
    return z < deck.height_at(x) - 1.0


def _reaches_below(bottom: float | None, x: float, deck: DeckPlan) -> bool:
    """Whether a thing from `bottom` up (None: from the hull) reaches below a deck at a station."""
    return bottom is None or bottom < deck.height_at(x) - deck.sheet.thickness - deck.rules.section.height


def _stands_below(base: DeckPlan, own: DeckPlan | None, deck: DeckPlan) -> bool:
    """Whether what stands on `base` stands among the posts of `deck`; `own` is the deck that it is itself."""
    return deck is not own and base.name != deck.name and _below(base, deck)


def _foot(console: ConsolePlan) -> Polygon:
    """Where a console stands in plan."""
    x, y = console.frame.origin[:2]
    half = float(np.ptp(console.profile[:, 0])) / 2
    found: Polygon = box(x - half, y - console.width / 2, x + half, y + console.width / 2)
    return found
