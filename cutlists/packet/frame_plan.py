"""The frame of one deck from above: members with their marks, and where each lies, by running dimensions."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from shapely import Polygon

from cutlists.drawing.drawing import CENTRE, FAINT, HIDDEN, WHITE, Drawing, letters_wide
from cutlists.drawing.onto import Onto
from cutlists.drawing.running import Place, merged, run_below, run_beside
from cutlists.drawing.strokes import draw_seen
from cutlists.scene import Scene
from cutlists.view_camera import View
from model.bends.hat import Hat
from model.geometry import Array, Frame
from model.member import Member
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.boat import Boat

BELOW, BESIDE, ABOVE = 30.0, 26.0, 8.0
"""Room for the figures below and to the right, and for lettering above, mm of paper."""
MARK = 2.3
"""Height of a piece mark's letters, mm of paper."""
ALONG = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)
"""Where along a member its mark may stand, as shares of its length."""
BESIDE_POST = ((0.0, 3.4), (0.0, -3.4), (4.0, 0.0), (-4.0, 0.0), (4.0, 3.4), (-4.0, 3.4))
"""Where beside a post its mark may stand, mm of paper."""
SQUARE = 2e-3
"""Members whose axis strays less than this from the drawing's axes are dimensioned by their face."""


@dataclass(frozen=True, eq=False)
class FramePlan:
    """What is drawn of one deck: members in its plane, posts, hats, and its frame of reference."""

    name: str
    frame: Frame
    members: tuple[Member, ...]
    posts: tuple[Member, ...]
    hats: tuple[Hat, ...] = ()

    @classmethod
    def of(cls, boat: Boat, name: str) -> FramePlan:
        """The members of the deck called `name`, such as `deck.front`."""
        own = [m for m in boat.members if m.name.startswith(f"{name}/") and not m.is_cut_away]
        frame = boat.layout.decks[name].frame
        upright = [abs(float(m.axis @ frame.z)) > 0.7 for m in own]
        return cls(
            name,
            frame,
            tuple(m for m, up in zip(own, upright, strict=True) if not up),
            tuple(m for m, up in zip(own, upright, strict=True) if up),
            tuple(hat for hat in boat.hats if hat.of == name),
        )

    def flat(self, points: Array) -> Array:
        """Boat points `(..., 3)` in the deck's plane, `(..., 2)`: forward, to port."""
        return self.frame.to_frame(points)[..., :2]


def frame_plan_svg(boat: Boat, scene: Scene, name: str, size: tuple[float, float]) -> str:
    """The drawing as SVG, `size` mm of paper; lengths in the boat's units from transom and centreline.

    Along the deck a figure tells of the aft face of a beam, athwart of the face nearer the centreline; of
    members that lie askew, of the corners of their ends.
    """
    plan = FramePlan.of(boat, name)
    drawing = Drawing(*size, title=f"{name}: frame from above")
    corners = np.concatenate([plan.flat(m.corners.reshape(-1, 3)) for m in plan.members])
    low, high = corners.min(axis=0), corners.max(axis=0)
    room = (8.0, ABOVE, size[0] - 8.0 - BESIDE, size[1] - ABOVE - BELOW)
    onto = Onto.fit(low, high, room)
    _hull(drawing, boat, plan, onto)
    _figures(drawing, boat, plan, onto, room)
    _openings(drawing, boat, plan, onto)
    _members(drawing, scene, plan, onto)
    _posts(drawing, plan, onto)
    for hat in plan.hats:
        (a, b), (c, d) = plan.flat(hat.corners)
        drawing.area([onto.points(np.array([a, b, d, c]))], HIDDEN, name=hat.name)
    _marks(drawing, boat, plan, onto)
    drawing.text(8.0, 5.0, f"from above, {onto.words}; bow to the right", 2.6)
    return drawing.svg()


def _hull(drawing: Drawing, boat: Boat, plan: FramePlan, onto: Onto) -> None:
    outline = boat.hull.plan_outline(plan.frame)
    if len(outline):
        around = plan.flat(outline)
        shown = (around[:, 0] > onto.low[0] - 8 * onto.scale) & (
            around[:, 0] < onto.low[0] + (drawing.width - onto.foot[0] - 4.0) * onto.scale
        )
        runs = np.split(np.arange(len(around)), np.flatnonzero(np.diff(shown.astype(int))) + 1)
        drawing.lines([onto.points(around[r]) for r in runs if len(r) > 1 and shown[r[0]]], FAINT, "hull")
    y = onto.y(0.0)
    if ABOVE < y < drawing.height - BELOW + 4.0:
        drawing.lines([[(3.0, y), (drawing.width - BESIDE + 4.0, y)]], CENTRE, "centreline")


def _openings(drawing: Drawing, boat: Boat, plan: FramePlan, onto: Onto) -> None:
    for opening in boat.layout.decks[plan.name].openings:
        drawing.loops([onto.loop(opening.outline)], HIDDEN, name=opening.name)


def _members(drawing: Drawing, scene: Scene, plan: FramePlan, onto: Onto) -> None:
    """The edges that are seen, hidden lines left out."""
    names = {member.name for member in plan.members}
    pieces = tuple(piece for piece in scene.pieces if piece.name in names)
    view = View("frame", "", plan.frame.x, plan.frame.y)
    draw_seen(drawing, Scene("", pieces), view, onto, plan.frame.origin @ view.axes[:2].T)


def _posts(drawing: Drawing, plan: FramePlan, onto: Onto) -> None:
    for post in plan.posts:
        top = post.corners[1] if post.b[2] > post.a[2] else post.corners[0]
        drawing.area([onto.points(plan.flat(top))], HIDDEN, name=post.name)


def _marks(drawing: Drawing, boat: Boat, plan: FramePlan, onto: Onto) -> None:
    """The mark of each member on it, along it, and of a post beside it, where none lies on another."""
    taken: list[Polygon] = []
    for member in plan.members:
        a, b = onto.points(plan.flat(np.stack([member.a, member.b])))
        places = [a + share * (b - a) for share in ALONG]
        _mark(drawing, boat.marks[member.name], places, b - a, MARK, taken)
    for hat in plan.hats:
        a, b = onto.points(plan.flat(np.stack([hat.a, hat.b])))
        _mark(drawing, boat.marks[hat.name], [a + share * (b - a) for share in ALONG], b - a, MARK, taken)
    for post in plan.posts:
        middle = onto.points(plan.flat(post.b))
        places = [middle + np.array(step) for step in BESIDE_POST]
        _mark(drawing, boat.marks[post.name], places, np.array([1.0, 0.0]), MARK * 0.8, taken)


def _mark(
    drawing: Drawing, words: str, places: list[Array], way: Array, size: float, taken: list[Polygon]
) -> None:
    """Letters a mark on the first of some places that is free, or on the first where none is."""
    turn = float(np.degrees(np.arctan2(way[1], way[0])))
    turn = turn - 180.0 if turn > 90.0 else turn + 180.0 if turn <= -90.0 else turn
    half_wide, half_high = letters_wide(words, size) / 2 + 0.3, size * 0.52
    c, s = np.cos(np.radians(turn)), np.sin(np.radians(turn))
    box = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * (half_wide, half_high)
    around = box @ np.array([[c, s], [-s, c]])
    free = (at for at in places if not any(Polygon(around + at).intersects(other) for other in taken))
    at = next(free, places[0])
    taken.append(Polygon(around + at))
    drawing.area([around + at], None, WHITE)
    base = at + np.array([-s, c]) * size * 0.36
    drawing.text(float(base[0]), float(base[1]), words, size, "middle", turn=turn)


def _figures(
    drawing: Drawing,
    boat: Boat,
    plan: FramePlan,
    onto: Onto,
    room: tuple[float, float, float, float],
) -> None:
    along, athwart = places_of(boat, plan)
    foot, side = room[1] + room[3] + 3.0, room[0] + room[2] + 3.0
    below = merged([Place(p.value, p.words, onto.y(p.start)) for p in along])
    beside = merged([Place(p.value, p.words, onto.x(p.start)) for p in athwart])
    start = max(onto.x(-float(plan.frame.origin[0]) / float(plan.frame.x[0])), 4.0)
    run_below(drawing, below, np.array([onto.x(p.value) for p in below]), foot, start)
    centre = float(np.clip(onto.y(0.0), ABOVE, foot))
    run_beside(drawing, beside, np.array([onto.y(p.value) for p in beside]), side, centre)
    drawing.text(4.0, foot - 1.2, "from the transom, along the deck", 2.2)
    drawing.text(drawing.width - 1.0, 5.0, "off the centreline", 2.2, "end")


def places_of(boat: Boat, plan: FramePlan) -> tuple[list[Place], list[Place]]:
    """What is measured along and athwart; `start` is where in the other direction it lies, mm of the boat."""
    along: list[Place] = []
    athwart: list[Place] = []

    def word(mm: float) -> str:
        return format_length(mm, boat.units)

    middle = np.mean([plan.flat(member.centre) for member in plan.members], axis=0)
    bars: list[Member | Hat] = [*plan.members, *plan.hats]
    for bar in bars:
        around = plan.flat(bar.corners.reshape(-1, 3))
        low, high = around.min(axis=0), around.max(axis=0)
        way = np.abs(plan.flat(bar.axis + plan.frame.origin))
        if way[0] < SQUARE:
            along.append(Place(float(low[0]), word(float(low[0])), float(low[1])))
        elif way[1] < SQUARE:
            v = float(low[1] if low[1] + high[1] > 0 else high[1])
            athwart.append(Place(v, word(abs(v)), float(high[0])))
        else:
            for u, v in _outer_ends(plan, bar, middle):
                along.append(Place(float(u), word(float(u)), float(v)))
                athwart.append(Place(float(v), word(abs(float(v))), float(u)))
    return along, athwart


def _outer_ends(plan: FramePlan, bar: Member | Hat, middle: Array) -> list[tuple[float, float]]:
    """At each end of a bar that lies askew, the corner further from the middle of the deck."""
    found = []
    for corners in bar.corners:
        around = plan.flat(corners)
        u, v = around[np.argmax(np.hypot(*(around - middle).T))].tolist()
        found.append((u, v))
    return found
