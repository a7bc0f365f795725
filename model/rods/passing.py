"""The longest rod that is passed through the open lid of a locker without bending.

It goes in an upright plane: slanted in through the opening, tip first, below the overhang of the deck, then
down until it lies below the closed lid. What length then turns level, in plan, to where the longest lies is
told beside it. The rod is taken as thick all along as at its butt, and as square; its reel comes in last.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import Polygon

from model.clearance.lids import hung_lids
from model.geometry import UP, Array, Frame, cross
from model.rods.longest import Lying
from model.rods.names import Stowage
from model.rods.pieces import Piece
from model.rods.rod import Pose, Rod
from model.rods.room import Room, skin
from model.rods.slab import slab
from model.rods.soup import Flags, Soup, contacts
from model.rods.thread import Blocked, Threaded, thread
from model.survey import Side

if TYPE_CHECKING:
    from model.boat import Boat

INSIDE, OVER = "from inside the boat", "from over the side"

LEVEL, STEP = math.radians(0.5), math.radians(3.0)
"""Least slant of a rod, and how far apart slants are looked at to begin with."""

APART = 20.0
"""How far apart lines are looked at to begin with, mm."""

REACH = 700.0
"""Lines are looked at within so much of the middle of the opening, mm."""

ROUNDS = 5
"""How often the grid is made finer about the tightest step, at most."""

TOUCHES = 1.5
"""What comes within this of a rod where it is tightest, mm, is told as blocking it."""

SQUARE = math.sqrt(2.0) - 1.0
"""By so much of its radius a bar that is square in its plane reaches further than a round one."""

SHORTEST = 0.4
"""Nothing shorter than this share of what lies in the locker is looked for."""

SLANTS = (-0.35, 0.35)
"""Headings off the length of the opening at which a rod comes in from over the side, rad."""

BESIDE = math.radians(4.0)
"""A level turn begins and ends within this of the headings it is asked between."""


@dataclass(frozen=True, eq=False)
class Passing:
    """A rod passed into a locker.

    Attributes:
        side: from inside the boat, or from over the side, by where its butt is where it is tightest.
        length: of the longest that passes, over all, mm.
        path: middles of butt and tip, pose after pose, in the boat, `(n, 2, 3) float`; the last lies inside.
        blocked: which of these poses is the tightest.
        held_by: names of the pieces that it touches there.
        where: one of the points where it does, `(3,) float`.
        turn: the longest that then turns level to where the longest lies, mm; 0 where none does, None where
            that is in the same plane.
    """

    side: str
    length: float
    path: Array
    blocked: int
    held_by: tuple[str, ...]
    where: Array
    turn: float | None

    @property
    def pose(self) -> Pose:
        """The tightest pose."""
        return Pose.along(*self.path[self.blocked])


def passings(
    room: Room, rod: Rod, lying: Lying, boat: Boat, every: Sequence[Piece], rounds: int = ROUNDS
) -> tuple[Passing, ...]:
    """The longest rod passed in from inside the boat and from over the side, where there is such a way.

    Args:
        room: where it is to lie.
        rod: its thickness; its reel is left out.
        lying: how the longest lies there.
        boat: the boat.
        every: all its pieces.
        rounds: how often the grid of lines is made finer about the tightest step, at most.
    """
    if room.place.opening is None:
        return ()
    soup = open_boat(room.place, boat, every)
    best: dict[str, _Tried] = {}
    for frame, ways in _uprights(room, lying, rod):
        plane = _Upright(room, soup, frame, rod.radii[0], lying.length)
        for toward in ways:
            found = plane.threaded(toward, 0)
            if found is None:
                continue
            tried = _Tried(plane, toward, found)
            if tried.side not in best or found.length > best[tried.side].found.length:
                best[tried.side] = tried
    made = (_passing(tried, room, rod, lying, rounds) for tried in best.values())
    return tuple(passing for passing in made if passing is not None)


def open_boat(place: Stowage, boat: Boat, every: Sequence[Piece]) -> Soup:
    """Everything in the boat with the lid of a locker open; one that lifts out is laid away."""
    assert place.opening is not None
    lid = next((lid for lid in hung_lids(boat) if lid.name == f"{place.opening.name}/lid"), None)
    own = set() if lid is None else {lid.name, *(rider.name for rider in lid.riders)}
    motion = None if lid is None or lid.lifts_out else lid.motion()
    parts: list[tuple[str, Array, bool]] = []
    for piece in every:
        triangles = piece.mesh.triangles
        if piece.name in own:
            if motion is None:
                continue
            matrix, offset = motion.pose(motion.limit)
            triangles = triangles @ matrix.T + offset
        parts.append((piece.name, triangles, True))
    parts += [("hull", triangles, True) for triangles in skin(boat.hull, *boat.hull.span)]
    return Soup.of(parts)


def _uprights(room: Room, lying: Lying, rod: Rod) -> Iterator[tuple[Frame, tuple[float, ...]]]:
    """Upright planes through the opening, and to which ends of each a butt may be.

    Along the rod where it lies, along and across the opening; and slanting out over the nearer side.
    """
    assert room.place.opening is not None
    hole = room.place.deck.in_plan(room.place.opening.polygon)
    middle = np.array(hole.centroid.coords[0])
    around = shapely.get_coordinates(shapely.minimum_rotated_rectangle(hole))[:4]
    long = max((around[1] - around[0], around[2] - around[1]), key=lambda side: float(np.hypot(*side)))
    way = lying.pose.way[:2]
    lines = [((lying.pose.butt + lying.pose.tip)[:2] / 2.0, way), (middle, way), (middle, long)]
    lines += [(middle, around[2] - around[0]), (middle, around[3] - around[1])]
    told: list[tuple[float, float]] = []
    for point, along in lines:
        frame = _upright(hole, point, along, rod.butt, room.high)
        if frame is None:
            continue
        key = (round(math.atan2(frame.x[1], frame.x[0]), 2), round(float(frame.origin @ frame.z), 0))
        if key not in told:
            told.append(key)
            yield frame, (1.0, -1.0)
    outboard = 1.0 if middle[1] >= 0.0 else -1.0
    for slant in SLANTS:
        c, s = math.cos(slant), math.sin(slant)
        frame = _upright(hole, middle, np.array([c * long[0] - s * long[1], s * long[0] + c * long[1]]),
                         rod.butt, room.high)  # fmt: skip
        if frame is not None and abs(frame.x[1]) > 1e-3:
            yield frame, (math.copysign(1.0, frame.x[1] * outboard),)


def _upright(hole: Polygon, point: Array, along: Array, thick: float, height: float) -> Frame | None:
    """The plane along a line in plan, its origin over the middle of where the line crosses the opening."""
    size = float(np.hypot(*along))
    if size < 1e-6:
        return None  # an upright rod lies in every upright plane
    along = along / size
    if along[0] < 0.0 or (along[0] == 0.0 and along[1] < 0.0):
        along = -along
    line = shapely.LineString([point - 1e5 * along, point + 1e5 * along])
    cut = shapely.intersection(hole, line)
    if cut.is_empty or shapely.length(cut) < 2.0 * thick:
        return None
    middle = np.array(cut.centroid.coords[0])
    heading = np.array([along[0], along[1], 0.0])
    return Frame(np.append(middle, height), heading, UP.copy(), cross(heading, UP))


class _Upright:
    """An upright plane with what is in the way in it, grown by the rod's radius."""

    def __init__(self, room: Room, soup: Soup, frame: Frame, radius: float, reach: float) -> None:
        """What lies further than `reach` from the opening is left out: no longer rod lies in the locker."""
        self.room, self.soup, self.frame, self.radius = room, soup, frame, radius
        self.least = SHORTEST * reach
        around = np.stack([frame.origin - reach, frame.origin + reach])
        self.blocked = Blocked.grown(slab(soup.near(around, 0.0).triangles, frame, radius), radius)

    def threaded(self, toward: float, rounds: int) -> Threaded | None:
        """The longest that goes in with its butt towards +x of the plane's frame, or -x."""
        low, high = (LEVEL, math.pi / 2) if toward > 0.0 else (math.pi / 2, math.pi - LEVEL)
        angles = np.linspace(low, high, int((high - low) / STEP) + 2)
        distances = np.arange(-REACH, REACH, APART)
        way = (np.zeros(2), angles, distances, self._outside, self._inside)
        return thread(self.blocked, *way, rounds, self.least)

    @staticmethod
    def _outside(ends: Array) -> Flags:
        """Stretches that go on for ever upwards."""
        found: Flags = np.hypot(ends[:, 1, 0], ends[:, 1, 1]) > FAR_OFF
        return found

    def _inside(self, ends: Array) -> Flags:
        """Stretches that lie within the locker's area in plan and below its closed lid."""
        points = self.frame.to_boat(ends)
        x, y, height = (points[..., k] for k in range(3))
        below = (height < self.room.high - self.radius) & (height > self.room.low)
        inside: Flags = np.all(below & shapely.contains_xy(self.room.area, x, y), axis=1)
        return inside


FAR_OFF = 10_000.0
"""Further off than anything in a boat, mm."""


@dataclass(frozen=True, eq=False)
class _Tried:
    plane: _Upright
    toward: float
    found: Threaded

    @property
    def side(self) -> str:
        """Where the butt is where it is tightest."""
        hand = self.plane.frame.to_boat(self.found.path[self.found.blocked])[1]
        return INSIDE if _in_boat(self.plane.room, hand) else OVER


def _in_boat(room: Room, point: Array) -> bool:
    """Whether a point is over the boat in plan, within the gunwales."""
    hull = room.hull
    low, high = hull.span
    if not low <= point[0] <= high:
        return False
    side: Side = "port" if point[1] >= 0.0 else "starboard"
    gunwale = hull.section(point[0], side)[-1]
    return bool(abs(point[1]) <= abs(gunwale[0]))


def _passing(tried: _Tried, room: Room, rod: Rod, lying: Lying, rounds: int) -> Passing | None:
    found = tried.plane.threaded(tried.toward, rounds)
    if found is None:
        return None
    radius = rod.radii[0]
    path = tried.plane.frame.to_boat(found.path)[:, ::-1]  # the lower end goes first: it is the tip
    turn = _turned(room, radius, path[-1], lying)
    length = found.length + 2.0 * radius
    ends = path[found.blocked]
    around = tried.plane.soup.near(np.stack([ends.min(axis=0), ends.max(axis=0)]), 2.0 * radius)
    near = contacts(around, ends[0], ends[1], (radius, radius), SQUARE * radius + TOUCHES)
    # what faces an end of the rod stops it sooner than what it lies along
    order = np.argsort(-np.abs(near.normal @ (ends[1] - ends[0])), kind="stable")
    names = dict.fromkeys(tried.plane.soup.names[k] for k in near.owner[order])
    if float(ends[:, 2].max()) > room.high - radius - TOUCHES and room.place.opening is not None:
        names = dict.fromkeys((*names, f"{room.place.opening.name}/lid"))
    where = near.point[order[0]] if len(order) else ends.mean(axis=0)
    return Passing(tried.side, length, path, found.blocked, tuple(names), where, turn)


def _turned(room: Room, radius: float, inside: Array, lying: Lying) -> float | None:
    """The longest that turns level from where it came in to the heading it lies at; None without a turn."""
    lies = np.stack([lying.pose.butt, lying.pose.tip])
    headings = [math.atan2(*(ends[1] - ends[0])[1::-1]) for ends in (inside, lies)]
    turn = (headings[1] - headings[0] + math.pi / 2) % math.pi - math.pi / 2
    middles = [ends.mean(axis=0) for ends in (inside, lies)]
    across = np.array([-math.sin(headings[1]), math.cos(headings[1])])
    if abs(turn) < 0.01 and abs(float((middles[1] - middles[0])[:2] @ across)) < radius:
        return None
    frame = Frame.level(float(middles[1][2]))
    blocked = Blocked.grown(slab(room.soup.triangles, frame, radius), radius)
    low, high = sorted((headings[0], headings[0] + turn))
    angles = np.linspace(low - BESIDE, high + BESIDE, max(5, int((high - low + 2 * BESIDE) / STEP) + 2))
    distances = np.arange(-REACH, REACH, APART)
    centre = middles[1][:2]

    def along(heading: float, middle: Array) -> _Along:
        return _Along(heading, middle[:2], 2.0 * APART)

    found = thread(blocked, centre, angles, distances, along(headings[0], middles[0]),
                   along(headings[0] + turn, middles[1]), 2, SHORTEST * lying.length)  # fmt: skip
    return 0.0 if found is None else found.length + 2.0 * radius


@dataclass(frozen=True, eq=False)
class _Along:
    """Chooses stretches that run by a point at nearly a heading."""

    heading: float
    point: Array
    near: float

    def __call__(self, ends: Array) -> Flags:
        """Which of the stretches with ends `(n, 2, 2)`."""
        way = ends[:, 1] - ends[:, 0]
        length = np.hypot(way[:, 0], way[:, 1])
        turn = np.arctan2(way[:, 1], way[:, 0]) - self.heading
        turn = np.abs((turn + math.pi / 2) % math.pi - math.pi / 2)
        off = self.point - ends[:, 0]
        share = (off * way).sum(axis=1) / length**2
        away = np.abs(way[:, 0] * off[:, 1] - way[:, 1] * off[:, 0]) / length
        found: Flags = (turn < BESIDE / 2.0) & (share > 0.0) & (share < 1.0) & (away < self.near)
        return found
