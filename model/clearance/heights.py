"""Heights that a body meets: gunwale over the deck, steps, seats, knees, and height inside lockers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely.ops import nearest_points

from model.clearance.bodies import Body
from model.clearance.height_limits import HeightLimits
from model.clearance.kinds import ROOM
from model.clearance.motion import Slide
from model.clearance.solid import Solid
from model.clearance.sweep import first_touch
from model.findings import Finding
from model.geometry import Array, Frame
from model.layout.records import DeckPlan
from model.prism import Prism
from model.survey import SIDES
from parts.lengths import format_length
from parts.outline import Loop

if TYPE_CHECKING:
    from model.boat import Boat
    from model.layout.records import Layout
    from model.panelling.fixtures import Fixture

BESIDE = 60.0
"""Decks no further apart in plan than this, mm, are a step from each other."""

KNEES = (60.0, 160.0)
"""How far below the top of a cushion knees and shins are, mm (common practice)."""

KNEE_REACH = 1500.0
"""Room ahead of a seat is looked for no further than this, mm."""

AHEAD = 200.0
"""Feet stand this far ahead of a cushion, mm."""


@dataclass(frozen=True, eq=False)
class HeightFound:
    """One height or distance measured.

    Attributes:
        kind: gunwale, step, seat, knees or locker.
        pieces: what it is measured between.
        value: mm; inf where nothing bounds it.
        least, greatest: the limits it is held to, where there are any.
        where: `(3,) float`.
    """

    kind: str
    pieces: tuple[str, ...]
    value: float
    least: float | None
    greatest: float | None
    where: Array

    @property
    def short(self) -> float:
        """How far it is outside its limits, mm; 0 within them."""
        low = 0.0 if self.least is None else self.least - self.value
        high = 0.0 if self.greatest is None else self.value - self.greatest
        return max(low, high) if self.wrong else 0.0

    @property
    def wrong(self) -> bool:
        """Whether it is outside its limits."""
        low = self.least is not None and self.value < self.least - 0.05
        return low or (self.greatest is not None and self.value > self.greatest + 0.05)


WORDS = {
    "gunwale": "gunwale over the deck",
    "step": "step up",
    "seat": "cushion over the floor",
    "knees": "room for knees",
    "locker": "height inside",
}


def heights(boat: Boat, limits: HeightLimits | None = None, bodies: Sequence[Body] = ()) -> list[HeightFound]:
    """All heights that a body meets in a boat, deck by deck.

    Args:
        boat: the boat.
        limits: what they are held to.
        bodies: its pieces, in whose way knees may be; without them no knees are measured.
    """
    asked = limits or HeightLimits()
    decks = [deck for deck in boat.layout.decks.values() if deck.name.startswith("deck.")]
    found = [_gunwale(boat, deck, asked) for deck in decks]
    found += _steps(decks, asked)
    for fixture in boat.fixtures:
        if fixture.kind == "seat":
            found += _seat(fixture, decks, boat.layout, asked, bodies)
    return found + list(_lockers(boat.layout, asked))


def height_findings(found: Sequence[HeightFound], boat: Boat) -> list[Finding]:
    """The heights that are outside their limits, in words."""
    return [_finding(one, boat) for one in found if one.wrong]


def _finding(one: HeightFound, boat: Boat) -> Finding:
    value = format_length(one.value, boat.units)
    low = one.least is not None and one.value < one.least
    bound = one.least if low else one.greatest
    assert bound is not None
    word = "least" if low else "most"
    what = f"{WORDS[one.kind]} {value}; {format_length(bound, boat.units)} is the {word} asked"
    by = format_length(one.short, boat.units)
    cure = f"make it {by} {'more' if low else 'less'}, or change the limit"
    return Finding("height", one.pieces, what, cure, one.where, boat.place(one.pieces[0]), one.short)


def _gunwale(boat: Boat, deck: DeckPlan, limits: HeightLimits) -> HeightFound:
    """The least height of either gunwale over a deck along it."""
    area = deck.plan_area()
    x = np.linspace(area.bounds[0], area.bounds[2], 41)
    x = np.clip(x, *boat.hull.span)
    top = boat.hull.lines[-1]
    deck_z = np.array([deck.height_at(float(at)) for at in x])
    lines = [boat.hull.line(top, x, side) for side in SIDES]
    rises = np.stack([line[:, 2] - deck_z for line in lines])
    side, k = np.unravel_index(int(rises.argmin()), rises.shape)
    return HeightFound(
        "gunwale", (deck.name,), float(rises[side, k]), limits.gunwale, None, lines[int(side)][k]
    )


def _steps(decks: Sequence[DeckPlan], limits: HeightLimits) -> Iterator[HeightFound]:
    """For each deck the least rise onto it from a lower one beside it."""
    areas = [deck.plan_area() for deck in decks]
    for own, area in zip(decks, areas, strict=True):
        rises = []
        for other, beside in zip(decks, areas, strict=True):
            if other is own or area.distance(beside) > BESIDE:
                continue
            at = np.array(nearest_points(area, beside)[0].coords[0])
            rise = own.height_at(float(at[0])) - other.height_at(float(at[0]))
            if rise > 1.0:
                rises.append((rise, other.name, np.append(at, own.height_at(float(at[0])))))
        if rises:
            rise, name, where = min(rises, key=lambda r: r[0])
            yield HeightFound("step", (own.name, name), float(rise), None, limits.step, where)


def _seat(
    seat: Fixture, decks: Sequence[DeckPlan], layout: Layout, limits: HeightLimits, bodies: Sequence[Body]
) -> Iterator[HeightFound]:
    """The cushion's height over the floor before it, and how far ahead of it the first thing stands."""
    cushion = seat.prisms[0]
    _, _, x1, _ = cushion.outline.bounds
    front = cushion.frame.to_boat(np.array([x1, 0.0, cushion.z1]))
    feet = front + AHEAD * cushion.frame.x
    under = [d for d in decks if shapely.contains_xy(d.plan_area(), feet[0], feet[1])]
    under = [d for d in under if d.height_at(float(feet[0])) < front[2]]
    if under:
        floor = max(under, key=lambda d: d.height_at(float(feet[0])))
        value = float(front[2]) - floor.height_at(float(feet[0]))
        yield HeightFound("seat", (seat.name, floor.name), value, limits.seat_low, limits.seat_high, front)
    if bodies:
        yield _knees(seat, cushion, layout, limits, bodies)


def _knees(
    seat: Fixture, cushion: Prism, layout: Layout, limits: HeightLimits, bodies: Sequence[Body]
) -> HeightFound:
    """A slab as wide as the cushion is pushed ahead from its front until it meets something."""
    _, y0, x1, y1 = cushion.outline.bounds
    slab = Loop.rectangle(2.0, 0.7 * (y1 - y0), centre=(x1 + 2.0, (y0 + y1) / 2.0))
    frame = Frame(cushion.frame.origin, cushion.frame.x, cushion.frame.y, cushion.frame.z)
    low, high = cushion.z1 - KNEES[1], cushion.z1 - KNEES[0]
    own = {seat.name, *_stood_on(seat, layout)}
    still = [
        (b.name, s)
        for b in bodies
        if b.kind != ROOM and b.name.partition("/")[0] not in own
        for s in b.solids
    ]
    moving = [Solid.of_mesh(Prism(frame, slab, (), low, high).mesh())]
    met = first_touch(moving, [solid for _, solid in still], Slide(cushion.frame.x, KNEE_REACH))
    start = cushion.frame.to_boat(np.array([x1, 0.0, cushion.z1 - KNEES[0]]))
    if met is None:
        return HeightFound("knees", (seat.name,), float("inf"), limits.knees, None, start)
    pieces = (seat.name, still[met.solid][0])
    return HeightFound("knees", pieces, met.at + 3.0, limits.knees, None, met.where)


def _stood_on(seat: Fixture, layout: Layout) -> Iterator[str]:
    """Groups that a seat stands on: a seat box under it."""
    at = seat.frame.origin
    for name, deck in layout.decks.items():
        if name.startswith("seat.") and shapely.contains_xy(deck.plan_area(), at[0], at[1]):
            yield name


def _lockers(layout: Layout, limits: HeightLimits) -> Iterator[HeightFound]:
    """Clear height inside each locker with a floor, its insulation taken off."""
    for name, locker in layout.lockers.items():
        if locker.floor is not None:
            value = locker.top - locker.floor - locker.insulation
            where = np.array([*locker.area.centroid.coords[0], locker.floor])
            yield HeightFound("locker", (name,), value, limits.locker, None, where)
