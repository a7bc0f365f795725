"""Lids made to order, a sheet each: the outline with every dimension, and what the maker must know."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from cutlists.drawing.drawing import HIDDEN, OUTLINE, PALE, Drawing
from cutlists.drawing.edges import measured
from cutlists.drawing.onto import Onto
from cutlists.drawing.panel_drawing import Words, draw_figures, draw_rounds
from cutlists.packet.leaf import Leaf
from cutlists.packet.page import Page
from cutlists.packet.paper import PaperSet
from model.layout.records import LidPlan, Opening

if TYPE_CHECKING:
    from model.boat import Boat

SECTION = "Lid orders"
HIGH = 150.0
"""Height of the drawing on its page, mm."""
TOLERANCE = {"in": "1/32 in", "mm": "1 mm"}
"""Of outside sizes and holes unless the maker agrees another (common practice)."""


def lid_pages(boat: Boat, papers: PaperSet, denominator: int) -> Iterator[Page]:
    """An order sheet for each lid that is not a part of the catalogue."""
    paper = papers.lists
    left, top, wide, high = paper.room
    for deck in boat.layout.decks.values():
        for opening in deck.openings:
            lid = opening.lid
            if lid is None or lid.lid is not None:
                continue

            def draw(leaf: Leaf, opening: Opening = opening, lid: LidPlan = lid) -> None:
                words = Words(boat.units, denominator)
                leaf.drawing(
                    lid_svg(opening, lid, (wide, HIGH), words), (left, top, wide, HIGH), true_size=True
                )
                y = top + HIGH + 4.0
                for name, value in _facts(boat, opening, lid, words):
                    leaf.text(left, y + 3.0, name, 8.5, bold=True)
                    y = max(leaf.paragraph(left + 44.0, y, wide - 44.0, value), y + 4.0) + 1.4
                leaf.lines([(left, top + high - 10.0), (left + 80.0, top + high - 10.0)], 0.2)
                leaf.text(left, top + high - 6.5, "checked against the boat, name and date", 7.0)

            yield Page(SECTION, f"Lid order: {opening.name}", paper, draw)


def lid_svg(opening: Opening, lid: LidPlan, size: tuple[float, float], words: Words) -> str:
    """The lid from above with its cut-out dashed; lengths from the lid's after starboard corner."""
    drawing = Drawing(*size, title=f"lid of {opening.name}")
    low_x, low_y, high_x, high_y = lid.outline.bounds
    base = np.array([low_x, low_y])
    room = (6.0, 12.0, size[0] - 6.0 - 28.0, size[1] - 12.0 - 26.0)
    onto = Onto.fit(base, (high_x, high_y), room)
    shapes = [measured(lid.outline), measured(opening.outline)]
    draw_figures(drawing, shapes, onto, high_x, words, base)
    drawing.loops([onto.loop(lid.outline)], OUTLINE, PALE, "lid")
    drawing.loops([onto.loop(opening.outline)], HIDDEN, name="cut-out")
    draw_rounds(drawing, shapes, onto, words)
    _hinge(drawing, lid, onto)
    drawing.text(
        6.0, 5.0, f"from above, bow to the right, {onto.words}; the cut-out in the deck is dashed", 2.8
    )
    return drawing.svg()


def _hinge(drawing: Drawing, lid: LidPlan, onto: Onto) -> None:
    """The word hinge along its side, latch at the middle of the one across."""
    low_x, low_y, high_x, high_y = lid.outline.bounds
    middle = ((low_x + high_x) / 2, (low_y + high_y) / 2)
    sides = {
        "aft": ((low_x, middle[1]), -90.0, (1.0, 0.0)),
        "forward": ((high_x, middle[1]), -90.0, (-1.0, 0.0)),
        "port": ((middle[0], high_y), 0.0, (0.0, 1.0)),
        "starboard": ((middle[0], low_y), 0.0, (0.0, -1.0)),
    }
    across = {"aft": "forward", "forward": "aft", "port": "starboard", "starboard": "port"}
    if lid.way.hinge not in sides:
        return
    for side, word in ((lid.way.hinge, "hinge"), (across[lid.way.hinge], "latch")):
        at, turn, (dx, dy) = sides[side]
        x, y = onto.points(at).tolist()
        drawing.text(x + 4.0 * dx, y + 4.0 * dy + 0.9, word, 2.8, "middle", turn=turn, bold=True)


def _facts(boat: Boat, opening: Opening, lid: LidPlan, words: Words) -> Iterator[tuple[str, str]]:
    low_x, low_y, high_x, high_y = lid.outline.bounds
    cut = opening.outline.bounds
    yield "lid, overall", f"{words(high_x - low_x)} fore and aft, {words(high_y - low_y)} athwart"
    yield "cut-out in the deck", f"{words(cut[2] - cut[0])} fore and aft, {words(cut[3] - cut[1])} athwart"
    if lid.flange > 0:
        yield "flange", f"{words(lid.flange)} beyond the cut-out all round, resting on the deck"
    yield "clearance", f"{words(lid.clearance)} between the lid's body and the cut-out all round"
    yield "depth", f"{words(lid.top - lid.bottom)} from top to underside"
    yield "material", lid.sheet.name if lid.sheet else "as agreed with the maker"
    if lid.mass is not None:
        yield "mass", f"{lid.mass:.1f} kg or less"
    yield "opens", _opens(lid, words)
    yield "tolerance", f"outside and holes within {TOLERANCE['in' if boat.units in ('in', 'ft') else 'mm']}"
    yield (
        "how it was measured",
        f"from the model of the boat, {opening.deck}; corners as drawn. Offer up a cardboard of it before "
        "ordering: the boat is right, not this sheet.",
    )


def _opens(lid: LidPlan, words: Words) -> str:
    if lid.way.hinge != "none":
        return f"about a hinge on the {lid.way.hinge} side, to {math.degrees(lid.way.opens):.0f} degrees"
    if lid.way.slide != "none":
        return f"slides {words(lid.way.travel)} to {lid.way.slide}"
    return "lifts out"
