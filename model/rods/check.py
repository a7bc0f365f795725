"""What is asked of a boat's rod lockers, in one report."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from model.findings import Finding, Shown
from model.mesh import Mesh
from model.rods.longest import Lying, lies, longest, touched
from model.rods.names import Stowage, called
from model.rods.passing import Passing, passings
from model.rods.pieces import Piece, pieces
from model.rods.read import looked_for
from model.rods.rod import Pose, Rod
from model.rods.room import BOUND, Room, room_of
from model.rods.settings import ListedRod
from model.rods.stow import ROD, Stowed, rod_triangles, stow
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.boat import Boat

KIND = "rods"

NEARLY = 1e-3
"""A rod longer than what lies by no more than this, mm, lies."""


@dataclass(frozen=True, eq=False)
class RodPlace:
    """A locker that is marked for rods.

    Attributes:
        place: the locker, or the opening with the room below it.
        room: where rods may lie in it.
        listed: the rods that are to lie in it.
        rod: the one whose greatest length was looked for.
        lying: as long as it can be; None where no length lies there.
        stowed: the rods of the list, each as often as there are of it, where they lie at once.
        passings: the longest passed in through the open lid from each side; none where there is no opening.
        findings: what is wrong.
    """

    place: Stowage
    room: Room
    listed: tuple[ListedRod, ...]
    rod: Rod
    lying: Lying | None
    stowed: tuple[Stowed, ...]
    passings: tuple[Passing, ...]
    findings: tuple[Finding, ...]

    @property
    def passes(self) -> Passing | None:
        """The longest that is passed in from either side."""
        return max(self.passings, key=lambda passing: passing.length, default=None)

    @property
    def fit(self) -> int:
        """How many rods of the list lie in it at once, by the arrangement that was found."""
        return sum(stowed.pose is not None for stowed in self.stowed)


@dataclass(frozen=True, eq=False)
class RodReport:
    """Every locker of a boat that is marked for rods."""

    places: tuple[RodPlace, ...]
    units: str

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All that is wrong."""
        return tuple(finding for place in self.places for finding in place.findings)

    def summary(self) -> tuple[str, ...]:
        """A line for each locker: the longest rod that lies in it, and how many of the list."""
        return tuple(_line(place, self.units) for place in self.places)


def check_rods(boat: Boat) -> RodReport:
    """The rods of a boat."""
    if boat.rods is None:
        return RodReport((), boat.units)
    every = pieces(boat)
    places = tuple(
        rod_place(place, boat, every, boat.rods.in_locker(name))
        for name in boat.rods.lockers
        for place in called(boat.layout, name)
    )
    return RodReport(places, boat.units)


def rod_place(place: Stowage, boat: Boat, every: Sequence[Piece], listed: tuple[ListedRod, ...]) -> RodPlace:
    """What is found in one locker."""
    room, rod = room_of(place, boat, every), looked_for(listed)
    lying = longest(room, rod)
    ways = () if lying is None else passings(room, rod, lying, boat, every)
    findings: list[Finding] = []
    laid: list[Rod] = []
    for own in listed:
        found = _single(room, own, lying)
        if not found.lies:
            findings.append(_too_long(own, found, place, room, boat))
            continue
        laid += [own.rod] * own.count
        into = _into(own.rod, ways, rod, room, found, boat, every)
        if place.opening is not None and (into is None or into.length < own.rod.length - NEARLY):
            findings.append(_no_way_in(own, into, place, boat))
    stowed = stow(room, laid, [lying.pose] if lying else [])
    if any(own.pose is None for own in stowed):
        findings.append(_crowded(stowed, listed, place))
    if lying is None and not listed:
        findings.append(_no_rod(rod, place))
    return RodPlace(place, room, listed, rod, lying, tuple(stowed), ways, tuple(findings))


def _into(
    rod: Rod,
    ways: Sequence[Passing],
    looked: Rod,
    room: Room,
    found: _Single,
    boat: Boat,
    every: Sequence[Piece],
) -> Passing | None:
    """The way in for a rod: that of the thickest one where it is long enough, else its own."""
    best = max(ways, key=lambda way: way.length, default=None)
    long_enough = best is not None and best.length >= rod.length - NEARLY
    if long_enough or rod.butt > 0.98 * looked.butt or found.longest is None:
        return best
    return max(passings(room, rod, found.longest, boat, every), key=lambda way: way.length, default=best)


@dataclass(frozen=True, eq=False)
class _Single:
    """A rod of the list by itself: whether it lies, and the longest of its thickness that does."""

    lies: bool
    longest: Lying | None


def _single(room: Room, listed: ListedRod, lying: Lying | None) -> _Single:
    """Whether a rod of the list lies in the room, by the longest one where that settles it."""
    rod = listed.rod
    if lying is not None:
        if rod.within(lying.rod):
            return _Single(True, lying)
        if lies(room, rod, [lying.pose]) is not None:
            return _Single(True, lying)
    # from where the stoutest lies it only grows
    tried = (None if lying is None else longest(room, rod, [lying.pose]), longest(room, rod))
    own = max((own for own in tried if own), key=lambda own: own.length, default=None)
    return _Single(own is not None and own.length >= rod.length - NEARLY, own)


def _too_long(listed: ListedRod, found: _Single, place: Stowage, room: Room, boat: Boat) -> Finding:
    rod = listed.rod
    if found.longest is None:
        what = "does not lie in the second at any length: there is no room for its reel or its butt"
        return Finding(KIND, (f"{ROD}{rod.name}", place.name), what, "stow it elsewhere", None, listed.place)
    lying = found.longest
    short = rod.length - lying.length
    grown = _pose_of(lying.pose, rod)
    names, points = touched(room, rod, grown, 0.0)
    met = dict.fromkeys((*names, *lying.held_by))
    by = sorted(met, key=lambda name: (name == "hull", name.startswith(BOUND)))
    text = format_length(short, boat.units)
    met = dict.fromkeys((*names, *lying.held_by))
    by = sorted(met, key=lambda name: (name == "hull", name.startswith(BOUND)))
    movable = bool(by) and by[0] != "hull" and not by[0].startswith(BOUND)
    what = f"is {text} too long to lie in the second" + (", where the third stops it" if movable else "")
    cure = f"stow one of {format_length(lying.length, boat.units)} at most"
    cure += f", or move {by[0]}" if movable else ", or make the locker longer"
    where = points[0] if len(points) else lying.where
    pieces = (f"{ROD}{rod.name}", place.name, *(by[:1] if movable else ()))
    shown = (shown_rod(rod, grown),)
    return Finding(KIND, pieces, what, cure, where, listed.place, short, "mm", shown)


def _no_way_in(listed: ListedRod, into: Passing | None, place: Stowage, boat: Boat) -> Finding:
    rod = listed.rod
    name, lid = f"{ROD}{rod.name}", place.opening.name if place.opening else place.name
    if into is None:
        what = "cannot be passed into the second through its open lid at any length"
        cure = "make the opening larger, or take the rod down"
        return Finding(KIND, (name, place.name), what, cure, None, listed.place)
    short = rod.length - into.length
    by = [held for held in into.held_by if held != "hull" and not held.startswith(lid + "/lid")]
    text, most = (format_length(length, boat.units) for length in (short, into.length))
    stopped = ", where the third stops it" if by else ""
    what = f"lies in the second but is {text} too long to be passed in {into.side}{stopped}"
    cure = f"take it down to {most}, or make the opening longer"
    shown = (shown_rod(rod, into.pose),)
    pieces = (name, place.name, *by[:1])
    return Finding(KIND, pieces, what, cure, into.where, listed.place, short, "mm", shown)


def _pose_of(pose: Pose, rod: Rod) -> Pose:
    """The pose drawn out at both ends to a rod's own length."""
    return pose.shortened((rod.length - rod.ends) / pose.span)


def shown_rod(rod: Rod, pose: Pose) -> Shown:
    """A rod to be drawn."""
    corners = rod_triangles(rod, pose, 12).reshape(-1, 3)
    return Shown(f"{ROD}{rod.name}", Mesh(corners, np.arange(len(corners), dtype=np.int64).reshape(-1, 3)))


def _crowded(stowed: Sequence[Stowed], listed: Sequence[ListedRod], place: Stowage) -> Finding:
    left = [rod.rod.name for rod in stowed if rod.pose is None]
    laid = len(stowed) - len(left)
    names = tuple(f"{ROD}{name}" for name in dict.fromkeys(left))
    what = f"{laid} of {len(stowed)} rods were found to lie in it at once; left over: {_counted(left)}"
    cure = "stow some elsewhere, take their reels off, or make it larger"
    shown = tuple(shown_rod(own.rod, own.pose) for own in stowed if own.pose is not None)
    at = next(own.place for own in listed if own.rod.name == left[0])
    return Finding(KIND, (place.name, *names), what, cure, None, at, len(left), "rods", shown)


def _counted(names: Sequence[str]) -> str:
    return ", ".join(f"{names.count(name)} {name}" for name in dict.fromkeys(names))


def _no_rod(rod: Rod, place: Stowage) -> Finding:
    what = f"is marked for rods, but none with a butt of {rod.butt:.0f} mm and its reel lies in it"
    return Finding(KIND, (place.name,), what, "make it larger, or mark another")


def _line(place: RodPlace, units: str) -> str:
    name = place.place.told
    if place.lying is None:
        return f"rods in {name}: none lies there"
    length = format_length(place.lying.length, units)
    text = f"rods in {name}: the longest that lies there is {length}"
    if place.passes is not None:
        text += f", {format_length(place.passes.length, units)} is passed in {place.passes.side}"
    if place.stowed:
        text += f"; {place.fit} of {len(place.stowed)} listed lie there at once"
    return text
