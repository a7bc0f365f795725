"""How the end of a run comes under cover: through the hole of the fitting itself, straight down or back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from model.geometry import Array
from model.ways.places import CLIP, GIVE, ON_FACE

if TYPE_CHECKING:
    from model.ways.blocks import Slab
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


def entry_of(ways: Ways, point: Array, radius: float) -> Entry:
    """How the end of a run joins the ways; one that can not is its own inner point.

    It leads straight out of the face of the fitting it ends on, or through the sheet that this stands on, so
    far that the run is clear. The tail of a fitting is taken to be turned there the way the run goes on.
    """
    key = (point.tobytes(), radius)
    if key not in ways.entries:
        ways.entries[key] = _entry(ways, point, radius)
    return ways.entries[key]


def _entry(ways: Ways, point: Array, radius: float) -> Entry:
    at = point[None]
    if ways.cover.covered(at)[0] and not ways.cover.in_well(at)[0]:
        return Entry(point, _off_its_face(ways, point, radius))
    off = radius + CLIP
    blocks = ways.blocks
    found: list[tuple[float, Array, str]] = []
    for k in np.flatnonzero(np.isin(blocks.kinds, ("sheet", "well"))):
        slab = blocks.slabs[k]
        u, v, w = slab.frame.to_frame(point)
        if not (slab.z0 - DROP < w < slab.z1 + DROP):
            continue
        if not shapely.intersects_xy(shapely.Polygon(slab.shape.exterior), u, v):  # holes are its own drains
            continue
        below = w > (slab.z0 + slab.z1) / 2.0
        beyond = slab.z0 - off if below else slab.z1 + off
        found.append((abs(w - beyond), slab.frame.to_boat(np.array([u, v, beyond])), slab.name))
    for _, inner, name in sorted(found, key=lambda row: row[0]):
        if _joins(ways, inner, radius):
            return Entry(point, inner, name)
    return Entry(point, point)


def _off_its_face(ways: Ways, point: Array, radius: float) -> Array:
    """A point straight out from the face of a fitting on which a run ends; the point itself beside none."""
    off = radius + CLIP
    found: list[tuple[float, Array]] = []
    _, near = ways.blocks.hits(point[None], point[None], off)
    for k in near:
        slab = ways.blocks.slabs[int(k)]
        if slab.kind == "fixture":
            found.append(_out_of(slab, point))
    if not found:
        return point
    gap, way = max(found, key=lambda pair: pair[0])
    if gap < -ON_FACE:
        return point  # inside: nothing tells which way it leaves
    inner: Array = point + (off - gap) * way
    return inner if _joins(ways, inner, radius) else point


def _out_of(slab: Slab, point: Array) -> tuple[float, Array]:
    """How far a point lies off the nearest face of a slab, mm, below zero inside, and the way out there."""
    u, v, w = slab.frame.to_frame(point)
    over, under = float(w) - slab.z1, slab.z0 - float(w)
    ring, at = slab.shape.exterior, shapely.Point(u, v)
    aside = float(ring.distance(at)) * (-1.0 if slab.shape.contains(at) else 1.0)
    if max(over, under) >= aside:
        return (over, slab.frame.z) if over >= under else (under, -slab.frame.z)
    foot = np.array(ring.interpolate(ring.project(at)).coords[0])
    way = (np.array([u, v]) - foot) * np.sign(aside)
    if float(way @ way) < 1e-9:  # on the edge itself: from the middle outward
        way = foot - np.array(slab.shape.centroid.coords[0])
    way = way / np.sqrt(way @ way)
    return aside, slab.frame.x * way[0] + slab.frame.y * way[1]


def _joins(ways: Ways, inner: Array, radius: float) -> bool:
    """Whether a run may lie there, fittings left out."""
    at = inner[None]
    if not ways.cover.covered(at)[0] or ways.cover.in_well(at)[0]:
        return False
    _, slab = ways.blocks.hits(at, at, radius + CLIP - GIVE)
    solid = ways.blocks.kinds[slab] != "room"
    return not solid.any() and float(ways.hull.gap(at, ends=True)[0]) >= radius
