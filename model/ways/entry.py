"""How the end of a run comes under cover: through the hole of the fitting itself, straight down or back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from model.geometry import Array
from model.ways.places import CLIP, GIVE

if TYPE_CHECKING:
    from model.ways.route import Ways

DROP = 300.0
"""A fitting stands no further than this off the sheet through which its wire or hose goes, mm."""


@dataclass(frozen=True, eq=False)
class Entry:
    """The end of a run and where it joins the ways.

    Attributes:
        outer: the end itself `(3,)`, mm.
        inner: where the ways begin; the end itself where that is under cover.
        through: the sheet between the two, with a hole of the fitting's own; empty if there is none.
    """

    outer: Array
    inner: Array
    through: str = ""


def entry_of(ways: Ways, point: Array, radius: float, bend: float = 0.0) -> Entry:
    """How a point joins the ways; one that can not is its own inner point.

    Args:
        ways: of the boat.
        point: where the run ends, `(3,)`.
        radius: of the run, mm.
        bend: a hose goes on straight for so much before it is bent, mm, if there is room.
    """
    key = (point.tobytes(), radius, bend)
    if key not in ways.entries:
        ways.entries[key] = _entry(ways, point, radius, bend)
    return ways.entries[key]


def _entry(ways: Ways, point: Array, radius: float, bend: float) -> Entry:
    at = point[None]
    if ways.cover.covered(at)[0] and not ways.cover.in_well(at)[0]:
        return Entry(point, point)
    off = radius + CLIP
    blocks = ways.blocks
    found: list[tuple[float, Array, Array, str]] = []
    for k in np.flatnonzero(np.isin(blocks.kinds, ("sheet", "well"))):
        slab = blocks.slabs[k]
        u, v, w = slab.frame.to_frame(point)
        if not (slab.z0 - DROP < w < slab.z1 + DROP):
            continue
        if not shapely.intersects_xy(shapely.Polygon(slab.shape.exterior), u, v):  # holes are its own drains
            continue
        below = w > (slab.z0 + slab.z1) / 2.0
        beyond = slab.z0 - off if below else slab.z1 + off
        way = -slab.frame.z if below else slab.frame.z
        found.append((abs(w - beyond), slab.frame.to_boat(np.array([u, v, beyond])), way, slab.name))
    for _, inner, way, name in sorted(found, key=lambda row: row[0]):
        for more in dict.fromkeys((bend, bend / 2.0, 0.0)):
            if _joins(ways, inner + more * way, radius) and _joins(ways, inner + more / 2.0 * way, radius):
                return Entry(point, inner + more * way, name)
    return Entry(point, point)


def _joins(ways: Ways, inner: Array, radius: float) -> bool:
    """Whether a run may lie there, fittings left out."""
    at = inner[None]
    if not ways.cover.covered(at)[0] or ways.cover.in_well(at)[0]:
        return False
    _, slab = ways.blocks.hits(at, at, radius + CLIP - GIVE)
    solid = ~np.isin(ways.blocks.kinds[slab], ("fixture", "room"))
    return not solid.any() and float(ways.hull.gap(at, ends=True)[0]) >= radius
