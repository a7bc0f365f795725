"""What of each surface is matted: insets, gaps at lids, overhang at deck edges, what stands there."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from model.flat_arcs import polygon_of, polygons_of
from model.geometry import Array
from model.mat.settings import MatSettings
from model.mat.shapes import grown, inset, on_chain, ring_of, rounded, with_edges_moved
from model.mat.standing import against, hidden_below, standing_on
from model.mat.surfaces import SEAM, Surface, deck_opening

if TYPE_CHECKING:
    from model.boat import Boat
    from model.layout.records import DeckPlan, LidPlan, Opening

_LEVEL = 0.3
"""An edge of an upright face this level (sine) may be its top."""


def region(boat: Boat, surface: Surface, settings: MatSettings, matted: Sequence[Surface]) -> BaseGeometry:
    """The part of a surface that carries mat, in its x, y; empty where nothing is left.

    Args:
        boat: the boat.
        surface: one of its surfaces.
        settings: of the mat.
        matted: the upright faces that carry mat; decks reach over them.
    """
    if surface.kind == "upright":
        found = _upright(boat, surface, settings)
    elif surface.kind == "lid":
        found = _lid(boat, surface, settings)
    elif surface.kind == "lining":
        found = _lining(boat, surface, settings)
    else:
        found = _deck(boat, surface, settings, matted)
    return rounded(found, settings.radius, settings.least_width)


def lid_inset(lid: LidPlan, settings: MatSettings) -> float:
    """What the mat on a lid and the mat round it each keep off their edges, mm.

    Half of the gap wanted between them, less half of what already lies between a flush lid and its cut-out.
    """
    clearance = 0.0 if lid.top > 0 else lid.clearance
    return max(0.0, (settings.lid_gap - clearance) / 2)


def _deck(boat: Boat, surface: Surface, settings: MatSettings, matted: Sequence[Surface]) -> BaseGeometry:
    whole = shapely.union_all(
        [_over_edges(part, surface, settings, matted) for part in polygons_of(surface.area)]
    )
    assert surface.deck is not None
    holes = [_opening_hole(opening, settings) for opening in boat.layout.decks[surface.deck].openings]
    taken = standing_on(boat, surface, settings.thickness)
    return whole.difference(shapely.union_all([*holes, grown(taken, settings.reveal)]))


def _over_edges(
    area: Polygon, surface: Surface, settings: MatSettings, matted: Sequence[Surface]
) -> BaseGeometry:
    """A deck's area inset by the reveal, but out over the edges whose uprights carry mat."""
    ring = ring_of(area)
    over = np.zeros(len(ring), dtype=bool)
    for face in matted:
        if face.deck == surface.deck:
            line = _top_line(face)
            own = surface.frame.to_frame(line)[:, :2]
            over |= on_chain(ring, own[0], own[1], SEAM)
    out = np.where(over, settings.reveal + settings.nosing, 0.0)
    return inset(with_edges_moved(area, ring, out), settings.reveal)


def _top_line(face: Surface) -> Array:
    """The ends of an upright face at its top, in the boat, `(2, 3)`."""
    x0, _, x1, y1 = face.area.bounds
    return face.frame.to_boat(np.array([(x0, y1), (x1, y1)]))


def _opening_hole(opening: Opening, settings: MatSettings) -> BaseGeometry:
    """What a deck's piece leaves free for an opening: to the lid's gap, or the reveal round an open one."""
    if opening.lid is None:
        return grown(opening.polygon, settings.reveal)
    keep = lid_inset(opening.lid, settings)
    return shapely.union_all([grown(opening.polygon, keep), grown(polygon_of(opening.lid.outline), keep)])


def _lid(boat: Boat, surface: Surface, settings: MatSettings) -> BaseGeometry:
    lid = deck_opening(boat, surface).lid
    assert lid is not None
    taken = standing_on(boat, surface, settings.thickness)
    return inset(surface.area, lid_inset(lid, settings)).difference(grown(taken, settings.reveal))


def _upright(boat: Boat, surface: Surface, settings: MatSettings) -> BaseGeometry:
    """A face short of the deck edge above it, and of whatever stands before it or turns its corner."""
    assert surface.deck is not None
    deck = boat.layout.decks[surface.deck]
    short = _short_of_edge(deck, surface, settings)
    parts = []
    for part in polygons_of(surface.area):
        ring = ring_of(part)
        out = np.where(_is_top(ring, part), settings.reveal - short, 0.0)
        parts.append(inset(with_edges_moved(part, ring, out), settings.reveal))
    far = max(settings.least_width, settings.thickness + settings.reveal)
    hidden = hidden_below(boat, surface, settings.thickness / 2, far)
    hidden = hidden.buffer(settings.inside, join_style="mitre")
    stands = grown(against(boat, surface, settings.thickness), settings.reveal)
    return shapely.union_all(parts).difference(shapely.union_all([hidden, stands]))


def _short_of_edge(deck: DeckPlan, surface: Surface, settings: MatSettings) -> float:
    """How far a face's piece ends below the top of its sheet, which the deck's sheet lies on, mm.

    Where the deck falls towards the face its mat comes down over the edge of the face's mat.
    """
    fall = float(deck.frame.z @ surface.frame.z / deck.frame.z[2])  # height lost to a mm outward
    slant = float(np.hypot(1.0, fall))
    return (settings.edge_gap - deck.sheet.thickness) * slant + settings.thickness * max(0.0, fall)


def _is_top(ring: Array, part: Polygon) -> Array:
    """Which edges of a face are its top: level, or as steep as a deck may be, with the face below them."""
    ahead = np.roll(ring, -1, axis=0) - ring
    level = np.abs(ahead[:, 1]) < _LEVEL * np.hypot(*ahead.T)
    # the ring is counter-clockwise, so that its top runs back
    middle = ring[:, 1] + ahead[:, 1] / 2 > part.bounds[1] + 0.5 * (part.bounds[3] - part.bounds[1])
    found: Array = level & (ahead[:, 0] < 0) & middle
    return found


def _lining(boat: Boat, surface: Surface, settings: MatSettings) -> BaseGeometry:
    """A level panel inset by the reveal; an upright one by what it keeps off mat round its corners."""
    if abs(float(surface.frame.z[2])) < _LEVEL:
        return inset(surface.area, settings.inside + surface.metal)
    taken = standing_on(boat, surface, settings.thickness)
    return inset(surface.area, settings.reveal).difference(grown(taken, settings.reveal))
