"""Every lid of a boat through its whole opening, against everything else."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from model.clearance.bodies import Body, boat_bodies
from model.clearance.kinds import ROOM
from model.clearance.lids import HungLid, hung_lids
from model.clearance.motion import Motion, Turn
from model.clearance.solid import Solid
from model.clearance.sweep import Touch, first_touch
from model.findings import Finding, Shown
from model.geometry import Array
from model.layout.lid_way import NONE, SIDES
from model.mesh import Mesh
from model.prism_mesh import meshes as prism_meshes
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.boat import Boat

CHORD = 0.1
"""Arcs of what moves are followed within this, mm."""

PLAY = 0.3
"""A closed lid is taken to ride this far above what it lies on, mm: what a gasket or a hinge's play gives."""

SPARE = math.radians(0.05)
"""A touch within this of the end of a swing is none: the lid comes to rest there."""


@dataclass(frozen=True, eq=False)
class LidSwing:
    """How far a lid opens.

    Attributes:
        lid: the lid.
        opens: how far it is to open: rad, or mm where it slides or lifts out.
        clear_to: how far it opens before it touches anything.
        touched: the name of the piece it touches first; None where it opens wholly.
        where: where it touches, `(3,) float`.
        finding: the same in words; None where it opens wholly.
    """

    lid: HungLid
    opens: float
    clear_to: float
    touched: str | None
    where: Array | None
    finding: Finding | None


def lid_swings(boat: Boat, bodies: Sequence[Body] | None = None, cures: bool = True) -> list[LidSwing]:
    """How far each lid of a boat opens.

    Args:
        boat: the boat.
        bodies: all its pieces, where they are at hand; with whatever else may stand in the way.
        cures: whether other ways to open a lid that is stopped are tried, each as long as the first.
    """
    everything = boat_bodies(boat) if bodies is None else bodies
    return [_swing(lid, everything, boat, cures) for lid in hung_lids(boat)]


def _swing(lid: HungLid, bodies: Sequence[Body], boat: Boat, cures: bool) -> LidSwing:
    motion = lid.motion()
    assert motion is not None, "a hinge on an edge that is not there is refused where the file is read"
    touch, names = opened(lid, motion, bodies)
    if touch is None or touch.at > motion.limit - SPARE:
        return LidSwing(lid, motion.limit, motion.limit, None, None, None)
    other = names[touch.solid]
    what = _told(lid, motion, touch, boat.units)
    cure = _cure(lid, bodies, other, boat.units) if cures else f"move {other}"
    place = boat.place(lid.name)
    short, measure = motion.limit - touch.at, "rad" if isinstance(motion, Turn) else "mm"
    shown = (Shown(f"{lid.name} where it touches", _at(lid, motion, touch.at)),)
    finding = Finding("lid", (lid.name, other), what, cure, touch.where, place, short, measure, shown)
    return LidSwing(lid, motion.limit, touch.at, other, touch.where, finding)


def opened(lid: HungLid, motion: Motion, bodies: Sequence[Body]) -> tuple[Touch | None, list[str]]:
    """The first touch of a lid and what rides on it, and the names of the solids that stand still.

    The room that fittings need is in nobody's way.
    """
    own = {lid.name, *(rider.name for rider in lid.riders)}
    raised = lid.deck.frame.z * PLAY
    prisms = [prism for fixture in (lid.fixture, *lid.riders) for prism in fixture.prisms]
    moving = [Solid.of_mesh(mesh.transformed(np.eye(3), raised)) for mesh in prism_meshes(prisms, CHORD)]
    still = [
        (body.name, solid)
        for body in bodies
        if body.name not in own and body.kind != ROOM
        for solid in body.solids
    ]
    if isinstance(motion, Turn):
        motion = replace(motion, point=motion.point + raised)
    return first_touch(moving, [solid for _, solid in still], motion), [name for name, _ in still]


def _at(lid: HungLid, motion: Motion, at: float) -> Mesh:
    """The lid and what rides on it, moved to a point of its motion."""
    matrix, offset = motion.pose(at)
    prisms = [prism for fixture in (lid.fixture, *lid.riders) for prism in fixture.prisms]
    return Mesh.merge([mesh.transformed(matrix, offset) for mesh in prism_meshes(prisms, CHORD)])


def _told(lid: HungLid, motion: Motion, touch: Touch, units: str) -> str:
    load = f" with {', '.join(r.name for r in lid.riders)} on it" if lid.riders else ""
    if isinstance(motion, Turn):
        turned, turns = math.degrees(touch.at), math.degrees(motion.limit)
        return f"opens{load} to {turned:.1f} of {turns:.0f} degrees, where it touches the second"
    reached, asked = (format_length(at, units) for at in (touch.at, motion.limit))
    way = "lifts out" if lid.lifts_out else f"slides {lid.slide}"
    return f"{way}{load} by {reached} of {asked}, where it touches the second"


def _cure(lid: HungLid, bodies: Sequence[Body], other: str, units: str) -> str:
    """What would let a lid open: its load set off the hinge, another side to hinge on, or room made."""
    if lid.lifts_out:
        return f"move {other}, or make the lid smaller"
    if lid.slide != NONE:
        return _slide_cure(lid, bodies, other)
    behind = {rider.name: past for rider in lid.riders if (past := lid.past_hinge(rider)) > 0.0}
    if behind:
        rider = max(behind, key=lambda name: behind[name])
        return (
            f"set {rider} {format_length(behind[rider], units)} further from the hinge, which it reaches past"
        )
    free = [side for side in _other_sides(lid) if _opens_wholly(lid.hinged_on(side), bodies)]
    if free:
        return f"hinge it {' or '.join(free)}, or move {other}"
    return f"move {other}, or let the lid open less"


def _slide_cure(lid: HungLid, bodies: Sequence[Body], other: str) -> str:
    """Another way to slide, a lid that lies over its deck, or one that lifts out."""
    if lid.plan.flange <= 0.0 and other.partition("/")[0] == lid.deck.name:
        return "give the lid a `flange`, so that it lies over its deck, or hinge it, or let it lift out"
    free = [side for side in SIDES if side != lid.slide and _opens_wholly(lid.slid_to(side), bodies)]
    ways = [f"slide it {' or '.join(free)}"] if free else []
    if _opens_wholly(lid.lifted_out(), bodies):
        ways.append("let it lift out")
    return ", ".join([*ways, f"or move {other}"]) if ways else f"move {other}, or let the lid slide less"


def _other_sides(lid: HungLid) -> Iterator[str]:
    return (side for side in SIDES if side != lid.hinge)


def _opens_wholly(lid: HungLid, bodies: Sequence[Body]) -> bool:
    motion = lid.motion()
    return motion is not None and opened(lid, motion, bodies)[0] is None
