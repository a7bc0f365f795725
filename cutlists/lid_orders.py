"""Lids to buy or to make: the numbers to order each by."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable

from model.layout.records import DeckPlan, LidPlan, Opening
from parts.lengths import format_fraction

COLUMNS = (
    "opening",
    "lid",
    "cut-out length",
    "cut-out width",
    "cut-out length mm",
    "cut-out width mm",
    "corner radius mm",
    "lid length mm",
    "lid width mm",
    "flange mm",
    "clearance mm",
    "depth mm",
    "sheet",
    "hinge",
    "opens deg",
    "mass kg",
)
"""Length is fore and aft in the lid's deck, width athwart; of the least rectangle for other outlines."""


def lid_orders(decks: Iterable[DeckPlan], denominator: int = 16) -> str:
    """A CSV (RFC 4180) with a row for each lid; lengths in inches to 1/`denominator` and in mm."""
    text = io.StringIO()
    out = csv.writer(text)
    out.writerow(COLUMNS)
    for deck in decks:
        for opening in deck.openings:
            if opening.lid is not None:
                out.writerow(_row(opening, opening.lid, denominator))
    return text.getvalue()


def _row(opening: Opening, lid: LidPlan, denominator: int) -> list[str | float]:
    length, width = _size(opening.outline.bounds)
    lid_length, lid_width = _size(lid.outline.bounds)
    return [
        opening.name,
        lid.lid.name if lid.lid else "made to order",
        format_fraction(length, denominator),
        format_fraction(width, denominator),
        round(length, 1),
        round(width, 1),
        round(_corner(opening), 1),
        round(lid_length, 1),
        round(lid_width, 1),
        round(lid.flange, 1),
        round(lid.clearance, 1),
        round(lid.top - lid.bottom, 1),
        lid.sheet.name if lid.sheet else "",
        lid.hinge if lid.way.slide == "none" else f"slides {lid.way.slide}",
        round(math.degrees(lid.opens), 1),
        "" if lid.mass is None else round(lid.mass, 2),
    ]


def _size(bounds: tuple[float, float, float, float]) -> tuple[float, float]:
    return bounds[2] - bounds[0], bounds[3] - bounds[1]


def _corner(opening: Opening) -> float:
    """The least radius of the cut-out's rounded corners, mm; 0 where all are sharp."""
    loop = opening.outline
    radii = []
    for i, bulge in enumerate(loop.bulges):
        if abs(bulge) > 1e-9:
            chord = math.dist(loop.points[i], loop.points[(i + 1) % len(loop.points)])
            radii.append(chord * (1.0 + bulge * bulge) / (4.0 * abs(bulge)))
    return min(radii, default=0.0)
