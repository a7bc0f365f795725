"""How each removable thing leaves the boat, or why it cannot and what opening would let it out."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from model.access.aim import Aim, Held
from model.access.box import Swept, Triangles, partings
from model.access.crossing import Gate, gates
from model.access.guide import Guide
from model.access.obstacles import PLAY, Surroundings, asking, triangles_about
from model.access.passing import cannot_pass
from model.access.path import Tightest, Way, tightest
from model.access.room import CELL
from model.access.search import COARSE, FINE, find_way, straight_out
from model.access.settings import AccessSettings
from model.clearance.solid import Solid
from model.geometry import UP, Array
from model.layout.records import FixturePlan

if TYPE_CHECKING:
    from model.boat import Boat
    from parts.fittings import Fitting

ABOUT = 700.0
"""A way out is looked for within this of where a thing stands, mm."""

OVERHEAD = 40.0
"""A box whose ball has no more than this to go to open sky, mm, is tried straight up and out."""

ASIDE = 0.3
"""How much it counts in a search how far a box is off the middle of the opening."""

MOST_OPENINGS = 4
"""So many ways through different openings are tried."""


@dataclass(frozen=True, eq=False)
class WayOut:
    """How a thing leaves, or that it does not.

    Attributes:
        name: of the fixture.
        sides: of its box along its own x, y and z, mm.
        way: the motions; None where none was found.
        openings: openings that its middle passes on it.
        lids: lids that must be open for it.
        after: fixtures that must have left before.
        tightest: where the way is tightest, to `tight_to`; None where nothing comes within 60 mm.
        tight_to: the piece there.
        proven: where there is no way, whether that is sure; else it is only that none was found.
        why: of every opening tried, what keeps the thing in.
        held_by: what stands in it where it rests, so that nothing could be looked for.
        over: pieces that it meets if it is lifted straight up, nearest first.
        needs: length and width of the opening that lets it straight up, mm, along x and y of the boat.
        middle: where the middle of that opening is, `(2,)`.
    """

    name: str
    sides: Array
    way: Way | None = None
    openings: tuple[str, ...] = ()
    lids: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    tightest: Tightest | None = None
    tight_to: str | None = None
    proven: bool = False
    why: tuple[tuple[str, str], ...] = ()
    held_by: str | None = None
    over: tuple[str, ...] = ()
    needs: tuple[float, float] = (0.0, 0.0)
    middle: tuple[float, float] = (0.0, 0.0)


def ways_out(boat: Boat, around: Surroundings, settings: AccessSettings) -> list[WayOut]:
    """How each removable fixture leaves; one that others keep in leaves after those."""
    plans = [plan for plan in boat.layout.fixtures if plan.removable]
    openings = tuple(gates(boat))
    names = {plan.name for plan in plans}
    found = {}
    for plan in plans:
        others = sorted(names - {plan.name})
        alone = way_out(plan, around, openings, settings, others)
        near = _near(alone.way, others, around)
        met = tuple(name for name, tight in near.items() if tight.gap < settings.gap)
        beside = way_out(plan, around, openings, settings) if met else _with_others(alone, near)
        found[plan.name] = replace(alone, after=met) if met and beside.way is None else beside
    return [_if_others_leave(out, found) for out in found.values()]


def _near(way: Way | None, others: Sequence[str], around: Surroundings) -> dict[str, Tightest]:
    """Where a way comes nearest to each of some fixtures, if within 60 mm."""
    if way is None:
        return {}
    near = {name: tightest(way, around.bodies[name].solids) for name in others}
    return {name: found for name, found in near.items() if found is not None}


def _with_others(out: WayOut, near: Mapping[str, Tightest]) -> WayOut:
    """A way out whose tightest place may be at one of some further fixtures."""
    for name, tight in near.items():
        if out.tightest is None or tight.gap < out.tightest.gap:
            out = replace(out, tightest=tight, tight_to=name)
    return out


def _if_others_leave(out: WayOut, found: Mapping[str, WayOut]) -> WayOut:
    """A way out, or that there is none since what must leave before it cannot, or only after it."""
    waiting, seen = list(out.after), set(out.after)
    while waiting:
        other = found[waiting.pop()]
        if other.way is None or out.name in other.after:
            reason = (other.name, "which must leave before it, cannot")
            return replace(out, way=None, openings=(), lids=(), after=(), tightest=None, why=(reason,))
        new = set(other.after) - seen
        waiting += new
        seen |= new
    return out


def rest_box(part: Fitting, frame_axes: Array, origin: Array) -> Swept:
    """The box of a part in the boat, standing as it does."""
    x0, y0, z0, x1, y1, z1 = part.bounds
    half = np.array([x1 - x0, y1 - y0, z1 - z0]) / 2.0
    middle = np.array([x0 + x1, y0 + y1, z0 + z1]) / 2.0
    return Swept(origin + middle @ frame_axes, half[:, None] * frame_axes)


def way_out(
    plan: FixturePlan,
    around: Surroundings,
    openings: Sequence[Gate],
    settings: AccessSettings,
    gone: Collection[str] = (),
) -> WayOut:
    """How one fixture leaves, others being gone already."""
    rest = rest_box(plan.part, plan.frame.axes, plan.frame.origin)
    return _Leaving(plan.name, rest, around, openings, settings, {*gone, plan.name}).out()


@dataclass(frozen=True, eq=False)
class _Goal:
    """What leads the search: the way of a ball, and how the box must be held in the opening."""

    guide: Guide
    aim: Aim | None

    def to_go(self, point: Array) -> float:
        """The way of the ball, and some of that to the middle of the opening: a box is wider than a ball."""
        way = self.guide.to_go(point)
        if self.aim is None:
            return way
        aside = point[:2] - self.aim.middle[:2]
        return way + ASIDE * float(np.sqrt(aside @ aside))

    def may_rise(self, point: Array) -> bool:
        return self.guide.to_go(point) <= OVERHEAD

    def turns_to_go(self, held: Held) -> float:
        return 0.0 if self.aim is None else self.aim.turns_to_go(held)


class _Leaving:
    """One thing that is to leave."""

    def __init__(
        self,
        name: str,
        rest: Swept,
        around: Surroundings,
        openings: Sequence[Gate],
        settings: AccessSettings,
        away: set[str],
    ) -> None:
        self.name, self.around, self.openings, self.settings, self.away = (
            name, around, openings, settings, away,
        )  # fmt: skip
        self.rest = rest.moved(PLAY * UP)
        self.sides = 2.0 * np.sqrt((rest.edges**2).sum(axis=1))
        low, high = rest.box
        side = np.array([ABOUT, ABOUT, 0.0])
        self.about = np.stack([low - side - [0.0, 0.0, 60.0], high + side])
        self.about[1, 2] = around.top + float(self.sides.max())

    def out(self) -> WayOut:
        lids = {lid.name for lid in self.around.lids} - self._stands_on()
        bare, names = self._obstacles(
            lids, {n for n, lid in self.around.with_lids.items() if lid.name in lids}
        )
        triangles, held = asking(bare, self.rest, self.settings.gap)
        if held is not None:
            return self._none(held_by=names[held])
        rise = straight_out(self.rest, triangles, self.around.top)
        if rise is not None:
            found = self._through(Way(self.rest, (rise,)))
            if found is not None:
                return found
        return self._by_search(bare, triangles, names)

    def _stands_on(self) -> set[str]:
        """The lid that it rides on: that stays closed."""
        lid = self.around.with_lids.get(self.name)
        return set() if lid is None else {lid.name}

    def _obstacles(
        self, opened: Collection[str], more_away: Collection[str] = ()
    ) -> tuple[Triangles, list[str]]:
        solids, names = self.around.solids(opened, {*self.away, *more_away})
        return triangles_about(solids, self.about), names

    def _through(self, way: Way) -> WayOut | None:
        """A way that is known to be clear but for lids, with those open that are to be; None if it is not."""
        passed = self._passed(way)
        lids = {gate.lid for gate in passed if gate.lid is not None}
        solids, names = self.around.solids(lids, self.away)
        triangles, held = asking(triangles_about(solids, self.about), self.rest, self.settings.gap)
        if held is not None or not way.is_clear(triangles):
            return None
        return self._told(way, passed, solids, names)

    def _passed(self, way: Way) -> list[Gate]:
        line = np.array([p.matrix @ self.rest.centre + p.offset for p in way.poses])
        return [gate for gate in self.openings if gate.passed(line)]

    def _told(self, way: Way, passed: Sequence[Gate], solids: list[Solid], names: list[str]) -> WayOut:
        lids = sorted({gate.lid for gate in passed if gate.lid is not None})
        close = self._close_at_rest(solids)
        others = [k for k in range(len(solids)) if k not in close]
        tight = tightest(way, [solids[k] for k in others])
        return WayOut(
            self.name,
            self.sides,
            way,
            tuple(gate.name for gate in passed),
            tuple(lids),
            tightest=tight,
            tight_to=None if tight is None else names[others[tight.solid]],
        )

    def _close_at_rest(self, solids: Sequence[Solid]) -> set[int]:
        """Solids that it stands on or beside, closer than what is asked on its way."""
        near = triangles_about(solids, self.rest.box + np.array([[-1.0], [1.0]]) * self.settings.gap)
        if not len(near):
            return set()
        pairs = np.stack([np.zeros(len(near), dtype=np.int64), np.arange(len(near))], axis=1)
        apart = partings([self.rest], near, pairs)
        return {int(k) for k in near.owner[apart < self.settings.gap]}

    def _by_search(self, bare: Triangles, triangles: Triangles, names: list[str]) -> WayOut:
        """A way through one opening after the other, by large steps first and then by small ones."""
        about = np.stack([self.about[0], [*self.about[1, :2], self.around.top + 2.0 * CELL]])
        guide = Guide.about(self.rest, bare, about)
        why: list[tuple[str, str]] = []
        sure = True
        while len(why) < MOST_OPENINGS:
            line = guide.route()
            if line is None:
                break
            passed = [gate for gate in self.openings if gate.passed(line)]
            kept_in, reason, certain = self._barred(passed)
            if kept_in is None:
                found = self._searched(passed, guide)
                if found is not None:
                    return found
                if not guide.is_fine:
                    guide = guide.finer()
                    continue
                kept_in, reason = (
                    (passed[-1] if passed else None),
                    f"none was found by steps of {FINE.told()}",
                )
            sure = sure and certain
            why.append(("" if kept_in is None else kept_in.name, reason))
            if kept_in is None:
                break
            guide = guide.shut(kept_in)
        proven = sure and guide.is_closed(self.around, self.away)
        return self._none(why=tuple(why), proven=proven, over=self._over(triangles, names))

    def _barred(self, passed: Sequence[Gate]) -> tuple[Gate | None, str, bool]:
        """The first of some openings that does not let the box through, why, and whether that is certain."""
        for gate in passed:
            reason = cannot_pass(self.sides, gate.opening.polygon)
            if reason is not None:
                return gate, reason, True
        aim = self._aim(passed, FINE.turn)
        if aim is not None and aim.is_hopeless:
            return passed[-1], "held any way, it does not slide through", False
        return None, "", False

    def _searched(self, passed: Sequence[Gate], guide: Guide) -> WayOut | None:
        """A way through openings, by steps as large as the guide's cells allow."""
        lids = {gate.lid for gate in passed if gate.lid is not None}
        solids, names = self.around.solids(lids, self.away)
        triangles, held = asking(triangles_about(solids, self.about), self.rest, self.settings.gap)
        if held is not None:
            return None
        fineness = FINE if guide.is_fine else COARSE
        goal = _Goal(guide, self._aim(passed, fineness.turn))
        way = find_way(self.rest, triangles, self.around.top, goal, fineness)
        return None if way is None else self._told(way, self._passed(way), solids, names)

    def _aim(self, passed: Sequence[Gate], step: float) -> Aim | None:
        """The last opening on the way out."""
        if not passed:
            return None
        gate = passed[-1]
        return Aim(gate.deck.frame, gate.opening.polygon, self.rest, self.settings.gap, step)

    def _over(self, triangles: Triangles, names: list[str]) -> tuple[str, ...]:
        """What a straight lift meets, lowest first."""
        swept = self.rest.along(UP * (self.around.top - float(self.rest.box[0, 2])))
        near = triangles.near(swept.box)
        if not len(near):
            return ()
        pairs = np.stack([np.zeros(len(near), dtype=np.int64), np.arange(len(near))], axis=1)
        met = partings([swept], near, pairs) < near.asked
        heights: dict[str, float] = {}
        for owner, z in zip(near.owner[met], near.low[met, 2], strict=True):
            name = names[int(owner)]
            heights[name] = min(float(z), heights.get(name, float("inf")))
        return tuple(sorted(heights, key=lambda name: heights[name]))

    def _none(self, **facts: object) -> WayOut:
        low, high = self.rest.box
        needs = tuple(float(v) + 2.0 * self.settings.gap for v in (high - low)[:2])
        middle = tuple(float(v) for v in (low + high)[:2] / 2.0)
        blank = WayOut(self.name, self.sides, needs=(needs[0], needs[1]), middle=(middle[0], middle[1]))
        return replace(blank, **facts)  # type: ignore[arg-type]
