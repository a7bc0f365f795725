"""What of a boat the tasks are counted from: members, sheet, seams and fittings by what they belong to."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from cutlists.welds import WELDED, WeldRates, WeldSum, by_owner, welds_of
from cutlists.work.covers import framed, on_top_of, over, owner_of
from model.panel import Panel
from model.strip import Strip

if TYPE_CHECKING:
    from model.boat import Boat
    from model.member import Member
    from model.panelling.fixtures import Fixture

LOOSE = "members"
"""Stands for tubes in space, which belong to no deck, in the names of tasks."""


@dataclass(frozen=True, eq=False)
class Facts:
    """A boat sorted by what its pieces belong to: `deck.front`, `seat.driver`, `console.helm`, `locker.ice`.

    Attributes:
        boat: the boat.
        frames: what has a frame, in the order in which it is built: decks and seat boxes, consoles, the rest.
        members: of each frame.
        joints: welded ends of each frame.
        welding: metres of seam of each frame, and minutes at them.
        sheet: pieces of sheet of each owner.
        covered: fittings below a deck, by the lowest deck over them.
        mounted: fittings on a deck or its lids, by that deck; those in the open under an empty name.
        removable: names of fittings that leave by an opening.
    """

    boat: Boat
    frames: tuple[str, ...]
    members: Mapping[str, Sequence[Member]]
    joints: Mapping[str, int]
    welding: Mapping[str, tuple[float, float]]
    sheet: Mapping[str, Sequence[Panel | Strip]]
    covered: Mapping[str, Sequence[Fixture]]
    mounted: Mapping[str, Sequence[Fixture]]
    removable: frozenset[str]

    @classmethod
    def of(cls, boat: Boat, rates: WeldRates) -> Facts:
        """The boat sorted."""
        members: dict[str, list[Member]] = defaultdict(list)
        for member in boat.members:
            if not member.is_cut_away:
                members[_frame_of(boat, member.name)].append(member)
        joints: dict[str, int] = defaultdict(int)
        for joint in boat.joints:
            if joint.kind in WELDED:
                # a mitred corner is told from both of its ends
                joints[_frame_of(boat, joint.member)] += 1 if joint.kind == "corner" else 2
        welds = by_owner(welds_of(boat, rates))
        welding: dict[str, tuple[float, float]] = {}
        for owner, own in welds.items():
            told, name = WeldSum.of(own, rates), _frame_of(boat, owner)
            metres, minutes = welding.get(name, (0.0, 0.0))
            welding[name] = metres + told.length / 1000.0, minutes + told.work
        sheet: dict[str, list[Panel | Strip]] = defaultdict(list)
        pieces: tuple[Panel | Strip, ...] = (*boat.panels, *boat.strips)
        for piece in pieces:
            sheet[owner_of(piece.name)].append(piece)
        covered, mounted = _fittings(boat)
        first = [*framed(boat), *(console.name for console in boat.layout.consoles)]
        frames = [name for name in first if name in members]
        frames += [name for name in members if name not in frames]
        halves = {name: count // 2 for name, count in joints.items()}
        removable = frozenset(plan.name for plan in boat.layout.fixtures if plan.removable)
        return cls(boat, tuple(frames), members, halves, welding, sheet, covered, mounted, removable)

    @property
    def fittings(self) -> list[tuple[str, Sequence[Fixture]]]:
        """All fittings by deck: on it or its lids, then below it."""
        return [*self.mounted.items(), *self.covered.items()]

    def is_buried(self, fixture: Fixture) -> bool:
        """Whether a fitting lies below a deck and leaves by no opening."""
        below = any(fixture is one for own in self.covered.values() for one in own)
        return below and fixture.name not in self.removable

    def frame_of(self, piece: str) -> str:
        """What frame a member belongs to."""
        return _frame_of(self.boat, piece)


def _frame_of(boat: Boat, piece: str) -> str:
    owner = owner_of(piece)
    known = owner in boat.layout.decks or any(owner == console.name for console in boat.layout.consoles)
    return owner if known else LOOSE


def _fittings(boat: Boat) -> tuple[dict[str, list[Fixture]], dict[str, list[Fixture]]]:
    """Fittings below decks and on decks; lids are told elsewhere."""
    covered: dict[str, list[Fixture]] = defaultdict(list)
    mounted: dict[str, list[Fixture]] = defaultdict(list)
    for fixture in boat.fixtures:
        if fixture.kind == "lid":
            continue
        foot = fixture.frame.origin
        below = on_top_of(boat, foot)
        above = over(boat, fixture.centre[None, :]) if below is None else []
        if above:
            covered[above[0]].append(fixture)
        else:
            mounted[below or ""].append(fixture)
    return covered, mounted


def outline_metres(pieces: Iterable[Panel | Strip]) -> float:
    """Length of what is cut from sheet, holes too, m."""
    total = 0.0
    for piece in pieces:
        if isinstance(piece, Strip):
            edges = (piece.edge_a, piece.edge_b)
            total += sum(float(np.linalg.norm(np.diff(edge, axis=0), axis=1).sum()) for edge in edges)
            total += float(np.linalg.norm((piece.edge_b - piece.edge_a)[[0, -1]], axis=1).sum())
        else:
            total += piece.cut_outline.perimeter + sum(hole.perimeter for hole in piece.cut_holes)
    return total / 1000.0


def seam_metres(pieces: Sequence[Panel | Strip], top: float) -> float:
    """Length of the seams of a box of sheet open at its top, m.

    Every edge of its pieces but those round the top (`top`, mm) is welded to another's.
    """
    return max(0.0, (outline_metres(pieces) - top / 1000.0) / 2.0)


def square_metres(pieces: Iterable[Panel | Strip]) -> float:
    """Area of one face of pieces of sheet, m2."""
    return sum(float(piece.area) for piece in pieces) * 1e-6


def names_of(pieces: Iterable[Member | Panel | Strip | Fixture]) -> list[str]:
    """Names of pieces."""
    return [piece.name for piece in pieces]
