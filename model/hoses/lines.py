"""Pumps with the hoses before and after them: what they lift, what they bring."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from model.geometry import Array, Plane
from model.hoses.friction import EXIT, Stretch, entrance_loss
from model.hoses.lay import HoseFound, end_of, start_of
from model.hoses.plan import PUMPED, End
from model.hoses.pump_curve import Operating, PumpCurve, operating_point, rated_flow
from model.hoses.waters import Waters
from parts.plumbing import Pump

if TYPE_CHECKING:
    from model.boat import Boat

SEA, WELL, BILGE_WATER = "sea", "well", "bilge"


@dataclass(frozen=True, eq=False)
class Line:
    """A pump and one way of its water.

    Attributes:
        pump: the fixture.
        before: hoses that lead to it, in order.
        after: hoses that lead from it, in order; with a valve that branches, one of its ways.
        source: `sea`, `well` or `bilge`: what it takes.
        well: the locker whose water it takes; empty unless a well.
        rated: with nothing to lift, mm3/s; None where it is not known.
        works: what it brings by the case of the water; None where it cannot lift so high.
        curve: None where the catalogue has none, and nothing is worked out.
    """

    pump: End
    before: tuple[HoseFound, ...]
    after: tuple[HoseFound, ...]
    source: str
    well: str
    rated: float | None
    works: Mapping[str, Operating | None]
    curve: PumpCurve | None

    @property
    def hoses(self) -> tuple[HoseFound, ...]:
        """All of them, in order."""
        return (*self.before, *self.after)

    @property
    def sink(self) -> End:
        """Where the water goes."""
        return (self.after or self.before)[-1].plan.end

    @property
    def least(self) -> Operating | None:
        """Where it works with the least flow; None where it is not known, or nothing flows."""
        found = [one for one in self.works.values() if one is not None]
        return min(found, key=lambda one: one.flow) if len(found) == len(self.works) and found else None

    @property
    def most(self) -> Operating | None:
        """Where it works with the greatest flow."""
        found = [one for one in self.works.values() if one is not None]
        return max(found, key=lambda one: one.flow, default=None)

    @property
    def name(self) -> str:
        """For people: the pump and, where it branches, where it leads."""
        return self.pump.name


def lines_of(boat: Boat, laid: Sequence[HoseFound], waters: Waters) -> tuple[Line, ...]:
    """All lines of all pumps that any hose leads from or to."""
    pumps = {
        end.key: end
        for found in laid
        for end in (found.plan.start, found.plan.end)
        if end.is_pump and found.plan.kind in PUMPED
    }
    return tuple(line for pump in pumps.values() for line in _lines(boat, pump, laid, waters))


def _lines(boat: Boat, pump: End, laid: Sequence[HoseFound], waters: Waters) -> Iterator[Line]:
    before = _before(pump, laid)
    for after in _after(pump, laid):
        if before or after:
            yield _line(boat, pump, before, after, waters)


def _before(pump: End, laid: Sequence[HoseFound]) -> tuple[HoseFound, ...]:
    """Hoses that lead to a pump; where a valve lets in one of several, the first of the file."""
    way: list[HoseFound] = []
    key = pump.key
    while True:
        into = next((f for f in laid if f.plan.end.key == key and f not in way), None)
        if into is None:
            return tuple(reversed(way))
        way.append(into)
        key = into.plan.start.key


def _after(pump: End, laid: Sequence[HoseFound]) -> list[tuple[HoseFound, ...]]:
    """Each way of the hoses that lead from a pump."""

    def ways(key: tuple[str, str], gone: tuple[HoseFound, ...]) -> list[tuple[HoseFound, ...]]:
        onward = [f for f in laid if f.plan.start.key == key and f not in gone]
        return [way for f in onward for way in ways(f.plan.end.key, (*gone, f))] or [gone]

    return ways(pump.key, ())


def _line(
    boat: Boat, pump: End, before: tuple[HoseFound, ...], after: tuple[HoseFound, ...], waters: Waters
) -> Line:
    source, well = _source(boat, pump, before)
    part = pump.part
    assert isinstance(part, Pump)
    line = Line(pump, before, after, source, well, rated_flow(part), {}, PumpCurve.of(part))
    if line.curve is None or (source == SEA and not waters.known):
        return line
    hoses = stretches(line)
    works = {
        name: operating_point(line.curve, _static(boat, line, plane, waters), hoses)
        for name, plane in waters.told.items()
    }
    return replace(line, works=works)


def _source(boat: Boat, pump: End, before: Sequence[HoseFound]) -> tuple[str, str]:
    """What a pump takes, and the locker it stands in or draws from."""
    first = before[0].plan.start if before else pump
    if first.group == "skin" or (first.part is not None and first.part.kind in ("valve", "through-hull")):
        return SEA, ""
    if first.group in ("well", "drain"):
        locker = next((n for n in boat.layout.lockers if first.where in (n, n.removeprefix("locker."))), "")
        return WELL, locker
    inside = _stands_in(boat, first)
    return (WELL, inside) if inside else (BILGE_WATER, "")


def _stands_in(boat: Boat, end: End) -> str:
    """The locker that a fixture stands in; empty if it is in none."""
    plan = next((p for p in boat.layout.fixtures if p.name == end.where), None)
    names = boat.layout.lockers
    if plan is None:
        return ""
    return next((n for n in names if plan.on in (n, n.removeprefix("locker."), names[n].base)), "")


def stretches(line: Line) -> list[Stretch]:
    """All hose of a line with its way in and its way out."""
    found = []
    hoses = line.hoses
    for k, hose in enumerate(hoses):
        goes_on = k + 1 < len(hoses) and hoses[k + 1].plan.start.key == hose.plan.end.key
        stretch = hose.stretch(last=not goes_on)
        more = entrance_loss() if k == 0 and line.before else 0.0
        more += EXIT if k == len(hoses) - 1 else 0.0
        found.append(replace(stretch, losses=stretch.losses + more))
    return found


def _static(boat: Boat, line: Line, plane: Plane, waters: Waters) -> float:
    """From the water a pump takes to the highest place it lifts it to, mm.

    A hose that falls again beyond its highest place helps only once it runs full, which is not counted on.
    """
    return _highest(boat, line, plane, waters) - _level(boat, line, plane)


def _highest(boat: Boat, line: Line, plane: Plane, waters: Waters) -> float:
    """Height of the highest place of a line over a plane, mm; of the water it is let out under, if higher."""
    points = [path for hose in line.after for path in _path(boat, hose)]
    heights = plane.height(np.array(points)) if points else np.array([-np.inf])
    sink = line.sink
    under = -np.inf
    if sink.group == "skin" and waters.known:
        under = 0.0
    elif sink.group == "well":
        under = _well_level(boat, sink.where, sink.at, plane)
    return float(max(heights.max(), under))


def _path(boat: Boat, hose: HoseFound) -> Array:
    """Points of a hose; its ends where it has no way."""
    if hose.run is not None:
        return hose.run.path
    return np.array([start_of(boat, hose.plan.start), end_of(boat, hose.plan.end)])


def _level(boat: Boat, line: Line, plane: Plane) -> float:
    """Height over a plane of the water that a pump takes, mm."""
    if line.source == SEA:
        return 0.0
    if line.source == WELL:
        return _well_level(boat, line.well, line.pump.at, plane)
    # a bilge is pumped out to the last: the water stands at the pump's foot
    return float(plane.height(line.pump.port("in")))


def _well_level(boat: Boat, name: str, at: Array, plane: Plane) -> float:
    """Height over a plane of the water in a well that is full to its overflow, or to its rim."""
    locker = boat.layout.lockers.get(name)
    if locker is None:
        return float(plane.height(at))
    z = locker.top if locker.overflow is None else locker.overflow
    return float(plane.height(np.array([at[0], at[1], z])))
