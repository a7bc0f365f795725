"""The lids of a boat with how each is hung, what rides on it, and the motion that opens it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from model.clearance.motion import Motion, Slide, Turn
from model.geometry import Array
from model.layout.lid_way import NONE, SIDES, hinge_line
from model.layout.records import DeckPlan, LidPlan, Opening

if TYPE_CHECKING:
    from model.boat import Boat
    from model.panelling.fixtures import Fixture

LIFTED = 300.0
"""How far a lid without a hinge is lifted clear, mm (common practice: to where it can be turned on edge)."""

RIDES = 1.5
"""What stands within this of a lid's top, mm, and over its outline, rides on it."""


@dataclass(frozen=True, eq=False)
class HungLid:
    """A lid that can be opened.

    Attributes:
        name: of the lid: `deck.front/hatch/lid`.
        opening, deck: what it closes, and in which deck.
        fixture: its solids where it lies closed.
        riders: what is fixed on it and goes along.
        hinge: the side it is hinged on, or `none` where it slides or lifts out.
        edge: the two ends of the hinge line in the boat `(2, 3)`; None without a hinge or an edge to take it.
        slide: the side it slides to, or `none`.
    """

    name: str
    opening: Opening
    deck: DeckPlan
    fixture: Fixture
    riders: tuple[Fixture, ...]
    hinge: str
    edge: Array | None
    slide: str = NONE

    @property
    def plan(self) -> LidPlan:
        """The lid as laid out."""
        assert self.opening.lid is not None
        return self.opening.lid

    @property
    def lifts_out(self) -> bool:
        """Whether it has no hinge and does not slide."""
        return self.hinge == NONE and self.slide == NONE

    def motion(self) -> Motion | None:
        """How it opens; None where the edge it is said to be hinged on is not there."""
        if self.slide != NONE:
            u, v = SIDES[self.slide]
            return Slide(u * self.deck.frame.x + v * self.deck.frame.y, self.plan.way.travel)
        if self.hinge == NONE:
            return Slide(self.deck.frame.z, LIFTED)
        if self.edge is None:
            return None
        along = self.edge[1] - self.edge[0]
        axis = along / np.sqrt(along @ along)
        out = self.fixture.centre - self.edge[0]
        rises = float(np.cross(axis, out) @ self.deck.frame.z) > 0.0
        return Turn(self.edge[0], axis if rises else -axis, self.plan.opens)

    def hinged_on(self, side: str) -> HungLid:
        """The same lid hung on another side."""
        return replace(self, hinge=side, edge=hinge_edge(self.deck, self.plan, side), slide=NONE)

    def slid_to(self, side: str) -> HungLid:
        """The same lid slid to another side, as far."""
        return replace(self, hinge=NONE, edge=None, slide=side)

    def lifted_out(self) -> HungLid:
        """The same lid lifted out."""
        return replace(self, hinge=NONE, edge=None, slide=NONE)

    def past_hinge(self, rider: Fixture) -> float:
        """How far something on the lid reaches past the hinge line, mm; 0 where it does not."""
        if self.edge is None:
            return 0.0
        along = self.edge[1] - self.edge[0]
        out = np.cross(along, self.deck.frame.z)
        out = out / np.sqrt(out @ out)
        out = out if float((self.fixture.centre - self.edge[0]) @ out) < 0.0 else -out
        reach = max(float((prism.mesh().vertices @ out).max()) for prism in rider.prisms)
        return max(0.0, reach - float(self.edge[0] @ out))

    @property
    def mass(self) -> float:
        """Mass of the lid and what rides on it, kg."""
        return self.fixture.mass + sum(rider.mass for rider in self.riders)

    @property
    def centre(self) -> Array:
        """Centre of mass of the lid and what rides on it, closed, `(3,) float`."""
        all_of_it = (self.fixture, *self.riders)
        found: Array = sum((f.mass * f.centre for f in all_of_it), np.zeros(3)) / self.mass
        return found


def hung_lids(boat: Boat) -> list[HungLid]:
    """Every lid of a boat, deck by deck."""
    fixtures = {fixture.name: fixture for fixture in boat.fixtures}
    return [
        HungLid(
            name=f"{opening.name}/lid",
            opening=opening,
            deck=deck,
            fixture=fixtures[f"{opening.name}/lid"],
            riders=tuple(_riders(boat, deck, lid)),
            hinge=lid.hinge,
            edge=None if lid.hinge == NONE else hinge_edge(deck, lid, lid.hinge),
            slide=lid.way.slide,
        )
        for deck, opening, lid in _lids(boat)
    ]


def _lids(boat: Boat) -> Iterator[tuple[DeckPlan, Opening, LidPlan]]:
    for deck in boat.layout.decks.values():
        for opening in deck.openings:
            if opening.lid is not None:
                yield deck, opening, opening.lid


def _riders(boat: Boat, deck: DeckPlan, lid: LidPlan) -> Iterator[Fixture]:
    """Fixtures that stand on a lid."""
    import shapely

    cover = lid.outline.to_shapely()
    placed = {plan.name for plan in boat.layout.fixtures}
    for fixture in boat.fixtures:
        local = deck.frame.to_frame(fixture.frame.origin)
        on_top = abs(float(local[2]) - lid.top) < RIDES
        if fixture.name in placed and on_top and shapely.contains_xy(cover, local[0], local[1]):
            yield fixture


def hinge_edge(deck: DeckPlan, lid: LidPlan, side: str) -> Array | None:
    """The two ends of the hinge line on one side of a lid, in the boat `(2, 3)`; None if it has no such edge.

    The line runs along the longest straight edge that looks to that side, at the lid's upper face, where the
    knuckle of a strap or piano hinge lies (common practice).
    """
    line = hinge_line(lid.outline, side)
    if line is None:
        return None
    return deck.frame.to_boat(np.column_stack([line, np.full(2, lid.top)]))
