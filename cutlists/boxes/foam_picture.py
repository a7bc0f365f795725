"""Where each block goes: one drawing for each layer under a deck, from above, with the frame over it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import shapely
from shapely.geometry.base import BaseGeometry

from cutlists.drawing.drawing import LETTER, Drawing, Pen
from cutlists.drawing.onto import Onto
from model.clearance.bodies import boat_bodies
from model.foam.plan import FoamPlan
from model.geometry import Array
from model.shadow import Thing, shadow, shape_of
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.boat import Boat
    from model.foam.block import FoamBlock

LOWERED, SLID, FRAME = "#e6efe1", "#c9b98f", "#5b6d75"
SIZE = (186.0, 120.0)
"""Of a drawing, mm: bow to the right, port up."""


@dataclass(frozen=True, eq=False)
class LayerPicture:
    """One layer under one deck to be drawn.

    Attributes:
        name: of its file.
        title: what it shows.
        boat: the boat.
        deck: its deck.
        blocks: that lie in it.
    """

    name: str
    title: str
    boat: Boat
    deck: str
    blocks: tuple[FoamBlock, ...]

    def svg(self, width: float = SIZE[0], height: float = SIZE[1]) -> str:
        """The drawing, on so many mm of paper."""
        return _drawn(self, (width, height))


def layer_pictures(boat: Boat, plan: FoamPlan) -> Iterator[LayerPicture]:
    """Each layer, deck by deck, the lowest first."""
    for deck in plan.decks:
        own = plan.under(deck)
        for layer in sorted({block.layer for block in own}):
            blocks = tuple(block for block in own if block.layer == layer)
            name = deck.removeprefix("deck.")
            low = format_length(blocks[0].low, boat.units)
            title = f"Under {name}, layer {layer}: undersides {low} up, {blocks[0].board}"
            yield LayerPicture(f"foam-{name}-{layer}", title, boat, deck, blocks)


def _drawn(picture: LayerPicture, size: tuple[float, float]) -> str:
    boat, deck, blocks, title = picture.boat, picture.deck, picture.blocks, picture.title
    plan = boat.layout.decks[deck]
    area = plan.plan_area()
    x0, y0, x1, y1 = area.bounds
    drawing = Drawing(size[0], size[1], title)
    onto = Onto.fit((x0, y0), (x1, y1), (4.0, 9.0, size[0] - 8.0, size[1] - 17.0))
    drawing.text(4.0, 5.5, f"{title}; {onto.words}", 3.0, bold=True)
    drawing.area(_rings(onto, area), Pen(0.25))
    for block in blocks:
        fill = SLID if block.slides else LOWERED
        drawing.area(_rings(onto, block.outline), Pen(0.2), fill, block.name)
    things = [
        Thing(body.name, solid, 0.0)
        for body in boat_bodies(boat)
        if body.kind == "member" and body.name.startswith(f"{deck}/")
        for solid in body.solids
    ]
    frame = shape_of(shadow(things, blocks[0].low, plan.height_at(x0))).intersection(area)
    drawing.area(_rings(onto, frame), Pen(0.25, FRAME, (1.2, 0.8)))
    for block in blocks:
        _number(drawing, onto, block)
    note = "pale: straight down; dark: lowered beside, slid in before the rest of its layer; dashed: frame"
    drawing.text(4.0, size[1] - 3.0, f"{note}. Laid in the order of numbers. Bow right, port up.", 2.3)
    return drawing.svg()


def _number(drawing: Drawing, onto: Onto, block: FoamBlock) -> None:
    """The block's number in its middle, as large as there is room for, upward in an upright block."""
    at = block.outline.representative_point()
    words = block.name.rpartition(".")[2]
    wide, tall = (side / onto.scale for side in block.sides)
    long, short = max(wide, tall), min(wide, tall)
    high = max(0.8, min(2.4, short * 0.7, long * 0.8 / (LETTER * len(words))))
    x, y = onto.points((at.x, at.y)).tolist()
    if tall > wide:
        drawing.text(x + high * 0.35, y, words, high, "middle", -90.0)
    else:
        drawing.text(x, y + high * 0.35, words, high, "middle")


def _rings(onto: Onto, shape: BaseGeometry) -> list[Array]:
    parts = [part for part in shapely.get_parts(shape) if isinstance(part, shapely.Polygon)]
    return [
        onto.points(shapely.get_coordinates(ring))
        for part in parts
        for ring in (part.exterior, *part.interiors)
    ]
