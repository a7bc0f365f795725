"""Frame drawings deck by deck: the plan with its marks, and where every member lies."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

import numpy as np

from cutlists.packet.frame_plan import FramePlan, frame_plan_svg
from cutlists.packet.leaf import Column, Leaf, split_table, table_of
from cutlists.packet.page import Page
from cutlists.packet.paper import Paper
from cutlists.saw_list import SawList, SawRow, mark_order
from cutlists.scene import Scene
from cutlists.work.covers import in_order
from model.geometry import Array
from parts.lengths import format_length

if TYPE_CHECKING:
    from reportlab.platypus import Flowable

    from model.boat import Boat
    from model.member import Member

SECTION = "Frame"
LIST = 128.0
"""Room for the list beside the plan, mm of paper."""
COLUMNS = (
    Column("mark", 13.0),
    Column("no", 8.0, "right"),
    Column("section", 30.0),
    Column("long", 19.0, "right"),
    Column("name", 56.0),
)


def frame_pages(
    boat: Boat, scene: Scene, saw: SawList, paper: Paper, changed: frozenset[str] = frozenset()
) -> Iterator[Page]:
    """One drawing for each deck and seat box that has a frame, the lowest first, then its posts by place."""
    rows = {name: row for row in saw.rows for name in row.names}
    left, top, wide, high = paper.room
    for name in in_order(boat):
        plan = FramePlan.of(boat, name)
        own = [m for m in (*plan.members, *plan.posts) if m.name in rows]
        if not plan.members:
            continue
        notes = [_height(boat, name), squareness(boat, plan), joints_told(boat, plan)]
        notes += [*bearing(boat, plan), *stiffened(boat, plan)]
        parts = split_table(table_of(COLUMNS, list(_list(own, rows, boat, name))), high - 32.0)

        def draw(
            leaf: Leaf,
            name: str = name,
            notes: list[str] = notes,
            parts: list[Flowable] = parts,
        ) -> None:
            room = (left, top, wide - LIST - 4.0, high)
            leaf.drawing(frame_plan_svg(boat, scene, name, room[2:]), room, true_size=True)
            y = top + 1.0
            for note in notes:
                y = leaf.paragraph(left + wide - LIST, y, LIST, note, 8.0) + 1.2
            leaf.table(parts[0], left + wide - LIST, y + 1.0)

        marks = {boat.marks[m.name] for m in own}
        yield Page(SECTION, f"Frame of {name}", paper, draw, bool(marks & changed))
        for part in parts[1:]:

            def draw_rest(leaf: Leaf, part: Flowable = part) -> None:
                leaf.table(part, left, top)

            yield Page(SECTION, f"Frame of {name}: more members", paper, draw_rest, bool(marks & changed))


def _list(
    members: list[Member], rows: Mapping[str, SawRow], boat: Boat, deck: str
) -> Iterator[tuple[str, ...]]:
    """A row for each mark of a deck."""
    groups: dict[str, list[Member]] = {}
    for member in members:
        groups.setdefault(boat.marks[member.name], []).append(member)
    for mark in sorted(groups, key=mark_order):
        own = groups[mark]
        row = rows[own[0].name]
        names = ", ".join(m.name.removeprefix(f"{deck}/") for m in own)
        yield mark, str(len(own)), row.section.name, format_length(row.length, boat.units), names


def _height(boat: Boat, name: str) -> str:
    deck = boat.layout.decks[name]
    low, _, high, _ = deck.plan_area().bounds
    under = deck.sheet.thickness
    ends = [deck.height_at(x) - under / float(deck.frame.z[2]) for x in (low, high)]
    told = [format_length(z, boat.units) for z in ends]
    if abs(ends[0] - ends[1]) < 0.5:
        return f"Top of frame {told[0]} above the baseline, level."
    return f"Top of frame {told[0]} above the baseline at its after end, {told[1]} at its forward end."


def squareness(boat: Boat, plan: FramePlan) -> str:
    """The two diagonals of the frame's outermost corners: the check before anything is welded."""
    corners = diagonals_of(plan)
    one, two = (float(np.hypot(*(q - p))) for p, q in corners)
    told = [format_length(mm, boat.units) for mm in (one, two)]
    even = " They are equal when the frame is square." if abs(one - two) < 0.5 else ""
    return (
        f"Square when tacked: {told[0]} from the after port corner to the forward starboard one, {told[1]} "
        f"from after starboard to forward port, outside to outside.{even}"
    )


def diagonals_of(plan: FramePlan) -> tuple[tuple[Array, Array], tuple[Array, Array]]:
    """Ends `(2,)` of the two diagonals, in the deck's plane."""
    around = np.concatenate([plan.flat(m.corners.reshape(-1, 3)) for m in plan.members])
    size = np.maximum(np.ptp(around, axis=0), 1e-9)
    share = (around - around.min(axis=0)) / size
    furthest = [around[np.argmax(share @ np.array(way))] for way in ((-1, 1), (1, -1), (-1, -1), (1, 1))]
    return (furthest[0], furthest[1]), (furthest[2], furthest[3])


JOINTS = (
    ("corner", "mitred corner", "mitred corners"),
    ("tee", "end butted to a face", "ends butted to a face"),
    ("post", "post head", "post heads"),
    ("hull", "end that stands off the skin", "ends that stand off the skin"),
    ("free", "free end", "free ends"),
)
"""Kinds of joints in plain words, one and more."""


def joints_told(boat: Boat, plan: FramePlan) -> str:
    """How the members of a deck meet, and how they are welded, in plain words."""
    own = {m.name for m in (*plan.members, *plan.posts)}
    ends = [joint.kind for joint in boat.joints if joint.member in own]
    counts = {kind: ends.count(kind) // (2 if kind == "corner" else 1) for kind, _, _ in JOINTS}
    told = ", ".join(f"{n} {one if n == 1 else more}" for kind, one, more in JOINTS if (n := counts[kind]))
    return (
        f"Joints: {told}. Weld all round; where a face lies flush with its neighbour, grind that weld flat."
    )


def stiffened(boat: Boat, plan: FramePlan) -> list[str]:
    """The hats below the sheet, as words; nothing where there are none."""
    if not plan.hats:
        return []
    marks = [boat.marks[hat.name] for hat in plan.hats]
    told = ", ".join(f"{marks.count(mark)} {mark}" for mark in dict.fromkeys(marks))
    loose = sum(end is None for hat in plan.hats for end in hat.meets)
    free = f"; {loose} of their ends meet no member" if loose else ", butted to the members at both ends"
    return [f"Hats below the sheet, drawn dashed: {told}{free}."]


def bearing(boat: Boat, plan: FramePlan) -> list[str]:
    """Where the posts stand, as words; nothing where there are none."""
    feet: dict[str, int] = {}
    own = {post.name for post in plan.posts}
    for joint in boat.joints:
        if joint.member in own and joint.end == "A":
            feet[joint.other or "nothing"] = feet.get(joint.other or "nothing", 0) + 1
    if not feet:
        return []
    told = ", ".join(f"{count} on {other}" for other, count in sorted(feet.items()))
    return [f"Posts, drawn dashed: {told}."]
