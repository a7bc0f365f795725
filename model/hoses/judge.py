"""What is wrong with the hoses of a boat."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from model.clearance.words import length_told, where_told
from model.findings import Finding, Shown
from model.geometry import Array
from model.hoses.lay import PREFIX, HoseFound
from model.hoses.lines import SEA, Line
from model.hoses.plan import FALLING, PUMPED, PlumbingPlan
from model.hoses.skins import SkinFitting
from model.hoses.waters import Waters
from model.hoses.wells import WellFound, is_of
from model.hoses.words import flow_told, head_told, over_told, time_told
from model.ways.run import TightBend
from model.ways.tube import tube
from parts.plumbing import Pump

if TYPE_CHECKING:
    from model.boat import Boat

HOSE, SKIN, DRAIN, PUMP, WELL = "hose", "skin", "drain", "pump", "well"
"""Kinds of findings: of one thing and kind only the first is told."""

AGREES = 3.0
"""The hole of an overflow may lie this far off the height that its well tells, mm; so may hose the skin."""

NEAR_END, STEP = 90.0, 15.0
"""So near to its end a hose may touch the skin, and at such steps it is held against it, mm."""


@dataclass(frozen=True, eq=False)
class Judge:
    """Holds what was found against what is asked."""

    boat: Boat
    asked: PlumbingPlan
    waters: Waters

    @property
    def units(self) -> str:
        """Of the boat."""
        return self.boat.units

    def findings(
        self,
        laid: Sequence[HoseFound],
        lines: Sequence[Line],
        wells: Sequence[WellFound],
        skins: Sequence[SkinFitting],
    ) -> Iterator[Finding]:
        """All of them, what may flood her first."""
        for skin in skins:
            yield from self._skin(skin)
        for hose in laid:
            yield from self._loop(hose)
        for line in lines:
            yield from self._line(line)
        for well in wells:
            yield from self._well(well, laid, lines)
        for hose in laid:
            yield from self._way(hose)

    def _skin(self, skin: SkinFitting) -> Iterator[Finding]:
        if skin.wants != "must" or skin.shut or skin.least is None:
            return
        depth, case = -skin.least[0], skin.least[1]
        what = f"it lies {length_told(depth, self.units)} under water in {case}, and nothing shuts it"
        if skin.lets_in:
            what += f": broken off, it lets in {flow_told(skin.lets_in, self.units)}"
        cure = "screw a valve on it (`valve: true`), or bring it out higher"
        place = self.boat.document.place(("hoses", "fittings", skin.name))
        yield Finding(SKIN, (f"{PREFIX}{skin.name}",), what, cure, skin.at, place, depth)

    def _loop(self, hose: HoseFound) -> Iterator[Finding]:
        """A pump's discharge under water whose hose rises to no loop."""
        if hose.run is None or hose.plan.end.group != "skin" or hose.plan.kind not in PUMPED:
            return
        least, loop = self.waters.least(hose.run.path[-1]), loop_over(hose, self.waters)
        if least is None or loop is None or least[0] >= 0.0 or loop >= self.asked.loop_height - 1.0:
            return
        short = self.asked.loop_height - loop
        what = (
            f"it ends {over_told(least[0], self.units)} in {least[1]} and rises to "
            f"{over_told(loop, self.units)} at most: the water runs back through it into the boat"
        )
        told = length_told(self.asked.loop_height, self.units)
        cure = f"lead it through a high loop {told} over the water, with air let in at its top"
        yield self._of(hose, what, cure, hose.run.path[-1], short, kind=SKIN)

    def _of(
        self, hose: HoseFound, what: str, cure: str, at: Array, short: float | None = None, kind: str = HOSE
    ) -> Finding:
        shown = shown_of(hose)
        return Finding(kind, (f"{PREFIX}{hose.name}",), what, cure, at, hose.plan.place, short, shown=shown)

    def _way(self, hose: HoseFound) -> Iterator[Finding]:
        """How a hose lies."""
        if hose.no_way is not None:
            no, over = hose.no_way, ""
            if hose.loop is not None:
                over = f" over a loop {length_told(hose.loop, self.units)} up"
            yield self._of(hose, f"there is no way for it{over}: {no.why}", no.cure, no.where)
        if hose.run is None:
            return
        yield from self._outside(hose)
        own = [end.where for end in (hose.plan.start, hose.plan.end)]
        for hit in hose.run.hits:
            if any(hit.piece == name or hit.piece.startswith(f"{name}/") for name in own if name):
                continue  # what it is pushed on
            what = f"it goes through {hit.piece} at {where_told(hit.at, self.units)}"
            cure = (
                f"lead it round, or tell of a hole of {length_told(hit.size, self.units)} under `passages:`"
            )
            pieces = (f"{PREFIX}{hose.name}", hit.piece)
            yield Finding(HOSE, pieces, what, cure, hit.at, hose.plan.place, shown=shown_of(hose))
        for bend in bent_too_close(hose):
            asked, fits = (length_told(r, self.units) for r in (bend.asked, bend.radius))
            what = (
                f"it bends to a radius of {fits} where it may to {asked}, {where_told(bend.at, self.units)}"
            )
            cure = "give it room to turn, or make that bend by an elbow (`elbows`)"
            yield self._of(hose, what, cure, bend.at, bend.asked - bend.radius)
        if hose.plan.kind in FALLING:
            yield from self._fall(hose)

    def _outside(self, hose: HoseFound) -> Iterator[Finding]:
        """Where a hose by given points leaves the hull, other than at its own fittings in the skin."""
        assert hose.run is not None
        path = finely(hose.run.path)
        room = self.boat.hull.gap(path, ends=True) - hose.plan.hose.outside / 2.0
        for end in (hose.plan.start, hose.plan.end):
            if end.group in ("skin", "fixture"):
                room[np.linalg.norm(path - end.at, axis=1) < NEAR_END] = np.inf
        worst = int(room.argmin())
        if room[worst] < -AGREES:
            at = where_told(path[worst], self.units)
            what = f"it is {length_told(-float(room[worst]), self.units)} through the skin at {at}"
            yield self._of(hose, what, "lead it further inside", path[worst], -float(room[worst]))

    def _fall(self, hose: HoseFound) -> Iterator[Finding]:
        profile = hose.profile
        assert profile is not None
        if profile.climb > 0.0:
            begin, end = (where_told(p, self.units) for p in (profile.climbs_from, profile.climbs_to))
            what = f"it is to drain by itself and runs uphill by {length_told(profile.climb, self.units)}"
            what += f", from {begin} to {end}"
            cure = "lead it so that it falls all the way, or bring its end lower"
            yield self._of(hose, what, cure, profile.climbs_from, profile.climb, DRAIN)
        elif profile.slope < self.asked.slope - 1e-6:
            at = where_told(profile.flattest, self.units)
            what = (
                f"it falls by {100.0 * profile.slope:.1f} % at {at}; {100.0 * self.asked.slope:g} % are asked"
            )
            cure = "let it fall more steeply there"
            yield self._of(hose, what, cure, profile.flattest, kind=DRAIN)

    def _line(self, line: Line) -> Iterator[Finding]:
        """What a pump cannot do."""
        hose, pump = line.hoses[0], line.pump.part
        assert isinstance(pump, Pump)
        name = (f"fixture.{line.pump.name}", f"{PREFIX}{hose.name}")
        if line.works and line.curve is not None and line.most is None:
            most = head_told(line.curve.shut_off, self.units)
            what = f"{pump.name} lifts {most} at most, and its hose leads higher: nothing flows"
            yield Finding(PUMP, name, what, "lead it lower, or take a stronger pump", line.pump.at)
        if line.source == SEA and not pump.self_priming:
            points = [line.pump.port("in")]
            points += [p for h in line.before if h.run is not None for p in h.run.path]
            high = max((self.waters.most(p) or (-math.inf, "") for p in points), key=lambda told: told[0])
            if high[0] > 0.0:
                over = length_told(high[0], self.units)
                what = f"{pump.name} draws no water up to itself, and it or its hose lies {over} over the "
                what += f"water in {high[1]}"
                cure = "set it lower, or take a pump that primes itself"
                yield Finding(PUMP, name, what, cure, line.pump.at, None, high[0])

    def _well(self, well: WellFound, laid: Sequence[HoseFound], lines: Sequence[Line]) -> Iterator[Finding]:
        """Wells that run over, or are filled too slowly."""
        locker = self.boat.layout.lockers[well.name]
        x, y = locker.area.centroid.coords[0]
        at = np.array([x, y, well.rim])
        name = well.name.removeprefix("locker.")
        yield from self._rim(well, at, laid, lines)
        if well.inflow and not well.overflows:
            what = f"pumps bring {flow_told(well.inflow, self.units)}, and no hose carries it off again"
            cure = f"lead a hose of the kind `overflow` from a fitting `of: {name}`"
            yield Finding(WELL, (well.name,), what, cure, at)
        elif well.inflow and well.rise is not None and math.isinf(well.rise):
            what = f"its overflow cannot carry the {flow_told(well.inflow, self.units)} that pumps bring: "
            what += "it runs over its rim"
            yield Finding(WELL, (well.name,), what, "take a wider overflow, or lead it lower", at)
        most = self.asked.turnover
        if most is not None and well.turnover is not None and well.turnover > most:
            what = f"it is filled anew in {time_told(well.turnover)}; {time_told(most)} are asked"
            yield Finding(PUMP, (well.name,), what, "take a stronger pump, or wider hose", at)
        for hose in laid:
            end = hose.plan.start
            if hose.plan.kind == "overflow" and end.group == "well" and end.where == well.name:
                yield from self._overflow_height(hose, well)

    def _rim(
        self, well: WellFound, at: Array, laid: Sequence[HoseFound], lines: Sequence[Line]
    ) -> Iterator[Finding]:
        """A well whose rim lies under water while hoses join it to the water outside."""
        least = self.waters.least(at)
        if least is None or least[0] >= 0.0:
            return
        locker = self.boat.layout.lockers[well.name]
        joined = [
            hose.name for hose in laid if hose.plan.end.group == "skin" and is_of(hose.plan.start, locker)
        ]
        joined += [line.hoses[-1].name for line in lines if line.source == SEA and is_of(line.sink, locker)]
        if joined:
            what = f"its rim lies {length_told(-least[0], self.units)} under water in {least[1]}: with its "
            what += f"valves open the water outside runs in through {', '.join(joined)} and over the rim"
            yield Finding(
                SKIN, (well.name,), what, "set the well higher, or load her less", at, None, -least[0]
            )

    def _overflow_height(self, hose: HoseFound, well: WellFound) -> Iterator[Finding]:
        end = hose.plan.start
        low = float(end.at[2]) - (end.bore or hose.plan.hose.inside) / 2.0
        if well.overflow is not None and abs(low - well.overflow) > AGREES:
            told = [length_told(z, self.units) for z in (low, well.overflow)]
            name = well.name.removeprefix("locker.")
            what = f"its hole begins {told[0]} up; {name} is said to run over {told[1]} up"
            yield self._of(
                hose, what, "set `overflow` of the well, or the fitting, to the same", end.at, kind=WELL
            )


def finely(path: Array) -> Array:
    """The path with points no further apart than `STEP`, `(m, 3)`."""
    far = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(path, axis=0), axis=1))])
    at = np.union1d(far, np.arange(0.0, float(far[-1]), STEP))
    return np.column_stack([np.interp(at, far, path[:, k]) for k in range(3)])


def shown_of(hose: HoseFound) -> tuple[Shown, ...]:
    """The hose as it is drawn with a finding; nothing without a way."""
    run = hose.run
    return () if run is None else (Shown(run.name, tube(run.path, run.diameter)),)


def bent_too_close(hose: HoseFound) -> tuple[TightBend, ...]:
    """Bends closer than the hose allows that are no elbows; the closest are made by them."""
    if hose.run is None:
        return ()
    closest = sorted(hose.run.tight, key=lambda bend: bend.radius)
    return tuple(closest[hose.plan.elbows :])


def loop_over(hose: HoseFound, waters: Waters) -> float | None:
    """Height of the highest water in a hose over the water outside, the least of all cases, mm.

    None where she was not floated, or the hose has no way.
    """
    if hose.run is None or not waters.known:
        return None
    path = hose.run.path
    tops = [float(plane.height(path).max()) for plane in waters.planes.values()]
    return min(tops) - hose.plan.hose.inside / 2.0
