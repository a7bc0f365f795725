"""Intervals and bars in the (s, r) coordinates of a deck's frame: s across the beams, r along them."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np
from shapely import Polygon, get_coordinates

from model.geometry import Array
from model.skeleton.plan_bar import Bar, Cut
from parts.section import Section


def straight(name: str, role: str, section: Section, p: object, q: object) -> Bar:
    """A bar with free square ends."""
    pa, qa = np.array(p, dtype=np.float64), np.array(q, dtype=np.float64)
    d = qa - pa
    return Bar(name, role, section, pa, qa, Cut.through(pa, -d), Cut.through(qa, d))


def reach(header: Bar) -> tuple[float, float]:
    """Least and greatest r of a bar along r, measured on its axis."""
    up = np.array([0.0, 1.0])
    ends = (
        float(header.p[1]) + header.cut_p.along(header.p, up),
        float(header.p[1]) + header.cut_q.along(header.p, up),
    )
    return min(ends), max(ends)


def ends(bar: Bar) -> tuple[Array, Array]:
    """The axis points in which a bar's cuts leave it."""
    d = bar.direction
    return bar.p + bar.cut_p.along(bar.p, d) * d, bar.p + bar.cut_q.along(bar.p, d) * d


def overlap(a: Bar, b: Bar) -> bool:
    """Whether two bars take up the same place."""
    (a_low, a_high), (b_low, b_high) = ((c.min(axis=0), c.max(axis=0)) for c in (a.corners(), b.corners()))
    if (a_low > b_high).any() or (b_low > a_high).any():
        return False
    return bool(Polygon(a.corners()).buffer(-0.02).intersects(Polygon(b.corners()).buffer(-0.02)))


def swap(points: Array, athwart: bool) -> Array:
    """Plane points `(..., 2)` in (s, r), or back: as they are where beams run athwart, else exchanged."""
    return points if athwart else points[..., ::-1]


def swap_polygon(shape: Polygon, athwart: bool) -> Polygon:
    """As `swap`, of the outside of a polygon."""
    return shape if athwart else Polygon(np.array(shape.exterior.coords)[:, ::-1])


def swap_bar(bar: Bar, athwart: bool) -> Bar:
    """As `swap`, of a bar with its cuts."""
    if athwart:
        return bar
    cut_p, cut_q = (replace(c, normal=c.normal[::-1].copy()) for c in (bar.cut_p, bar.cut_q))
    return replace(bar, p=bar.p[::-1].copy(), q=bar.q[::-1].copy(), cut_p=cut_p, cut_q=cut_q)


def chords(shape: Polygon, s: float) -> list[tuple[float, float]]:
    """The r intervals in which the line of constant s lies in a polygon."""
    found = []
    for ring in _rings(shape):
        before, r_before = ring[-1]
        for at, r in ring:
            if (before <= s) != (at <= s):
                found.append(r_before + (s - before) / (at - before) * (r - r_before))
            before, r_before = at, r
    found.sort()
    return [(low, high) for low, high in zip(found[::2], found[1::2], strict=True) if high > low]


@lru_cache(maxsize=64)
def _rings(shape: Polygon) -> list[list[tuple[float, float]]]:
    """Corners of a polygon's rings, the first not repeated: the same few areas are asked again and again."""
    rings = [shape.exterior, *shape.interiors] if not shape.is_empty else []
    return [[(s, r) for s, r in get_coordinates(ring)[:-1].tolist()] for ring in rings]


def less(free: list[tuple[float, float]], taken: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Intervals without the parts that are taken."""
    for a, b in taken:
        free = [
            piece
            for lo, hi in free
            for piece in ((lo, min(hi, a)), (max(lo, b), hi))
            if piece[1] - piece[0] > 1e-9
        ]
    return free


def band_extent(corners: Array, s0: float, s1: float) -> tuple[float, float] | None:
    """Least and greatest r of a convex footprint `(4, 2)` within the band s0..s1; None if it is outside."""
    places = corners.tolist()
    if min(s for s, _ in places) >= s1 or max(s for s, _ in places) <= s0:
        return None
    reached = [r for s, r in places if s0 <= s <= s1]
    before, r_before = places[-1]
    for at, r in places:
        passed = (edge for edge in (s0, s1) if min(before, at) < edge < max(before, at))
        reached += [r_before + (edge - before) / (at - before) * (r - r_before) for edge in passed]
        before, r_before = at, r
    return min(reached), max(reached)
