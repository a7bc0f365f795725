"""Wells: how soon the pumps fill them anew, whether the overflow follows, how they run out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from model.geometry import Plane
from model.hoses.friction import EXIT, Stretch, entrance_loss
from model.hoses.gravity import Emptying, Overflow, emptying, overflow_rise
from model.hoses.lay import HoseFound, end_of, hole_of
from model.hoses.lines import Line
from model.hoses.plan import End
from model.hoses.waters import Waters
from model.water.wells import Inside, inside_of

if TYPE_CHECKING:
    from model.boat import Boat
    from model.layout.records import LockerPlan

FILM = 1.0
"""Water no deeper than this, mm, has run out."""

ASHORE = "ashore"
"""On her trailer, level, with nothing round the end of the hose."""


@dataclass(frozen=True, eq=False)
class DrainFound:
    """How a well runs out through one hose.

    Attributes:
        hose: its name.
        ways: time and the height left, by the case of the water, and ashore.
        left: volume that stays, mm3, by the same.
    """

    hose: str
    ways: Mapping[str, Emptying]
    left: Mapping[str, float]


@dataclass(frozen=True, eq=False)
class WellFound:
    """A well that hoses lead to or from.

    Attributes:
        name: of the locker.
        volume: to its overflow, or to its rim, mm3.
        overflow: height of its overflow; None without one.
        rim: height of its rim.
        inflow: most that all pumps from outside bring at once, mm3/s; None where it is not known.
        slowest: least that they bring, mm3/s; None likewise.
        turned_over: what aerators pump round, mm3/s.
        rise: how far the water stands over its overflow meanwhile, mm; infinity where it runs over its rim;
            None without an overflow hose or a flow.
        overflows: names of the hoses that carry it off.
        drains: how it runs out.
    """

    name: str
    volume: float
    overflow: float | None
    rim: float
    inflow: float | None
    slowest: float | None
    turned_over: float
    rise: float | None
    overflows: tuple[str, ...]
    drains: tuple[DrainFound, ...]

    @property
    def turnover(self) -> float | None:
        """Seconds in which it is filled anew with the least inflow; None where nothing is known to come."""
        return self.volume / self.slowest if self.slowest else None


def wells_of(
    boat: Boat, laid: Sequence[HoseFound], lines: Sequence[Line], waters: Waters
) -> tuple[WellFound, ...]:
    """All lockers that a hose leads to or from, in the order of the file."""
    wells = _Wells(boat, laid, lines, waters)
    return tuple(
        wells.well(locker)
        for locker in boat.layout.lockers.values()
        if any(is_of(end, locker) for f in laid for end in (f.plan.start, f.plan.end))
    )


def is_of(end: End, locker: LockerPlan) -> bool:
    """Whether an end is a fitting or a drain of a locker."""
    names = (locker.name, locker.name.removeprefix("locker."), locker.base)
    return end.group in ("well", "drain") and end.where in names


def by_gravity(hose: HoseFound) -> Stretch:
    """A hose that water runs through by itself, with its way in and its way out."""
    stretch = hose.stretch()
    return replace(stretch, losses=stretch.losses + entrance_loss() + EXIT)


@dataclass(frozen=True, eq=False)
class _Wells:
    """Works out the wells of a boat."""

    boat: Boat
    laid: Sequence[HoseFound]
    lines: Sequence[Line]
    waters: Waters

    def well(self, locker: LockerPlan) -> WellFound:
        """One of them."""
        inside = inside_of(self.boat, locker)
        over = inside.rim if locker.overflow is None else locker.overflow
        into = [line for line in self.lines if is_of(line.sink, locker)]
        fills = [line for line in into if line.well != locker.name]
        known = [(a, b) for line in fills if (a := line.most) is not None and (b := line.least) is not None]
        sure = bool(fills) and len(known) == len(fills)
        inflow = sum(most.flow for most, _ in known) if sure else None
        carried = self._from("overflow", locker)
        return WellFound(
            locker.name,
            inside.volume(over),
            locker.overflow,
            inside.rim,
            inflow,
            sum(least.flow for _, least in known) if sure else None,
            sum(line.least.flow for line in into if line not in fills and line.least is not None),
            self._rise(inflow, carried, inside.rim - over) if carried and inflow else None,
            tuple(f.name for f in carried),
            tuple(self._drain(f, inside, over) for f in self._from("drain", locker)),
        )

    def _from(self, kind: str, locker: LockerPlan) -> list[HoseFound]:
        return [f for f in self.laid if f.plan.kind == kind and is_of(f.plan.start, locker)]

    def _rise(self, inflow: float, carried: Sequence[HoseFound], most: float) -> float:
        """The most that the water stands over the overflow in any case that is told of, mm."""
        return max(
            overflow_rise(inflow, [self._overflow(f, plane) for f in carried], most)
            for plane in self.waters.told.values()
        )

    def _overflow(self, hose: HoseFound, plane: Plane) -> Overflow:
        bore = hose.plan.start.bore or hose.plan.hose.inside
        return Overflow(bore, self._fall(hose, plane) - bore / 2.0, (by_gravity(hose),))

    def _fall(self, hose: HoseFound, plane: Plane) -> float:
        """From the start of a hose to its end, or to the water outside where that is higher, mm."""
        start, end = hole_of(self.boat, hose.plan.start), end_of(self.boat, hose.plan.end)
        height = float(plane.height(end))
        outside = hose.plan.end.group == "skin" and self.waters.known
        return float(plane.height(start)) - (max(height, 0.0) if outside else height)

    def _drain(self, hose: HoseFound, inside: Inside, high: float) -> DrainFound:
        start, end = hole_of(self.boat, hose.plan.start), end_of(self.boat, hose.plan.end)
        through = [by_gravity(hose)]
        ways = {ASHORE: emptying(inside.area, inside.floor, high, float(end[2]), through)}
        if self.waters.known:
            for case, plane in self.waters.told.items():
                outlet = float(start[2]) - self._fall(hose, plane)
                ways[case] = emptying(inside.area, inside.floor, high, outlet, through)
        return DrainFound(hose.name, ways, dict(_left(inside, ways)))


def _left(inside: Inside, ways: Mapping[str, Emptying]) -> Iterator[tuple[str, float]]:
    """The volume that stays, by case; a film on the floor is none."""
    for case, way in ways.items():
        yield case, inside.volume(way.left) if way.left - inside.floor > FILM else 0.0
