"""Findings about bends that can be drawn and not made: too long, through a hole, into each other."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np
import shapely

from model.bends.edges import SHORTEST
from model.bends.fold import flap
from model.findings import Finding
from model.geometry import Array
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.bends.folded_panel import Fold, FoldedPanel
    from parts.bending import Bending

KIND = "bend"

_BARELY = 0.5
"""Areas on the flat pattern that lap by less than this are no fault, mm2."""
_DEEP = 0.01
"""Legs that enter each other by less than this touch, mm."""


def bend_findings(panel: FoldedPanel, bending: Bending, units: str) -> Iterator[Finding]:
    """What stands against bending a piece so.

    Args:
        panel: folded.
        bending: the shop's brake.
        units: of lengths in the findings.
    """
    for fold in panel.folds:
        yield from _too_long(panel, fold, bending, units)
        yield from _through_hole(panel, fold)
        yield from _on_the_flat(panel, fold)
    for one, other in combinations(panel.folds, 2):
        yield from _into_each_other(panel, one, other, units)


def _middle(panel: FoldedPanel, fold: Fold) -> Array:
    """The middle of a flange's mould line in the boat."""
    return panel.frame.to_boat(fold.flange.at((fold.low + fold.high) / 2.0, 0.0))


def _too_long(panel: FoldedPanel, fold: Fold, bending: Bending, units: str) -> Iterator[Finding]:
    over = fold.length - bending.brake
    if over > 1e-6:
        what = f"its {fold.flange.of} is {format_length(fold.length, units)} long, and the brake bends "
        what += format_length(bending.brake, units)
        cure = "part the piece, or have it bent on a longer brake"
        yield Finding(KIND, (panel.name,), what, cure, _middle(panel, fold), short=over)


def _through_hole(panel: FoldedPanel, fold: Fold) -> Iterator[Finding]:
    """Holes other than the one the flange is the lip of, where they reach into the bend."""
    flange = fold.flange
    zone = shapely.Polygon(flange.strip(fold.low, fold.high, -flange.setback, 0.0))
    for hole in panel.holes:
        shape = hole.to_shapely()
        own = shape.distance(shapely.Point(flange.at(flange.length / 2.0, 0.0))) < 1e-3
        if not own and zone.intersection(shape).area > _BARELY:
            what = f"the bend of its {flange.of} crosses a hole"
            cure = f"move the hole {SHORTEST:.0f} mm clear of the bend, or drill it after bending"
            yield Finding(KIND, (panel.name,), what, cure, panel.frame.to_boat(hole.centroid))


def _on_the_flat(panel: FoldedPanel, fold: Fold) -> Iterator[Finding]:
    """A flange that laid flat would lie over the flat part."""
    plate = shapely.Polygon(panel.base.polyline(), [hole.polyline() for hole in panel.base_holes])
    if plate.intersection(flap(fold, 0.0)).area > _BARELY:
        what = f"laid flat, its {fold.flange.of} lies over the rest of the piece"
        yield Finding(KIND, (panel.name,), what, "make the flange lower, or of another piece",
                      _middle(panel, fold))  # fmt: skip


def _into_each_other(panel: FoldedPanel, one: Fold, other: Fold, units: str) -> Iterator[Finding]:
    a, b = one.flange, other.flange
    names = f"its {a.of}s" if a.of == b.of else f"its {a.of} and its {b.of}"
    where = (_middle(panel, one) + _middle(panel, other)) / 2.0
    deep = _depth(*(fold.flange.leg_corners(panel.frame, fold.low, fold.high) for fold in (one, other)))
    if deep > _DEEP:
        what = f"{names} run into each other by {format_length(deep, units)}"
        yield Finding(KIND, (panel.name,), what, "make one of them lower", where, short=deep)
    elif flap(one, 0.0).intersection(flap(other, 0.0)).area > _BARELY:
        what = f"laid flat, {names} lie over each other"
        room = format_length(max(a.flat_reach, b.flat_reach), units)
        cure = f"make them lower, or round the corner between them to a radius of {room}"
        yield Finding(KIND, (panel.name,), what, cure, where)


def _depth(one: Array, other: Array) -> float:
    """How far two boxes are in each other, mm; zero where they are apart.

    Each is given by its eight corners in the order of `leg_corners`. Two convex bodies are apart just where
    some normal of a face, or of a pair of edges, parts them.
    """
    sides = [_sides(corners) for corners in (one, other)]
    axes = [*sides[0], *sides[1], *(np.cross(a, b) for a in sides[0] for b in sides[1])]
    depth = np.inf
    for axis in axes:
        size = float(np.hypot(np.hypot(axis[0], axis[1]), axis[2]))
        if size < 1e-9:
            continue
        p, q = one @ axis / size, other @ axis / size
        depth = min(depth, float(min(p.max(), q.max()) - max(p.min(), q.min())))
    return max(depth, 0.0)


def _sides(corners: Array) -> list[Array]:
    """The three directions of a box's edges, unit vectors."""
    ways = corners[[1, 2, 4]] - corners[0]
    return list(ways / np.linalg.norm(ways, axis=1)[:, None])
