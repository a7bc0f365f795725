"""What is found when every piece of a boat is measured against every other."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from model.clearance.bodies import Body, boat_bodies
from model.clearance.contacts import Contacts, things_of
from model.clearance.kinds import FIXED, ROOM
from model.clearance.pairs import Nearness, measured_apart, near_pairs
from model.clearance.settings import EIGHTH, ClearanceSettings, Exempt
from model.clearance.words import clash_told, cure_told, least_move, names_told
from model.findings import Finding

if TYPE_CHECKING:
    from model.boat import Boat


@dataclass(frozen=True, eq=False)
class Clash:
    """Two pieces nearer than they may be.

    Attributes:
        nearness: how near they come, and where.
        least: the gap asked of them, mm.
        others: how many more pieces of the same two things clash.
        finding: the same in words.
    """

    nearness: Nearness
    least: float
    others: int
    finding: Finding

    @property
    def short(self) -> float:
        """How far apart they would have to be moved, mm."""
        near = self.nearness
        return near.depth + self.least if near.shared is not None else self.least - near.gap


@dataclass(frozen=True, eq=False)
class ClearanceReport:
    """The clashes of a boat, worst first, and what was measured.

    Attributes:
        clashes: two pieces each; no two of them tell of the same two things.
        bodies: how many pieces were measured.
        pairs: how many pairs of them were asked for a gap.
        joined: how many of them lie near because they belong together; they may touch.
        exempt: pairs let off by name, as (first, second, why and by whom).
        nearest: the least gaps between pieces that do not belong together, least first.
    """

    clashes: tuple[Clash, ...]
    bodies: int
    pairs: int
    joined: int
    exempt: tuple[tuple[str, str, str], ...]
    nearest: tuple[Nearness, ...]

    @property
    def findings(self) -> tuple[Finding, ...]:
        """The clashes in words, worst first."""
        return tuple(clash.finding for clash in self.clashes)

    def summary(self) -> str:
        """One line: what was measured and what came of it."""
        found = len(self.clashes)
        clash = "no two clash" if found == 0 else f"{found} clash{'es' if found > 1 else ''}"
        told = f"{self.bodies} pieces, {self.pairs} pairs measured, {self.joined} of them joined: {clash}"
        return f"{told}; {len(self.exempt)} let off by name" if self.exempt else told


def clearance_findings(
    boat: Boat,
    settings: ClearanceSettings | None = None,
    more: Iterable[Body] = (),
    bodies: Sequence[Body] | None = None,
) -> ClearanceReport:
    """Every piece of a boat measured against every other, and what comes too near.

    Args:
        boat: the boat.
        settings: gaps asked for; the usual ones unless given.
        more: further bodies to be measured along, such as runs of hose and wire.
        bodies: all its pieces with such further ones, where they are at hand already.
    """
    wanted = settings or ClearanceSettings()
    bodies = [*boat_bodies(boat), *more] if bodies is None else bodies
    contacts = Contacts(boat)
    near = near_pairs(bodies, wanted.reach(), partial(_to_be_measured, contacts), contacts)
    near = [_by_true_skin(n, boat) for n in near]
    judged = [_Judged.of(n, contacts(n.first, n.second), wanted, boat) for n in near]
    let_off = dict.fromkeys((*j.bare, j.exempt.reason) for j in judged if j.exempt is not None and j.spared)
    clashes = _worst_first([j for j in judged if j.short > 0.0], boat)
    return ClearanceReport(
        clashes=tuple(clashes),
        bodies=len(bodies),
        pairs=_pair_count(bodies),
        joined=contacts.count,
        exempt=tuple(let_off),
        nearest=tuple(_least_gaps(judged, wanted.told)),
    )


@dataclass(frozen=True, eq=False)
class _Judged:
    """A pair with what is asked of it; `short` is above zero where it falls short."""

    near: Nearness
    joined: bool
    least: float
    short: float
    exempt: Exempt | None
    spared: bool

    @property
    def names(self) -> tuple[str, str]:
        return self.near.first.name, self.near.second.name

    @property
    def bare(self) -> tuple[str, str]:
        """The names, a room by that of its fitting, in the order of letters."""
        first, second = sorted(name.removesuffix(f"/{ROOM}") for name in self.names)
        return first, second

    @classmethod
    def of(cls, near: Nearness, joined: bool, settings: ClearanceSettings, boat: Boat) -> _Judged:
        asked = 0.0 if joined else _asked(near, settings, boat)
        plain = _shortfall(near, asked, joined, settings)
        exempt = settings.exemption(near.first.name, near.second.name)
        if exempt is None:
            return cls(near, joined, asked, plain, None, False)
        if exempt.least is None:
            return cls(near, joined, 0.0, 0.0, exempt, plain > 0.0)
        own_room = ROOM in (near.first.kind, near.second.kind)
        least = min(asked, exempt.least) if own_room else exempt.least
        short = _shortfall(near, least, joined, settings)
        return cls(near, joined, least, short, exempt, plain > 0.0 >= short)


def _asked(near: Nearness, settings: ClearanceSettings, boat: Boat) -> float:
    """The gap asked of a pair by kind; against the skin no more than the boat itself is laid out for."""
    kinds = (near.first.kind, near.second.kind)
    least = settings.least(*kinds)
    if "hull" in kinds and "member" in kinds:
        return min(least, boat.layout.fit_gap)
    return min(least, boat.layout.hull_gap) if "hull" in kinds and "sheet" in kinds else least


def _shortfall(near: Nearness, asked: float, joined: bool, settings: ClearanceSettings) -> float:
    """How much a pair falls short of what is asked, mm; 0 where it does not.

    Welded metal that touches is taken to meet by intent, such as a riser on the deck below.
    """
    if near.shared is not None:
        allowed = settings.slack if joined else settings.tolerance
        return near.depth + asked if near.depth > allowed else 0.0
    short = asked - near.gap
    meets = near.gap <= settings.tolerance and {near.first.kind, near.second.kind} <= set(FIXED)
    return short if not (joined or meets) and short > settings.tolerance else 0.0


def _to_be_measured(contacts: Contacts, one: Body, other: Body) -> bool:
    """Whether two bodies are measured: not the room of a fitting against itself and what it stands on."""
    own_room = ROOM in (one.kind, other.kind) and contacts(one, other)
    return measured_apart(one, other) and not own_room


def _by_true_skin(near: Nearness, boat: Boat) -> Nearness:
    """The gap to the hull asked of the skin itself, where the facets that stand for it say it may be short.

    Facets lie inside a hollow skin by up to a tenth of a millimetre where it bends most.
    """
    if near.second.kind != "hull" or near.shared is not None or not 0.0 < near.gap < 2.0 * EIGHTH:
        return near
    at = near.points[0]
    corners = near.solids[0].mesh.vertices
    close = corners[np.abs(corners - at).max(axis=1) < near.gap]
    true = float(boat.hull.gap(np.vstack([at, close]), ends=True).min())
    return replace(near, gap=true) if true > near.gap else near


def _pair_count(bodies: Sequence[Body]) -> int:
    """How many pairs of bodies are measured against each other."""
    kinds = [body.kind for body in bodies]
    counts = {kind: kinds.count(kind) for kind in set(kinds)}
    stand_ins = {kind: Body("", kind, ()) for kind in counts}
    total = 0
    for i, one in enumerate(sorted(counts)):
        for other in sorted(counts)[i:]:
            if measured_apart(stand_ins[one], stand_ins[other]):
                same = one == other
                total += counts[one] * (counts[one] - 1) // 2 if same else counts[one] * counts[other]
    return total


def _least_gaps(judged: list[_Judged], count: int) -> list[Nearness]:
    apart = [j.near for j in judged if not j.joined and j.near.gap > 0.0]
    apart = [n for n in apart if ROOM not in (n.first.kind, n.second.kind)]
    return sorted(apart, key=lambda n: n.gap)[:count]


def _worst_first(judged: list[_Judged], boat: Boat) -> list[Clash]:
    """One clash for each two things, the worst of its pairs; overlaps first, then by how much is lacking."""
    ranked = sorted(judged, key=lambda j: (j.near.shared is None, _is_room(j), -j.short, j.names))
    found: dict[frozenset[str], list[_Judged]] = {}
    for one in ranked:
        found.setdefault(things_of(one.near.first, one.near.second), []).append(one)
    clashes = []
    for own in found.values():
        first = own[0]
        others = sum(_is_room(j) == _is_room(first) for j in own) - 1
        clashes.append(Clash(first.near, first.least, others, _finding(first, others, boat)))
    return clashes


def _is_room(judged: _Judged) -> bool:
    return ROOM in (judged.near.first.kind, judged.near.second.kind)


def _finding(judged: _Judged, others: int, boat: Boat) -> Finding:
    near = judged.near
    pieces = names_told(near)
    what = clash_told(near, judged.least, others, boat.units)
    move = least_move(near, judged.least)
    short = judged.short if near.shared is None else move.distance
    cure = cure_told(near, move, boat.units)
    place = boat.place(pieces[0]) or boat.place(pieces[1])
    kind = "gap" if near.shared is None else "room" if _is_room(judged) else "overlap"
    return Finding(kind, pieces, what, cure, near.where, place, short)
