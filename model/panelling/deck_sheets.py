"""The sheets of decks, parted at seams on members, and the upright faces below their edges."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from model.findings import Finding
from model.flat_arcs import polygons_of
from model.geometry import Array
from model.hull import Hull
from model.layout.edges import OUTLINE
from model.layout.records import DeckPlan, Layout, RiserPlan
from model.panel import Panel, panel_from_polygon
from model.panelling.upright import Line, Upright, corner_cuts
from model.seams import SeamError, SheetFit, split_at_seams
from model.skeleton.plan_bar import Bar
from model.skeleton.ring import labelled_ring

SEAM_MEMBERS = ("header", "beam", "carling", "added")


def deck_sheets(deck: DeckPlan, bars: list[Bar], seam_gap: float) -> tuple[list[Panel], list[Finding]]:
    """The sheets of a deck; where it exceeds the stock they part on the centre lines of members.

    Where no member could carry a seam the sheet is left whole and a finding says where one is missing.
    """
    whole: BaseGeometry = deck.area
    for opening in deck.openings:
        whole = whole.difference(opening.polygon)
    lines = [LineString([bar.p, bar.q]) for bar in bars if bar.role in SEAM_MEMBERS]
    fit = SheetFit(deck.sheet.sizes)
    pieces: list[Polygon] = []
    findings: list[Finding] = []
    for part in _parted_by_hand(whole, deck, seam_gap):
        try:
            pieces.extend(split_at_seams(part, fit, lines, seam_gap).pieces)
        except SeamError as error:
            pieces.append(part)
            findings.append(Finding("seam", (f"{deck.name}/sheet",), error.wrong, error.right))
    pieces.sort(key=lambda piece: tuple(np.round(piece.bounds[:2], 2)))
    names = [f"{deck.name}/sheet.{i}" for i in range(1, len(pieces) + 1)]
    role = "seat" if deck.name.startswith("seat.") else "deck"
    return [
        panel_from_polygon(name, deck.frame, piece, deck.sheet, role)
        for name, piece in zip(names, pieces, strict=True)
    ], findings


def _parted_by_hand(whole: BaseGeometry, deck: DeckPlan, seam_gap: float) -> list[Polygon]:
    """The deck parted where the file asks for seams."""
    u0, v0, u1, v1 = whole.bounds
    cuts = []
    for at in deck.rules.seams:
        ends = (
            [(at, v0 - 1), (at, v1 + 1)]
            if deck.rules.direction == "athwart"
            else [(u0 - 1, at), (u1 + 1, at)]
        )
        cuts.append(LineString(ends).buffer(seam_gap / 2, cap_style="flat"))
    return polygons_of(whole.difference(shapely.union_all(cuts))) if cuts else polygons_of(whole)


def risers(deck: DeckPlan, layout: Layout, hull: Hull) -> Upright:
    """The upright faces of a deck, one for each straight run of the edges they hang on."""
    found = Upright()
    for riser in deck.risers:
        for line in _runs(deck, riser):
            top, bottom = _heights(deck, riser, line, layout)
            found.add(line, riser.sheet, "riser", top, bottom, hull, deck.hull_gap)
    return found


def _runs(deck: DeckPlan, riser: RiserPlan) -> list[Line]:
    """The straight runs of one edge in plan, metal to their left, corners taken off."""
    ring, labels = labelled_ring(deck.area, deck.edges)
    own = [label == f"rim.{riser.side}" for label in labels]
    hung = [label in {f"rim.{r.side}" for r in deck.risers} for label in labels]
    cuts = corner_cuts(ring, True, riser.sheet.thickness, metal_left=True)
    starts, ends = _lower_edge(deck, ring)
    count = len(ring)
    lines: list[Line] = []
    for i in range(count):
        if not own[i]:
            continue
        j = (i + 1) % count
        number = len(lines) + 1
        name = (
            f"{deck.name}/riser.{number}"
            if riser.side == OUTLINE
            else f"{deck.name}/riser.{riser.side}.{number}"
        )
        trims = (float(cuts[i]) if hung[i - 1] else 0.0, float(cuts[j]) if hung[j] else 0.0)
        lines.append(Line(name, starts[i], ends[i], "right", *trims))
    return lines


def _lower_edge(deck: DeckPlan, ring: Array) -> tuple[Array, Array]:
    """Start and end of each side of the sheet's outline in plan, where its outermost edge is, `(n, 2)`.

    On a slope the sheet's square edge leans: on the side it rises to, its lower edge is the outer one.
    """
    plan = ring * [float(deck.frame.x[0]), 1.0]
    step = np.roll(plan, -1, axis=0) - plan
    out = np.stack([step[:, 1], -step[:, 0]], axis=1) / np.hypot(step[:, 0], step[:, 1])[:, None]
    lean = np.maximum(out[:, 0] * float(deck.frame.x[2]) * deck.sheet.thickness, 0.0)
    moved = out * lean[:, None]
    return plan + moved, np.roll(plan, -1, axis=0) + moved


def _heights(
    deck: DeckPlan, riser: RiserPlan, line: Line, layout: Layout
) -> tuple[tuple[float, float], float | None]:
    """Heights of a riser: of its top at start and end, and of its foot; None down to the hull."""
    slope = float(deck.frame.x[2] / deck.frame.x[0])
    along = (line.end - line.start) / line.length
    # the sheet falls away inward on the side it rises to, over the thickness of the riser
    under = deck.sheet.thickness / float(deck.frame.x[0]) + max(along[1] * slope, 0.0) * riser.sheet.thickness
    top = (deck.height_at(float(line.start[0])) - under, deck.height_at(float(line.end[0])) - under)
    lower = foot_deck(riser, deck, layout)
    return top, riser.height if lower is None else _foot(lower, line)


def foot_deck(riser: RiserPlan, deck: DeckPlan, layout: Layout) -> DeckPlan | None:
    """The deck that an upright face of `deck` reaches down to, where it is one."""
    if riser.deck is None:
        return None
    return layout.decks.get(riser.deck) or layout.deck(riser.deck, deck.hand)


def _foot(lower: DeckPlan, line: Line) -> float:
    """Height where a riser ends: on the lower deck's sheet, or at its underside where the two only meet."""
    middle: Array = (line.start + line.end) / 2
    along = (line.end - line.start) / line.length
    inside = middle + 3.0 * np.array([-along[1], along[0]])
    height = min(lower.height_at(float(x)) for x in (line.start[0], line.end[0]))
    if shapely.contains_xy(lower.plan_area(), *inside):
        return height
    return height - lower.sheet.thickness - lower.rules.section.height
