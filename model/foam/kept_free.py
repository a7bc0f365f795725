"""What is kept free of foam under a deck although nothing stands there: lockers, stowage, water's way."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from model.rods.names import called

if TYPE_CHECKING:
    from model.boat import Boat
    from model.foam.settings import FoamSettings
    from model.layout.records import DeckPlan

ALL = (-math.inf, math.inf)


@dataclass(frozen=True, eq=False)
class Kept:
    """An area in plan that no block may enter between two heights.

    Attributes:
        area: in plan.
        low, high: mm.
        opening: name of the opening that it lies under; empty for others.
        clear: of an opening, what passes through it.
        passes: whether something can be passed through that opening into the room.
    """

    area: BaseGeometry
    low: float = -math.inf
    high: float = math.inf
    opening: str = ""
    clear: BaseGeometry = field(default_factory=Polygon)
    passes: bool = False


def kept_free(boat: Boat, deck: DeckPlan, settings: FoamSettings) -> tuple[Kept, ...]:
    """All that is kept free under a deck."""
    return (
        *_openings(boat, deck, settings),
        *_lockers(boat, settings),
        *_lower_decks(boat, deck),
        *_channel(boat, deck, settings),
        *_rods(boat, deck),
    )


def _openings(boat: Boat, deck: DeckPlan, settings: FoamSettings) -> Iterator[Kept]:
    """What lies under an opening and its lid is stowage."""
    filled = {locker.opening for locker in boat.layout.lockers.values() if locker.opening}
    hanging = {locker.opening for locker in boat.layout.lockers.values() if locker.hangs_in_opening}
    for opening in deck.openings:
        lid = [] if opening.lid is None else [opening.lid.outline.to_shapely()]
        area = deck.in_plan(shapely.union_all([opening.polygon, *lid]))
        clear = deck.in_plan(opening.polygon).buffer(-settings.gap)
        names = {f"{deck.base}.{opening.base}", f"{deck.base}.{opening.name.rpartition('/')[2]}"}
        filled_up = any(plan.on in names and plan.kind == "tray" for plan in boat.layout.fixtures)
        if filled_up or opening.name in hanging:
            continue  # what closes it stands in the way itself, and nothing is stowed below
        passes = opening.name not in filled
        yield Kept(area.buffer(settings.gap), *ALL, opening.name, clear, passes)


def _lockers(boat: Boat, settings: FoamSettings) -> Iterator[Kept]:
    for locker in boat.layout.lockers.values():
        thick = locker.sheet.thickness + settings.gap
        low = -math.inf if locker.floor is None else locker.floor - thick
        yield Kept(locker.area.buffer(thick, join_style="mitre"), low, locker.top)


def _lower_decks(boat: Boat, deck: DeckPlan) -> Iterator[Kept]:
    """Below the top of a lower deck the room is that deck's, or that of the console or box on it."""
    for other in boat.layout.decks.values():
        if other is deck:
            continue
        x0, _, x1, _ = other.plan_area().bounds
        high = max(other.height_at(x0), other.height_at(x1))
        if high < deck.height_at(x0) - 1.0 or not other.name.startswith("deck."):
            yield Kept(other.plan_area(), -math.inf, high)


def _channel(boat: Boat, deck: DeckPlan, settings: FoamSettings) -> Iterator[Kept]:
    """Along the keel, up to a height above its highest point under the deck where water is to run."""
    width, height = settings.channel
    x0, _, x1, _ = deck.plan_area().bounds
    lowest = boat.hull.lines[0]
    step = 250.0
    at = x0
    while at < x1:
        end = min(at + step, x1)
        z = [float(p[2]) for p in boat.hull.line(lowest, [at, end]) if math.isfinite(float(p[2]))]
        if z:
            yield Kept(shapely.box(at, -width / 2.0, end, width / 2.0), -math.inf, max(z) + height)
        at = end


def _rods(boat: Boat, deck: DeckPlan) -> Iterator[Kept]:
    """A deck under whose opening rods lie has no foam where they may lie: under all of it."""
    names = () if boat.rods is None else boat.rods.lockers
    for place in (place for name in names for place in called(boat.layout, name)):
        if place.locker is None and place.deck is deck:
            yield Kept(deck.plan_area().buffer(1.0))
