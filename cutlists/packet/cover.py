"""The cover of the packet: the boat, its main numbers, contents and cautions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np

from cutlists.drawing.drawing import Drawing
from cutlists.drawing.onto import Onto
from cutlists.drawing.strokes import draw_seen
from cutlists.notices import CAUTIONS
from cutlists.packet.leaf import Leaf
from cutlists.packet.page import Page
from cutlists.packet.paper import PaperSet
from cutlists.scene import Scene
from cutlists.view_camera import QUARTER
from parts.lengths import format_length

if TYPE_CHECKING:
    from cutlists.plans import Plans
    from model.boat import Boat

SECTION = "Cover"
HIGH = 98.0
"""Height of the picture, mm."""
NAMES = 46.0
"""Width of the names of facts, mm."""


def cover_page(boat: Boat, scene: Scene, plans: Plans, others: Sequence[Page], papers: PaperSet) -> Page:
    """The first page; `others` are all that follow it, for the contents."""
    paper = papers.lists
    facts = list(_facts(boat, plans))

    def draw(leaf: Leaf) -> None:
        draw_cover(leaf, scene, ("Main numbers", facts), others, ("Cautions", CAUTIONS, 7.5))

    return Page(SECTION, boat.title, paper, draw)


def draw_cover(
    leaf: Leaf,
    scene: Scene,
    facts: tuple[str, Sequence[tuple[str, str]]],
    others: Sequence[Page],
    cautions: tuple[str, Sequence[str], float],
) -> None:
    """A picture of the boat over two columns, facts and contents, and cautions below them.

    Args:
        leaf: drawn on.
        scene: of the boat.
        facts: their heading, then names with values.
        others: all pages that follow.
        cautions: their heading, paragraphs, and size of lettering, pt.
    """
    left, top, wide, _ = leaf.paper.room
    leaf.drawing(cover_svg(scene, (wide, HIGH)), (left, top, wide, HIGH), true_size=True)
    y, half = top + HIGH + 4.0, wide / 2
    leaf.text(left, y + 3.0, facts[0], 10.0, bold=True)
    leaf.text(left + half + 6.0, y + 3.0, "Contents", 10.0, bold=True)
    row = y + 6.0
    for name, value in facts[1]:
        leaf.text(left, row + 3.0, name, 8.5)
        row = leaf.paragraph(left + NAMES, row, half - NAMES - 4.0, value, 8.5) + 0.6
    beside = y + 9.0
    for name, number in _contents(others):
        leaf.text(left + half + 6.0, beside, name, 8.5)
        leaf.text(left + wide, beside, f"page {number}", 8.5, side="right")
        beside += 4.6
    y = max(row, beside) + 3.0
    leaf.text(left, y + 3.0, cautions[0], 10.0, bold=True)
    y += 6.0
    for caution in cautions[1]:
        y = leaf.paragraph(left, y, wide, caution, cautions[2]) + 0.8


def cover_svg(scene: Scene, size: tuple[float, float]) -> str:
    """The finished boat from the quarter, in lines."""
    drawing = Drawing(*size, title=scene.title)
    seen = scene.points @ QUARTER.axes[:2].T
    low, high = seen.min(axis=0), seen.max(axis=0)
    fit = max((high - low) / (size[0] - 8.0, size[1] - 4.0))
    foot = ((size[0] - (high - low)[0] / fit) / 2, (size[1] + (high - low)[1] / fit) / 2)
    draw_seen(drawing, scene, QUARTER, Onto(low, np.array(foot), float(fit)))
    return drawing.svg()


def _contents(others: Sequence[Page]) -> list[tuple[str, int]]:
    """Each section with the number of its first page; the cover is page 1."""
    found: dict[str, int] = {}
    for number, page in enumerate(others, 2):
        found.setdefault(page.section, number)
    return list(found.items())


def _facts(boat: Boat, plans: Plans) -> Iterator[tuple[str, str]]:
    mass = sum(member.mass for member in boat.members)
    sheet = sum(panel.mass for panel in boat.panels) + sum(strip.mass for strip in boat.strips)
    length = sum(member.length for member in boat.members)
    marks = {boat.marks[m.name] for m in boat.members if m.name in boat.marks}
    yield "hull, inside length", format_length(boat.hull.length, boat.units)
    yield "members", f"{len(boat.members)} of {len(marks)} marks, {mass:.1f} kg"
    yield "tube", f"{length / 1000:.1f} m ({length / 304.8:.0f} ft)"
    yield "sheet pieces", f"{len(boat.panels) + len(boat.strips)}, {sheet:.1f} kg"
    yield "lids and fittings", str(len(boat.fixtures))
    yield "to buy", plans.buy.words().partition(";")[0]
    yield "cost, where prices are known", f"{plans.buy.cost:.2f}"
