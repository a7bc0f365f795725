"""Findings about bends that can be drawn and not made: too long, through a hole, into metal or the punch."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, product
from typing import TYPE_CHECKING

import numpy as np
import shapely

from model.bends.edges import SHORTEST
from model.bends.fold import flap
from model.bends.order import sections_across
from model.findings import Finding
from model.flat_arcs import polygon_of
from model.geometry import Array
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.bends.folded_panel import FoldedPanel
    from model.bends.made import Fold
    from parts.bending import Bending

KIND = "bend"

_BARELY = 0.5
"""Areas on the flat pattern that lap by less than this are no fault, mm2."""
_DEEP = 0.01
"""Legs that enter each other by less than this touch, mm."""
_FAR = 1e5


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
        yield from _into_itself(panel, fold)
    yield from _past_the_punch(panel, bending, units)
    for one, other in combinations(panel.folds, 2):
        yield from _into_each_other(panel, one, other, units)


def _middle(panel: FoldedPanel, fold: Fold) -> Array:
    """The middle of a flange's mould line in the boat."""
    return panel.frame.to_boat(fold.flange.at((fold.low + fold.high) / 2.0, 0.0))


def _too_long(panel: FoldedPanel, fold: Fold, bending: Bending, units: str) -> Iterator[Finding]:
    longest = max(line.length for line in fold.lines())
    over = longest - bending.brake
    if over > 1e-6:
        what = f"its {fold.flange.of} is {format_length(longest, units)} long, and the brake bends "
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


def _into_itself(panel: FoldedPanel, fold: Fold) -> Iterator[Finding]:
    """A chain of bends that curls into itself or into the sheet behind it."""
    if not fold.flange.returns:
        return
    across = shapely.Polygon(fold.flange.section().polyline())
    sheet = shapely.box(-_behind(panel, fold), 0.0, -fold.flange.setback, fold.flange.thickness)
    if not across.is_valid or across.intersection(sheet).area > _BARELY:
        what = f"its {fold.flange.of} is bent back into the piece"
        yield Finding(KIND, (panel.name,), what, "make its last return lower, or the flange before it higher",
                      _middle(panel, fold))  # fmt: skip


def _behind(panel: FoldedPanel, fold: Fold) -> float:
    """How deep the flat part is behind the middle of a flange, mm."""
    own, middle = fold.flange, (fold.low + fold.high) / 2.0
    line = shapely.LineString([own.at(middle, -own.setback - _DEEP), own.at(middle, -_FAR)])
    hit = shapely.get_parts(line.intersection(polygon_of(panel.base, panel.base_holes)))
    return own.setback + max((float(part.length) for part in hit[:1]), default=0.0)


def _past_the_punch(panel: FoldedPanel, bending: Bending, units: str) -> Iterator[Finding]:
    """Bends of which in no order the last one clears the punch."""
    core = polygon_of(panel.base, panel.base_holes)
    for across in sections_across(core, panel.folds):
        lack = bending.punch / 2.0 - across.best()[1]
        if lack > _DEEP:
            fold = panel.folds[across.of[-1][0]]
            what = f"in no order of its bends does its {fold.flange.of} stay clear of a straight punch "
            what += f"{format_length(bending.punch, units)} thick: it lacks {format_length(lack, units)}"
            cure = "make what is bent first lower, or what lies between the bends wider; of a necked punch "
            cure += "tell its thickness at the neck in the shop file under `bending: punch:`"
            yield Finding(KIND, (panel.name,), what, cure, _middle(panel, fold), short=lack)


def _on_the_flat(panel: FoldedPanel, fold: Fold) -> Iterator[Finding]:
    """A flange that laid flat would lie over the flat part."""
    plate = shapely.Polygon(panel.base.polyline(), [hole.polyline() for hole in panel.base_holes])
    if plate.intersection(flap(fold, 0.0)).area > _BARELY:
        what = f"laid flat, its {fold.flange.of} lies over the rest of the piece"
        yield Finding(KIND, (panel.name,), what, "make the flange lower, or of another piece",
                      _middle(panel, fold))  # fmt: skip


def _into_each_other(panel: FoldedPanel, one: Fold, other: Fold, units: str) -> Iterator[Finding]:
    a, b = one.flange, other.flange
    names = f"its {_several(a.of)}" if a.of == b.of else f"its {a.of} and its {b.of}"
    where = (_middle(panel, one) + _middle(panel, other)) / 2.0
    pairs = product(one.legs(panel.frame), other.legs(panel.frame))
    deep = max(_depth(first, second) for first, second in pairs)
    if deep > _DEEP:
        what = f"{names} run into each other by {format_length(deep, units)}"
        yield Finding(KIND, (panel.name,), what, "make one of them lower", where, short=deep)
    elif flap(one, 0.0).intersection(flap(other, 0.0)).area > _BARELY:
        what = f"laid flat, {names} lie over each other"
        room = format_length(max(a.flat_reach, b.flat_reach), units)
        cure = f"make them lower, or round the corner between them to a radius of {room}"
        yield Finding(KIND, (panel.name,), what, cure, where)


def _several(of: str) -> str:
    """More than one `lower flange`, `lip of hatch`."""
    return of.replace("lip of", "lips of", 1) if of.startswith("lip of") else f"{of}s"


def _depth(one: Array, other: Array) -> float:
    """How far two plates are in each other, mm; zero where they are apart.

    Each is given by eight corners: those of one face round, then of the other. Two convex bodies are apart
    just where some normal of a face, or of a pair of edges, parts them.
    """
    sides = np.concatenate([_sides(corners) for corners in (one, other)])
    first, second = np.triu_indices(len(sides), 1)
    axes = np.cross(sides[first], sides[second])
    size = np.linalg.norm(axes, axis=1)
    axes = axes[size > 1e-9] / size[size > 1e-9, None]
    p, q = one @ axes.T, other @ axes.T
    shared = np.minimum(p.max(axis=0), q.max(axis=0)) - np.maximum(p.min(axis=0), q.min(axis=0))
    return max(float(shared.min()), 0.0)


def _sides(corners: Array) -> Array:
    """The directions of a plate's edges, `(5, 3)` unit vectors: round a face, and through the sheet."""
    round_face = corners[[1, 2, 3, 0]] - corners[:4]
    ways = np.concatenate([round_face, corners[4:5] - corners[:1]])
    found: Array = ways / np.linalg.norm(ways, axis=1)[:, None]
    return found
