"""Lids in their openings and fittings at their places, as solids with mass."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from model.flat_arcs import polygon_loops
from model.geometry import Array, Frame
from model.layout.records import DeckPlan, FixturePlan, Layout, LidPlan, Opening
from model.prism import Prism
from parts.fittings import Fitting
from parts.shape import Block


@dataclass(frozen=True, eq=False)
class Fixture:
    """Something set into the boat: a lid or a fitting.

    Attributes:
        name: `deck.front/hatch/lid`, `fixture.battery`.
        kind: lid, seat, tank, battery ...
        part: of the catalogue; None for a lid made to order.
        frame: where it sits.
        prisms: its solids in the boat.
        mass: kg.
        order: for a lid made to order, its sizes by name, mm.
    """

    name: str
    kind: str
    part: Fitting | None
    frame: Frame
    prisms: tuple[Prism, ...]
    mass: float
    order: dict[str, float]

    @property
    def volume(self) -> float:
        """Volume of its solids, mm3."""
        return sum(prism.volume for prism in self.prisms)

    @property
    def centre(self) -> Array:
        """Centre of its solids as if of one density, `(3,) float`, mm."""
        weighed = sum((p.volume * p.centre for p in self.prisms), np.zeros(3))
        found: Array = weighed / self.volume
        return found


def fixtures(layout: Layout) -> list[Fixture]:
    """All lids, deck by deck, then the fixtures of the file."""
    lids = [
        _lid(deck, opening, opening.lid)
        for deck in layout.decks.values()
        for opening in deck.openings
        if opening.lid
    ]
    return lids + [_fitting(plan) for plan in layout.fixtures]


def _fitting(plan: FixturePlan) -> Fixture:
    prisms = tuple(Prism.of_block(plan.frame, block) for block in plan.part.blocks)
    return Fixture(plan.name, plan.kind, plan.part, plan.frame, prisms, plan.part.mass, {})


def _lid(deck: DeckPlan, opening: Opening, lid: LidPlan) -> Fixture:
    name = f"{opening.name}/lid"
    if lid.lid is not None:
        u0, v0, u1, v1 = opening.outline.bounds
        frame = deck.frame.moved(dx=(u0 + u1) / 2, dy=(v0 + v1) / 2).turned(lid.turn)
        prisms = tuple(Prism.of_block(frame, block) for block in lid.lid.blocks)
        return Fixture(name, "lid", lid.lid, frame, prisms, lid.lid.mass, {})
    assert lid.sheet is not None
    blocks = _custom_blocks(opening, lid, lid.sheet.thickness)
    prisms = tuple(Prism.of_block(deck.frame, block) for block in blocks)
    mass = lid.mass or sum(p.volume for p in prisms) * lid.sheet.alloy.density * 1e-9
    u0, v0, u1, v1 = lid.outline.turned(-lid.turn).bounds
    cut = opening.outline.turned(-lid.turn).bounds
    order = {
        "length": u1 - u0,
        "width": v1 - v0,
        "cutout_length": cut[2] - cut[0],
        "cutout_width": cut[3] - cut[1],
        "thickness": lid.sheet.thickness,
        "flange": lid.flange,
        "clearance": lid.clearance,
        "depth": max(0.0, -lid.bottom),
    }
    return Fixture(name, "lid", None, deck.frame, prisms, mass, order)


def _custom_blocks(opening: Opening, lid: LidPlan, thickness: float) -> list[Block]:
    """The plate of a lid, and the skirt below it where it is to reach down."""
    plate = Block(lid.outline, (), lid.top - thickness, lid.top)
    if -lid.bottom <= thickness - lid.top + 1e-6:
        return [plate]
    cutout = opening.outline.to_shapely()
    outer = cutout.buffer(-lid.clearance, join_style="mitre")
    inner = outer.buffer(-thickness, join_style="mitre")
    outer_loop, inner_loop = polygon_loops(outer)[0], polygon_loops(inner)[0]
    return [plate, Block(outer_loop, (inner_loop,), lid.bottom, lid.top - thickness)]
