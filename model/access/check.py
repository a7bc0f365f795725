"""In, out and reach: what is asked of a boat's removable things and of what needs a hand, in one report."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from model.access.arm import Reach, reach_of
from model.access.crossing import gates
from model.access.obstacles import Surroundings
from model.access.service import service_points
from model.access.settings import AccessSettings
from model.access.ways_out import WayOut, ways_out
from model.access.words import reach_finding, way_finding
from model.clearance.bodies import Body, boat_bodies
from model.findings import Finding

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
    """

    ways: tuple[WayOut, ...]
    reaches: tuple[Reach, ...]
    findings: tuple[Finding, ...]
    settings: AccessSettings

    @property
    def buried(self) -> tuple[Reach, ...]:
        """The points that no hand gets at."""
        return tuple(reach for reach in self.reaches if reach.length is None)

    def summary(self) -> tuple[str, ...]:
        """What was looked at, a line each for ways out and for reach."""
        held = sum(way.held_by is not None for way in self.ways)
        kept = sum(way.way is None for way in self.ways) - held
        told = []
        if self.ways:
            turned = sum(way.way is not None and len(way.way.motions) > 1 for way in self.ways)
            how = f", {turned} by more than a straight lift" if turned else ""
            out = (
                "each has a way out"
                if not kept + held
                else f"{kept} cannot leave"
                if kept
                else "none kept in"
            )
            fast = f", {held} not tried, as something stands in it" if held else ""
            told.append(f"{_count(self.ways, 'removable thing')}: {out}{how}{fast}")
        if self.reaches:
            far = max((reach.length or 0.0 for reach in self.reaches), default=0.0)
            buried = f"{len(self.buried)} out of reach" if self.buried else "each within reach"
            told.append(f"{_count(self.reaches, 'point')} of service: {buried}, the longest arm {far:.0f} mm")
        return tuple(told)


def _count(things: tuple[object, ...], word: str) -> str:
    return f"{len(things)} {word}{'' if len(things) == 1 else 's'}"


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
        return AccessReport((), (), (), wanted)
    around = Surroundings.of(boat, boat_bodies(boat) if bodies is None else bodies)
    ways = tuple(ways_out(boat, around, wanted))
    free = [way.name for way in ways if way.way is not None]
    openings, decks = tuple(gates(boat)), tuple(boat.layout.decks.values())
    reaches = tuple(reach_of(point, around, openings, decks, wanted, free) for point in points)
    # what stands in a thing at rest is a clash, which is told elsewhere
    kept = [way_finding(way, boat) for way in ways if way.way is None and way.held_by is None]
    buried = [reach_finding(reach, boat, wanted) for reach in reaches if reach.length is None]
    return AccessReport(ways, reaches, (*kept, *buried), wanted)
