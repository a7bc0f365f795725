"""Folding: what of a flat piece stays flat, how long each flange is, and the flat pattern."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from model.bends.flange import Flange
from model.bends.folded_panel import FoldedPanel
from model.bends.made import Fold, Mitre
from model.bends.order import bend_steps
from model.flat_arcs import polygon_loops, polygon_of, polygons_of
from model.panel import Panel
from parts.outline import Loop

SHORTEST = 6.0
"""A bend shorter than this is not made, mm."""

_FAR = 1e5
_SAME = 1e-6
_MEET = 0.01
"""Edges whose ends are no further apart than this meet in a corner, mm."""
_CRUMB = 50.0
"""What the bends may sever from the flat part, mm2: slivers at corners."""
_HAIR = 1e-3
"""By how much a flange's strip laps the flat part where the two are made one, mm: room for rounding."""


class FoldError(ValueError):
    """A flange that cannot be made; `flange` is the one, `wrong` and `right` tell of it."""

    def __init__(self, flange: Flange, wrong: str, right: str) -> None:
        super().__init__(f"{wrong}; {right}")
        self.flange, self.wrong, self.right = flange, wrong, right


def fold(panel: Panel, flanges: Sequence[Flange], relief: float) -> FoldedPanel:
    """The panel with its flanges.

    The flat part ends where the bends begin. Where metal runs on beyond the end of a flange, a notch as wide
    as `relief` sets it free and the flange begins behind it; where two flanges meet at a corner each ends
    where the other's bend begins, so that the corner stays open; of two that are mitred there, only their
    bends stay so far back, and their legs go on until the gap asked for is left between them.

    Args:
        panel: flat, its edges the outside of the bends.
        flanges: no two along one edge.
        relief: width of the notches, and their depth beyond the bend, mm.

    Raises:
        FoldError: there is no metal for a bend, or the piece would fall in two.
    """
    whole = polygon_of(panel.outline, panel.holes)
    cuts: list[shapely.Polygon] = []
    spans: list[tuple[float, float]] = []
    for flange in flanges:
        span, own = _trimmed(whole, flange, relief)
        spans.append(span)
        cuts += own
    parts = polygons_of(whole.difference(shapely.union_all(cuts)))
    if not parts:
        raise FoldError(flanges[0], "the bends leave nothing flat", "lower their radius, or leave one out")
    core = parts[0]
    if sum(part.area for part in parts[1:]) > _CRUMB:
        raise FoldError(
            flanges[-1], "the notches beside it part the piece", "lower its radius, or the relief"
        )
    folds = [
        _mitred(_made(_without_others(core, panel, flange), flange, span), mitres(flange, flanges))
        for flange, span in zip(flanges, spans, strict=True)
    ]
    flat = largest_of(shapely.union_all([core, *(flap(own) for own in folds)]))
    base, base_holes = _loops(core)
    flat_outline, flat_holes = _loops(flat)
    return FoldedPanel(
        panel.name, panel.frame, panel.outline, panel.holes, panel.sheet, panel.role,
        base, base_holes, tuple(folds), flat_outline, flat_holes, bend_steps(core, folds),
    )  # fmt: skip


def mitres(flange: Flange, others: Sequence[Flange]) -> tuple[Mitre | None, Mitre | None]:
    """The mitres at both ends of a flange: where another begins or ends there and both are to be mitred."""
    low = high = None
    for other in others:
        if other is flange or flange.mitre_gap is None or other.mitre_gap is None:
            continue
        gap = max(flange.mitre_gap, other.mitre_gap)
        if np.abs(other.end - flange.start).max() < _MEET and (turn := _turn(other, flange)) > 0.0:
            low = Mitre.between(0.0, turn, gap)
        if np.abs(other.start - flange.end).max() < _MEET and (turn := _turn(flange, other)) > 0.0:
            high = Mitre.between(flange.length, turn, gap)
    return low, high


def _turn(one: Flange, following: Flange) -> float:
    """By how much the edge turns to the left from one flange to the next, rad; below 0 in a hollow corner."""
    (ax, ay), (bx, by) = one.along.tolist(), following.along.tolist()
    return math.atan2(ax * by - ay * bx, ax * bx + ay * by)


def _mitred(fold: Fold, ends: tuple[Mitre | None, Mitre | None]) -> Fold:
    """The flange with its ends cut to its mitres."""
    if not any(ends):
        return fold
    whole = Fold(fold.flange, fold.low, fold.high, ends)
    low, high = whole.ends(fold.flange.stretches[0])[0].tolist()
    found = Fold(fold.flange, max(low, fold.low), min(high, fold.high), ends)
    if not found.is_left(SHORTEST):
        raise FoldError(fold.flange, "its mitres leave nothing of it", "make it lower, or notch its corners")
    return found


def _loops(shape: shapely.Polygon) -> tuple[Loop, tuple[Loop, ...]]:
    """Outline and holes of a polygon, arcs true; corners that rounding parted are one."""
    return polygon_loops(shapely.remove_repeated_points(shape, _SAME), 0.0)


def flap(own: Fold, lap: float = _HAIR) -> shapely.Polygon:
    """A flange laid flat, from where its bend begins; it laps the flat part by `lap` mm."""
    return own.flap(lap)


def largest_of(shape: BaseGeometry) -> shapely.Polygon:
    """The largest polygon of a shape that is not empty."""
    return polygons_of(shape)[0]


def _trimmed(
    whole: shapely.Polygon, flange: Flange, relief: float
) -> tuple[tuple[float, float], list[shapely.Polygon]]:
    """The stretch of the edge left for a flange, and what is cut off the flat part for it."""
    back, length = flange.setback, flange.length
    reach = _on_line(whole, flange, back)
    if reach is None:
        raise FoldError(flange, "there is no metal where the bend begins", "lower its radius or its angle")
    over = (-reach[0], reach[1] - length)
    ends, notches, low_high = [], [], []
    for past, at, sign in zip(over, (0.0, length), (1.0, -1.0), strict=True):
        runs_on = past > back * (1.0 + 1e-6) + _HAIR
        # a sliver beside the bend, narrower than the bend is deep, goes with the strip
        ends.append(at if runs_on else at - sign * max(past, 0.0) - sign * _HAIR)
        low_high.append(at + sign * (relief if runs_on else max(-past, 0.0)))
        if runs_on:
            low, high = sorted((at, at + sign * relief))
            notches.append(flange.strip(low, high, -back - relief, _HAIR))
    if low_high[1] - low_high[0] < SHORTEST:
        raise FoldError(flange, "nothing is left of it beside its relief", "leave that flange out")
    strip = flange.strip(ends[0], ends[1], -back, _HAIR)
    return (low_high[0], low_high[1]), [shapely.Polygon(corners) for corners in (strip, *notches)]


def _made(core: BaseGeometry, flange: Flange, span: tuple[float, float]) -> Fold:
    """The flange over that part of its stretch behind which there is flat metal."""
    stretches = _stretches(core, flange, flange.setback + 2.0 * _HAIR)
    inside = [(max(span[0], low), min(span[1], high)) for low, high in stretches]
    low, high = max(inside, key=lambda own: own[1] - own[0], default=(0.0, 0.0))
    if high - low < SHORTEST:
        raise FoldError(flange, "nothing is left of it between its neighbours", "leave one of them out")
    return Fold(flange, low, high)


def _without_others(core: shapely.Polygon, panel: Panel, flange: Flange) -> BaseGeometry:
    """The flat part with holes filled, for a bend runs on over them; but the one the flange is a lip of."""
    middle = shapely.Point(flange.at(flange.length / 2.0, 0.0))
    others = [hole for hole in (polygon_of(hole) for hole in panel.holes) if hole.distance(middle) > _HAIR]
    return shapely.union_all([core, *(hole.buffer(_HAIR) for hole in others)]) if others else core


def _on_line(shape: shapely.Polygon, flange: Flange, depth: float) -> tuple[float, float] | None:
    """First and last of the metal on the line `depth` inside an edge, mm along it."""
    spans = _stretches(shape, flange, depth)
    return (min(s[0] for s in spans), max(s[1] for s in spans)) if spans else None


def _stretches(shape: BaseGeometry, flange: Flange, depth: float) -> list[tuple[float, float]]:
    """Where there is metal beside an edge on the line `depth` inside it, mm along it."""
    line = shapely.LineString([flange.at(-_FAR, -depth), flange.at(_FAR, -depth)])
    spans = []
    for part in shapely.get_parts(shape.intersection(line)):
        along = (shapely.get_coordinates(part) - flange.start) @ flange.along
        low, high = (float(along.min()), float(along.max())) if len(along) else (0.0, 0.0)
        if high - low > _HAIR and high > 0.0 and low < flange.length:
            spans.append((low, high))
    return spans
