"""The room under a deck in level slabs: what of a slab is free, and what can be lowered into it from above.

A slab lies between two heights. What stands in it is cut off at both and seen from above, so that a block
with upright sides that keeps clear of that shadow is clear of the thing itself, exactly.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import manifold3d
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from model.clearance.bodies import Body, boat_bodies
from model.clearance.kinds import ROOM
from model.foam.hands import kept_for_hands
from model.foam.kept_free import kept_free
from model.geometry import Array, Frame
from model.layout.hull_area import hull_area
from model.shadow import Thing, shadow, shape_of
from model.ways.bodies import bodies
from model.ways.laid import laid_runs
from parts.fittings import Tank

if TYPE_CHECKING:
    from model.boat import Boat
    from model.clearance.solid import Solid
    from model.foam.settings import FoamSettings
    from model.layout.records import DeckPlan

FULL = 0.9
"""A slab that fills so much of what is inside the hull there is not parted further."""
THINNER = 1.16
"""A thinner board is taken where it has so many times the area."""

_NOTHING = shapely.Polygon()


@dataclass(frozen=True, eq=False)
class Slab:
    """A level slab of a deck's room.

    Attributes:
        low, high: heights, mm.
        free: where a block may lie, in plan, gaps taken off.
        open: of it what can be lowered in from above, before the deck's sheet is on.
        under: free as above, and what lies under openings besides.
        lids: of the openings by name, what can be lowered in through each.
    """

    low: float
    high: float
    free: BaseGeometry
    open: BaseGeometry
    under: BaseGeometry
    lids: dict[str, BaseGeometry] = field(default_factory=dict)


class DeckRoom:
    """What lies under one deck and may be filled with blocks.

    Attributes:
        deck: the deck.
        roof: height of the underside of its sheet, where it is lowest, mm.
        floor: lowest height at which a block may lie, mm.
        fuel: fuel tanks that stand there.
    """

    def __init__(
        self, boat: Boat, deck: DeckPlan, settings: FoamSettings, hands: Iterable[Thing] = ()
    ) -> None:
        """Gathers what stands under the deck."""
        self.boat, self.deck, self.settings = boat, deck, settings
        area = deck.plan_area()
        x0, y0, x1, y1 = area.bounds
        self.roof = min(deck.height_at(x0), deck.height_at(x1)) - deck.sheet.thickness
        xs, ys = np.meshgrid(np.linspace(x0, x1, 60), np.linspace(y0, y1, 40))
        bottom = boat.hull.bottom(xs.ravel(), ys.ravel())
        sound = bottom[np.isfinite(bottom)]
        self.floor = (float(sound.min()) if len(sound) else self.roof) + settings.bilge
        self.area = area
        self.kept = kept_free(boat, deck, settings)
        box = np.array([[x0, y0, self.floor], [x1, y1, self.roof]])
        self.things = tuple(_things(boat, deck, box, settings))
        runs = _near(bodies(laid_runs(boat)), box, lambda _: settings.gap)
        self.open = (*runs, *(thing for thing in hands if _comes_into(thing.solid, box, thing.gap)))
        tanks = fuel_tanks(boat)
        self.fuel = tuple(dict.fromkeys(thing.name for thing in self.things if thing.name in tanks))

    def slabs(self) -> list[Slab]:
        """Slabs from the roof down, each as thick as a board, the thickest that wastes little."""
        found: list[Slab] = []
        above = manifold3d.CrossSection()
        top = self.roof - self.settings.gap
        while True:
            slab, above_next = self._next(top, above)
            if slab is None:
                return found
            if slab.free.area > 0.0:
                found.append(slab)
            above, top = above_next, slab.low

    def _next(
        self, top: float, above: manifold3d.CrossSection
    ) -> tuple[Slab | None, manifold3d.CrossSection]:
        """The slab below `top`: of a thinner board where that holds clearly more of its thickness.

        Of a slab of two thin boards the lower has at least the area of the thick one, so that two thin ones
        hold more by at least half of what the upper has more.
        """
        best: tuple[Slab, manifold3d.CrossSection] | None = None
        for board in self.settings.boards:
            low = top - board.thickness
            if low < self.floor:
                continue
            if best is not None and best[0].free.area > FULL * self._inside(low, top).area:
                break
            tried = self.slab(low, top, above)
            if best is None or tried[0].free.area > THINNER * best[0].free.area:
                best = tried
        return (None, above) if best is None else best

    def slab(
        self, low: float, high: float, above: manifold3d.CrossSection
    ) -> tuple[Slab, manifold3d.CrossSection]:
        """One slab; `above` is the shadow of what stands between it and the roof.

        Returns:
            the slab, and the shadow of what stands in it or above.
        """
        inside = self._inside(low, high)
        if inside.is_empty:
            return Slab(low, high, _NOTHING, _NOTHING, _NOTHING), above
        own = shadow(self.things, low, high)
        # wires, hoses and hands are not in the way while a block is lowered, but where it lies
        opened = shape_of(shadow(self.open, low, high))
        both = manifold3d.CrossSection.batch_boolean([own, above], manifold3d.OpType.Add)
        standing, covered = shape_of(own), shape_of(both)
        kept = shapely.union_all(
            [k.area for k in self.kept if k.low < high and k.high > low and not k.opening]
        )
        lids = shapely.union_all([k.area for k in self.kept if k.opening])
        under = inside.difference(shapely.union_all([standing, kept]))
        free = under.difference(shapely.union_all([lids, opened]))
        through = {
            k.opening: k.clear.intersection(under).difference(covered)
            for k in self.kept
            if k.opening and k.passes
        }
        return Slab(low, high, free, free.difference(covered), under, through), both

    def _inside(self, low: float, high: float) -> BaseGeometry:
        """Under the deck and inside the hull all through a slab, water's way above the skin taken off."""
        hull, gap = self.boat.hull, self.settings.gap
        levels = (low - self.settings.bilge, low, high)
        found: BaseGeometry = self.area
        for level in levels:
            found = found.intersection(hull_area(hull, Frame.level(level), 0.0, gap))
        return found


def deck_rooms(boat: Boat, settings: FoamSettings) -> list[DeckRoom]:
    """The room under every deck that is not left out and is level."""
    decks = [deck for deck in boat.layout.decks.values() if deck.name.startswith("deck.")]
    wanted = [deck for deck in decks if deck.name.removeprefix("deck.") not in settings.leave]
    wanted = [deck for deck in wanted if deck.base not in settings.leave]
    hands = tuple(kept_for_hands(boat, settings.arm)) if wanted else ()
    return [DeckRoom(boat, deck, settings, hands) for deck in wanted]


def fuel_tanks(boat: Boat) -> set[str]:
    """Names of the tanks that hold fuel."""
    return {f.name for f in boat.fixtures if isinstance(f.part, Tank) and f.part.contents == "fuel"}


def _things(boat: Boat, deck: DeckPlan, box: Array, settings: FoamSettings) -> Iterable[Thing]:
    """Solids that come into the room: all but the skin, the deck's own sheet and what lies on it."""
    fuel = fuel_tanks(boat)

    def gap(body: Body) -> float:
        return settings.fuel_gap if body.name.removesuffix(f"/{ROOM}") in fuel else settings.gap

    def counts(body: Body) -> bool:
        owner = body.name.removesuffix(f"/{ROOM}")
        own_lid = owner.startswith(f"{deck.name}/") and owner.endswith("/lid")  # open or away then
        return not (body.kind == "hull" or own_lid or body.name.startswith(f"{deck.name}/sheet"))

    return _near((body for body in boat_bodies(boat) if counts(body)), box, gap)


def _near(every: Iterable[Body], box: Array, gap: Callable[[Body], float]) -> Iterable[Thing]:
    """The solids that come into a box, with the gap that is kept round each."""
    for body in every:
        wide = gap(body)
        for solid in body.solids:
            if _comes_into(solid, box, wide):
                yield Thing(body.name, solid, wide)


def _comes_into(solid: Solid, box: Array, gap: float) -> bool:
    return bool((solid.box[0] < box[1] + gap).all() and (solid.box[1] > box[0] - gap).all())
