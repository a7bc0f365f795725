"""In, out and reach: what is asked of a boat's removable things and of what needs a hand, in one report."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sized
from dataclasses import dataclass
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

from model.access.arm import Reach, reach_of
from model.access.crossing import gates
from model.access.obstacles import Surroundings
from model.access.service import service_points
from model.access.settings import AccessSettings
from model.access.ways_out import WayOut, ways_out
from model.access.words import reach_finding, way_finding
from model.clearance.bodies import Body, boat_bodies
from model.clearance.words import length_told
from model.findings import Finding
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.boat import Boat


@dataclass(frozen=True, eq=False)
class AccessReport:
    """What gets in and out of a boat, and what a hand gets at.

    Attributes:
        ways: how each removable fixture leaves, or that it does not.
        reaches: how each point that needs a hand is reached, or that it is not.
        findings: what cannot leave, then what cannot be reached.
        settings: what was asked.
        units: of lengths shown to people.
    """

    ways: tuple[WayOut, ...]
    reaches: tuple[Reach, ...]
    findings: tuple[Finding, ...]
    settings: AccessSettings
    units: str

    @property
    def buried(self) -> tuple[Reach, ...]:
        """The points that no hand gets at."""
        return tuple(reach for reach in self.reaches if reach.length is None)

    def summary(self) -> tuple[str, ...]:
        """What was looked at: ways out, each that is no straight lift, and reach."""
        return (*self._ways_told(), *self._reaches_told())

    def _ways_told(self) -> Iterator[str]:
        if not self.ways:
            return
        held = sum(out.held_by is not None for out in self.ways)
        kept = sum(out.way is None for out in self.ways) - held
        told = "each has a way out" if not kept + held else f"{kept} cannot leave" if kept else "none kept in"
        fast = f", {held} not tried, as something stands in it" if held else ""
        tight = [(out.tightest.gap, out) for out in self.ways if out.tightest is not None]
        gap = ""
        if tight:
            least, narrow = min(tight, key=lambda one: one[0])
            gap = f"; tightest {length_told(least, self.units)}, of {narrow.name} to {narrow.tight_to}"
        yield f"{_count(self.ways, 'removable thing')}: {told}{fast}{gap}"
        for out in self.ways:
            if out.way is not None and (len(out.way.motions) > 1 or out.after):
                by = f" by {', '.join(out.openings)}" if out.openings else ""
                after = f" after {', '.join(out.after)}" if out.after else ""
                yield f"{out.name} leaves{by}{after}: {', '.join(out.way.told(self.units))}"

    def _reaches_told(self) -> Iterator[str]:
        if not self.reaches:
            return
        told = f"{len(self.buried)} out of reach" if self.buried else "each within reach"
        lengths = [(reach.length, reach) for reach in self.reaches if reach.length]
        arm = ""
        if lengths:
            longest, far = max(lengths, key=lambda one: one[0])
            by = f" by {far.opening}" if far.opening else ""
            arm = f"; longest arm {format_length(longest, self.units)}, to {far.point.name}{by}"
        yield f"{_count(self.reaches, 'point')} of service: {told}{arm}"
        for reach in self.reaches:
            if reach.after:
                yield f"{reach.point.name} is reached after {', '.join(reach.after)} is out"


def _count(things: Sized, word: str) -> str:
    return f"{len(things)} {word}{'' if len(things) == 1 else 's'}"


_KEPT: WeakKeyDictionary[Boat, AccessReport] = WeakKeyDictionary()
"""The last report of the boats that are still in use: foam asks for the same ways."""


def kept_access(boat: Boat, settings: AccessSettings | None = None) -> AccessReport:
    """As `check_access`, made once for a boat as long as the same is asked of it.

    Without settings, any report that is known will do.
    """
    known = _KEPT.get(boat)
    if known is None or (settings is not None and known.settings != settings):
        known = _KEPT[boat] = check_access(boat, settings)
    return known


def check_access(
    boat: Boat,
    settings: AccessSettings | None = None,
    bodies: Iterable[Body] | None = None,
) -> AccessReport:
    """Ways out and reach of a boat.

    Args:
        boat: the boat.
        settings: what the shop asks; the usual unless given.
        bodies: all pieces of the boat where they are at hand.
    """
    wanted = settings or AccessSettings()
    points = service_points(boat)
    loose = [plan.name for plan in boat.layout.fixtures if plan.removable]
    if not points and not loose:
        return AccessReport((), (), (), wanted, boat.units)
    around = Surroundings.of(boat, boat_bodies(boat) if bodies is None else bodies)
    ways = tuple(ways_out(boat, around, wanted))
    free = [way.name for way in ways if way.way is not None]
    openings, decks = tuple(gates(boat)), tuple(boat.layout.decks.values())
    reaches = tuple(reach_of(point, around, openings, decks, wanted, free) for point in points)
    # what stands in a thing at rest is a clash, which is told elsewhere
    kept = [way_finding(way, boat) for way in ways if way.way is None and way.held_by is None]
    buried = [reach_finding(reach, boat, wanted) for reach in reaches if reach.length is None]
    return AccessReport(ways, reaches, (*kept, *buried), wanted, boat.units)
