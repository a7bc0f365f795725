"""The boat from above, bow up, with a line from each thing to its number and name at the side."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from shapely import get_coordinates

from cutlists.drawing.drawing import DIMENSION, EDGE, FAINT, HIDDEN, OUTLINE, Drawing
from cutlists.drawing.onto import Onto
from cutlists.drawing.running import spread
from cutlists.handover.things import Thing
from model.geometry import Array
from model.survey import SIDES

if TYPE_CHECKING:
    from model.boat import Boat

SIZE = 2.5
"""Height of the lettering, mm of paper."""
PITCH = 4.2
"""Between two lines of it, mm."""
COLUMN = 44.0
"""Width of the lettering on each side, mm."""


def map_svg(boat: Boat, things: Sequence[Thing], size: tuple[float, float]) -> str:
    """The map on `size` mm of paper."""
    drawing = Drawing(*size, title=f"{boat.title}: where things are")
    outline = _gunwale(boat)
    low, high = outline.min(axis=0), outline.max(axis=0)
    room = (COLUMN + 4.0, 8.0, size[0] - 2 * COLUMN - 8.0, size[1] - 14.0)
    onto = Onto.fit(low, high, room)
    drawing.lines([onto.points(np.vstack([outline, outline[:1]]))], OUTLINE, "gunwale")
    for name, deck in boat.layout.decks.items():
        drawing.lines([onto.points(_turned(get_coordinates(deck.plan_area().exterior)))], EDGE, name)
        for opening in deck.openings:
            ring = get_coordinates(deck.in_plan(opening.polygon).exterior)
            drawing.lines([onto.points(_turned(ring))], FAINT if opening.lid else HIDDEN, opening.name)
    for plan in boat.layout.fixtures:
        x0, y0, _, x1, y1, _ = plan.part.bounds
        corners = plan.frame.to_boat(np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)]))[:, :2]
        drawing.lines([onto.points(_turned(corners))], HIDDEN, plan.name)
    _label(drawing, things, onto, size)
    drawing.text(size[0] / 2, 5.0, f"bow up, port to the left, {onto.words}", 2.8, "middle")
    return drawing.svg()


def _turned(points: Array) -> Array:
    """Plan points with the bow up: to starboard, then forward."""
    return np.stack([-points[:, 1], points[:, 0]], axis=1)


def _gunwale(boat: Boat) -> Array:
    """The edge of the boat, seen from above with the bow up, `(n, 2)`."""
    hull = boat.hull
    low, high = hull.span
    x = np.linspace(low, high, 80)
    sides = [hull.line(hull.lines[-1], x, side)[:, :2] for side in SIDES]
    return _turned(np.vstack([sides[0], sides[1][::-1]]))


def _label(drawing: Drawing, things: Sequence[Thing], onto: Onto, size: tuple[float, float]) -> None:
    """Numbers and names in two columns, each beside its own side of the boat; those amidships fill up."""
    port = [thing for thing in things if thing.at[1] > 1.0]
    starboard = [thing for thing in things if thing.at[1] < -1.0]
    for thing in things:
        if abs(thing.at[1]) <= 1.0:
            (port if len(port) <= len(starboard) else starboard).append(thing)
    for own, edge, anchor in ((port, COLUMN, "end"), (starboard, size[0] - COLUMN, "start")):
        order = sorted(own, key=lambda thing: -thing.at[0])  # down the paper is aft
        places = onto.points(_turned(np.array([thing.at for thing in order]).reshape(-1, 2)))
        stands = spread(places[:, 1], PITCH, 10.0, size[1] - 4.0)
        for thing, (x, y), stand in zip(order, places.tolist(), stands.tolist(), strict=True):
            way = 1.0 if anchor == "end" else -1.0
            drawing.lines([[(edge + 1.0 * way, stand), (edge + 4.0 * way, stand), (x, y)]], DIMENSION)
            drawing.dot((x, y), 0.7, None, "#000000")
            words = f"{thing.name}  {thing.number}" if anchor == "end" else f"{thing.number}  {thing.name}"
            drawing.text(edge, stand + SIZE * 0.36, words, SIZE, "end" if anchor == "end" else "start")
