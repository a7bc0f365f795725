"""The bevel of a sheet's edge along the hull at full size: a strip to lay along it, angles to set by."""

from __future__ import annotations

import io
import math
from typing import TYPE_CHECKING, Any

import numpy as np

from cutlists.outline_dxf import Units, new_drawing
from cutlists.packet.templates import Template, Word
from model.geometry import Array
from parts.lengths import UNITS, format_length
from parts.outline import Loop

if TYPE_CHECKING:
    from cutlists.bevel_cards import BevelCard

HIGH = 60.0
"""Height of the strip, mm: long enough a side to set a sliding bevel by."""
TALL = 46.0
"""Height of the lines of angles, mm."""
SPARE = 30.0
"""Paper left beyond the first and the last angle, mm, which lean that far at most."""
LETTERS = 3.0


def bevel_template(card: BevelCard, units: str) -> Template:
    """A strip as long as the edge: at every station a line square to it, and one at the edge's bevel.

    The foot of the strip is the sheet's face; a line that leans forward along the strip stands for an edge
    whose face reaches further out than its underside.
    """
    run = card.run
    corners = [(-SPARE, 0.0), (run.length + SPARE, 0.0), (run.length + SPARE, HIGH), (-SPARE, HIGH)]
    told = (
        (at, f"{format_length(at, units)}: {math.degrees(bevel) + 0.0:.1f} deg")
        for at, bevel in zip(run.at.tolist(), run.bevel.tolist(), strict=True)
    )
    name = f"{card.mark}/{card.letter}  {run.name}"
    words = [Word(np.array([at + 3.5, 1.5]), text, LETTERS) for at, text in told]
    note = f"bevel of edge {card.edge}, from its after end; dashed lines stand square"
    words.append(Word(np.array([0.0, HIGH - 4.5]), f"{name}: {note}", LETTERS))
    return Template(
        name, (Loop.polygon(corners),), tuple(_square(card)), note,
        tuple(_angles(card)), tuple(words), False,
    )  # fmt: skip


def _square(card: BevelCard) -> list[Array]:
    return [np.array([(at, 0.0), (at, TALL)]) for at in card.run.at.tolist()]


def _angles(card: BevelCard) -> list[Array]:
    """Lines at the bevel, shortened where they would lean off the paper."""
    found = []
    for at, bevel in zip(card.run.at.tolist(), card.run.bevel.tolist(), strict=True):
        long = min(TALL / math.cos(bevel), SPARE / max(abs(math.sin(bevel)), 1e-6))
        found.append(np.array([(at, 0.0), (at + long * math.sin(bevel), long * math.cos(bevel))]))
    return found


def bevel_dxf(card: BevelCard, units: str, drawn: Units) -> bytes:
    """The same as DXF: CUT the strip, MARK the angles, BEND the square lines, TEXT the stations."""
    template, scale = bevel_template(card, units), 1.0 / UNITS[drawn]
    drawing: Any = new_drawing(drawn)
    space = drawing.modelspace()
    corner = template.loops[0].points.min(axis=0)
    outline = ((template.loops[0].points - corner) * scale).tolist()
    space.add_lwpolyline(outline, close=True, dxfattribs={"layer": "CUT"})
    for layer, lines in (("MARK", template.marked), ("BEND", template.lines)):
        for line in lines:
            start, end = ((line - corner) * scale).tolist()
            space.add_line(start, end, dxfattribs={"layer": layer})
    for word in template.words:
        text = space.add_text(word.text, height=word.size * scale, dxfattribs={"layer": "TEXT"})
        text.set_placement(((word.at - corner) * scale).tolist())
    stream = io.StringIO()
    drawing.write(stream)
    return stream.getvalue().encode("utf-8")
