"""A slab's free area cut into blocks that can be got in: lowered, or lowered beside and slid under."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import Polygon, affinity
from shapely.geometry.base import BaseGeometry

from model.flat_arcs import polygons_of
from model.geometry import Array
from model.shadow import areas_of

if TYPE_CHECKING:
    from model.foam.room import Slab
    from model.foam.settings import FoamSettings

PLAIN = 1.5
"""Outlines are made plainer by as much as this, mm, always inward, so that they take few straight cuts."""
SPECK = 1.0
"""An area below this is the rounding of outlines, mm2; the gap round every block is far more."""
HALVINGS = 3
"""So often is what lies under something parted until it can be slid there."""
BEYOND = (1.0, 40.0, 100.0)
"""A block is lowered so far beyond what covers its place, mm."""


@dataclass(frozen=True, eq=False)
class Cut:
    """The outline of a block and how it gets to its place.

    Attributes:
        outline: in plan, where it lies.
        slide: from where it is lowered to where it lies, `(2,)` mm; zeros where it is lowered straight down.
    """

    outline: Polygon
    slide: Array

    @property
    def slides(self) -> bool:
        """Whether it is slid under something."""
        return bool(np.abs(self.slide).max() > 0.0)


def cuts_of(slab: Slab, settings: FoamSettings) -> list[Cut]:
    """The blocks of a slab, in the order in which they are laid: first those that are slid."""
    found: list[Cut] = []
    left = slab.free
    for part in plain_parts(slab.free.difference(slab.open), settings):
        for cut in _slid(part, left, slab, settings, 0):
            found.append(cut)
            left = left.difference(cut.outline)
    return found + [Cut(own, np.zeros(2)) for own in _lowered(slab.open, settings)]


def swept(outline: Polygon, slide: Array) -> BaseGeometry:
    """What an outline passes over on its way from where it is lowered to where it lies, or a little more."""
    hull: BaseGeometry = shapely.union_all([outline, affinity.translate(outline, *(-slide))]).convex_hull
    return hull


def plain_parts(shape: BaseGeometry, settings: FoamSettings) -> list[Polygon]:
    """The parts of a shape that are nowhere narrower than a block may be, with few corners, within it."""
    half = settings.least / 2.0
    opened = shape.buffer(-half, join_style="mitre").buffer(half, join_style="mitre", mitre_limit=2.0)
    inner = opened.buffer(-PLAIN, join_style="mitre").simplify(PLAIN)
    kept = areas_of(inner).intersection(areas_of(shape))
    return [own for own in polygons_of(kept) if own.area >= 4.0 * settings.least**2]


def _slid(
    part: Polygon, left: BaseGeometry, slab: Slab, settings: FoamSettings, halved: int
) -> Iterator[Cut]:
    """Blocks of an area that is covered from above."""
    if part.area < 4.0 * settings.least**2:
        return
    whole = _longest(part) <= settings.most and not part.interiors
    step = _way_out(part, left, slab) if whole else None
    if step is not None:
        yield Cut(part, -step)
    elif halved < HALVINGS:
        for half in (own for shape in _halved(part) for own in polygons_of(shape)):
            for cut in _slid(half, left, slab, settings, halved + 1):
                yield cut
                left = left.difference(cut.outline)


def _way_out(part: Polygon, left: BaseGeometry, slab: Slab) -> Array | None:
    """The shortest move along or athwart that brings a covered block out to where it could be lifted."""
    x0, y0, x1, y1 = part.bounds
    long, wide = x1 - x0, y1 - y0
    tries = [
        np.array(move) * (size + more)
        for move, size in (((1, 0), long), ((-1, 0), long), ((0, 1), wide), ((0, -1), wide))
        for more in BEYOND
    ]
    for step in sorted(tries, key=lambda own: float(np.abs(own).max())):
        lowered = affinity.translate(part, *step)
        if lowered.difference(slab.open).area < SPECK and swept(part, -step).difference(left).area < SPECK:
            return step
    return None


def _lowered(shape: BaseGeometry, settings: FoamSettings) -> Iterator[Polygon]:
    """Blocks that are lowered straight down, none longer than one may be."""
    for own in plain_parts(shape, settings):
        if own.interiors:  # a wire could not get into a closed slot
            middle = Polygon(own.interiors[0]).centroid
            parts = _halved(own, (middle.x, middle.y))
        elif _longest(own) > settings.most:
            parts = _halved(own)
        else:
            yield own
            continue
        for part in parts:
            yield from _lowered(part, settings)


def _halved(area: Polygon, at: tuple[float, float] | None = None) -> list[BaseGeometry]:
    """The area parted across its longer way, in its middle or through a point."""
    x0, y0, x1, y1 = area.bounds
    x, y = at or ((x0 + x1) / 2.0, (y0 + y1) / 2.0)
    far = 1e5
    along = x1 - x0 >= y1 - y0
    low = shapely.box(-far, -far, x if along else far, far if along else y)
    return [area.intersection(low), area.difference(low)]


def _longest(area: Polygon) -> float:
    x0, y0, x1, y1 = area.bounds
    return float(max(x1 - x0, y1 - y0))
