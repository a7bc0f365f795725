"""The skeleton as lines and points: members parted where others meet them, with stubs where axes pass."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
import numpy.typing as npt

from model.geometry import Array
from model.member import Member
from model.skeleton.records import Joint
from model.strength.bent_bars import BentBars
from model.strength.settings import StrengthSettings

if TYPE_CHECKING:
    from model.boat import Boat

Ids: TypeAlias = npt.NDArray[np.int64]

STEP = 90.0
"""Bars are parted at least so finely, mm, that loads between two points may be shared by the lever rule."""

SAME = 0.5
"""Points nearer than this, mm, are one."""

APART = 25.0
"""A joint whose end stands further off than this, mm, joins nothing."""

BRACKET = 40.0
"""Width of the bracket that holds a ledger to the hull's side, mm (common practice)."""

GROUND = ("hull", "rib", "stringer")
"""Joints in which a member stands on the hull."""


@dataclass(frozen=True)
class Foot:
    """A point of a member that stands on the sheet of a deck; `member` and `node` by their numbers."""

    member: int
    node: int
    deck: str


@dataclass(frozen=True, eq=False)
class Line:
    """One member in the network.

    Attributes:
        at: distances of its points from the member's own a along the axis, mm, rising, `(n,)`.
        nodes: the points' numbers, `(n,)`.
        soft: whether the metal there lies within the softened zone of a weld, `(n,)`.
        held: where it is held up: its ends unless free, posts, brackets, `(n,)`.
        free: whether end A and end B hang free.
    """

    at: Array
    nodes: Ids
    soft: npt.NDArray[np.bool_]
    held: npt.NDArray[np.bool_]
    free: tuple[bool, bool]


@dataclass(frozen=True, eq=False)
class Network:
    """The whole skeleton.

    Attributes:
        members: those that are made.
        lines: one for each member.
        points: `(n, 3)` of the nodes, mm.
        stubs: pairs of nodes joined by the metal between two axes, `(k, 2)`.
        supports: nodes that the hull holds in place; they may turn.
        feet: what stands on a deck's sheet.
    """

    members: tuple[Member, ...]
    lines: tuple[Line, ...]
    points: Array
    stubs: Ids
    supports: tuple[int, ...]
    feet: tuple[Foot, ...]


def network(
    boat: Boat,
    settings: StrengthSettings,
    without: frozenset[str] = frozenset(),
    bent: BentBars | None = None,
) -> Network:
    """The network of a boat's skeleton, with what of bent sheet carries as bars.

    Args:
        boat: with its members and joints.
        settings: for the brackets of ledgers and the softened zone.
        without: names of members that are left out, as if they had never been made.
        bent: hats and flanges that carry as bars beside the members.
    """
    bent = bent or BentBars()
    members = tuple(m for m in (*boat.members, *bent.members) if not m.is_cut_away and m.name not in without)
    return _Tracer(members, (*boat.joints, *bent.joints), settings).traced()


def is_ledger(name: str) -> bool:
    """Whether a member runs along the hull and is held to it by brackets."""
    return name.rpartition("/")[2].startswith("ledger.")


class _Tracer:
    """Gathers marks along members, then numbers them."""

    def __init__(
        self, members: tuple[Member, ...], joints: Iterable[Joint], settings: StrengthSettings
    ) -> None:
        self.members, self.settings = members, settings
        self.place = {m.name: k for k, m in enumerate(members)}
        self.joints = [j for j in joints if j.member in self.place]
        self.ends = [[0.0, m.span] for m in members]
        for joint in self.joints:
            k = self.place[joint.member]
            at = float((joint.point - members[k].a) @ members[k].axis)
            self.ends[k][0 if joint.end == "A" else 1] = at
        self.marks: list[list[float]] = [list(ends) for ends in self.ends]
        self.softened: list[list[tuple[float, float]]] = [[] for _ in members]
        self.holds: list[list[float]] = [[] for _ in members]
        self.free = [[False, False] for _ in members]
        self.met: list[tuple[int, float, int, float]] = []
        self.stands: list[tuple[int, float]] = []
        self.steps: list[tuple[int, float, str]] = []

    def traced(self) -> Network:
        for joint in self.joints:
            self._take(joint)
        for k, member in enumerate(self.members):
            if is_ledger(member.name):
                self._bracket(k)
        lines, points = self._numbered()
        return self._joined(lines, points)

    def _take(self, joint: Joint) -> None:
        k = self.place[joint.member]
        at = self.ends[k][0 if joint.end == "A" else 1]
        other = self.place.get(joint.other or "")
        if joint.kind in GROUND:
            self.stands.append((k, at))
        elif joint.kind == "sole" and joint.other is not None:
            self.steps.append((k, at, joint.other.rpartition("/")[0]))
        elif other is not None and joint.gap <= APART:
            low, high = self.ends[other]
            along = float((joint.point - self.members[other].a) @ self.members[other].axis)
            along = min(max(along, low), high)
            self.marks[other].append(along)
            self.met.append((k, at, other, along))
            section = self.members[k].section
            reach = max(section.width, section.height) / 2 + self.settings.zone
            self.softened[other].append((along, reach))
            if joint.kind == "post":
                self.holds[other].append(along)
        else:
            self.free[k][0 if joint.end == "A" else 1] = True
            return
        self.softened[k].append((at, self.settings.zone))
        self.holds[k].append(at)

    def _bracket(self, k: int) -> None:
        """Brackets at both ends of a ledger and evenly between them."""
        low, high = self.ends[k]
        count = max(math.ceil((high - low) / self.settings.bracket_span), 1)
        for at in np.linspace(low, high, count + 1).tolist():
            self.marks[k].append(at)
            self.stands.append((k, at))
            self.softened[k].append((at, BRACKET / 2 + self.settings.zone))
            self.holds[k].append(at)

    def _numbered(self) -> tuple[list[Line], Array]:
        lines, points, first = [], [], 0
        for k, member in enumerate(self.members):
            lies = abs(float(member.axis[2])) < 0.5
            at = _spread_out(self.marks[k], STEP if lies else math.inf)
            zones = self.softened[k]
            soft = np.array([any(abs(s - c) <= r for c, r in zones) for s in at])
            held = np.array([any(abs(s - h) <= SAME for h in self.holds[k]) for s in at])
            free = (self.free[k][0], self.free[k][1])
            lines.append(Line(at, np.arange(first, first + len(at)), soft, held, free))
            points.append(member.a + at[:, None] * member.axis)
            first += len(at)
        return lines, np.concatenate([np.zeros((0, 3)), *points])

    def _joined(self, lines: list[Line], points: Array) -> Network:
        """Nodes in one place made one, the others tied by stubs."""
        own = list(range(len(points)))

        def root(node: int) -> int:
            while own[node] != node:
                own[node] = own[own[node]]
                node = own[node]
            return node

        def at(k: int, along: float) -> int:
            return int(lines[k].nodes[np.argmin(np.abs(lines[k].at - along))])

        pairs = [(at(k, s), at(other, t)) for k, s, other, t in self.met]
        for i, j in pairs:
            if math.dist(points[i], points[j]) <= SAME:
                own[max(root(i), root(j))] = min(root(i), root(j))
        roots = np.array([root(i) for i in range(len(points))], dtype=np.int64)
        kept, number = np.unique(roots, return_inverse=True)
        tied = {tuple(sorted((int(number[i]), int(number[j])))) for i, j in pairs}
        stubs = np.array(sorted(pair for pair in tied if pair[0] != pair[1]), dtype=np.int64).reshape(-1, 2)
        return Network(
            self.members,
            tuple(Line(n.at, number[n.nodes], n.soft, n.held, n.free) for n in lines),
            points[kept],
            stubs,
            tuple(sorted({int(number[at(k, s)]) for k, s in self.stands})),
            tuple(Foot(k, int(number[at(k, s)]), deck) for k, s, deck in self.steps),
        )


def _spread_out(marks: list[float], step: float) -> Array:
    """Marks in order, near ones made one, with more between them where they are further apart than `step`."""
    found: list[float] = []
    for mark in sorted(marks):
        if not found or mark - found[-1] > SAME:
            gap = mark - found[-1] if found else 0.0
            parts = max(math.ceil(gap / step), 1) if math.isfinite(step) else 1
            found += [found[-1] + gap * i / parts for i in range(1, parts)] if parts > 1 else []
            found.append(mark)
    return np.array(found)
