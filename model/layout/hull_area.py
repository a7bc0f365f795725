"""What a deck, a locker or a frame may fill: the hull cut by a plane and held off the skin by a gap."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.polygon import orient

from model.geometry import Array, Frame
from model.hull import Hull
from model.hull_outline import Cut
from model.kept import Kept
from model.layout.edges import largest

LEAST_SLOPE = 0.12
"""Sine of seven degrees; where the skin lies flatter in the plane a gap is not measured along it."""

ROUNDS, DRAW, MOST_DRAW, CLOSE = 6, 2.0, 20.0, 0.01
"""An outline too near the skin is drawn in until it lacks at most 0.01 mm, in six rounds at most.

First by twice what it lacks, then by what that proved to need, at most 20 times what it lacks.
"""
NIL = 1e-9

SHARP = np.cos(np.radians(3.0))


def hull_area(
    hull: Hull, frame: Frame, drop: float = 0.0, gap: float = 0.0, thickness: float = 0.0
) -> Polygon:
    """The inside of the hull in the plane `drop` below `frame`, held `gap` off the skin; in its coordinates.

    The gap is measured square to the skin, so where the side flares the outline stands further in than
    the gap itself. With a thickness it is what the middle of such a sheet may fill for both its faces to keep
    the gap. Empty where the plane misses the boat.
    """
    plane = frame.moved(dz=-drop)
    asked = (plane.origin.tobytes(), plane.axes.tobytes(), gap, thickness)
    return _AREAS.get(hull, asked, lambda: _held_off(hull, plane, gap, thickness))


_AREAS: Kept[Polygon] = Kept(most=3000)
"""Areas of a hull by plane, gap and thickness: decks on both sides and lockers under them ask alike."""


def _held_off(hull: Hull, plane: Frame, gap: float, thickness: float) -> Polygon:
    cut = hull.cut(plane.plane)
    if not len(cut.points):
        return Polygon()
    flat = plane.to_frame(cut.points)[:, :2]
    area = _sound(Polygon(flat))
    if gap + thickness <= 0 or area.is_empty:
        return area
    leans = thickness / 2 * np.abs(cut.facing @ plane.z)  # what a face is nearer the skin than the middle
    inset = _inset(flat, (gap + leans) * _stand_in(cut, plane))
    found = _sound(Polygon(inset), area.area)
    return found if area.covers(found) else largest(found.intersection(area))


def cleared(hull: Hull, frame: Frame, area: Polygon, gap: float) -> Polygon:
    """An area in the plane of `frame` drawn in wherever its outline stands nearer the skin than `gap`.

    `hull_area` goes by the skin that its own outline lies on; just above a chine the skin below it is nearer.
    """
    if area.is_empty:
        return area
    asked = (frame.origin.tobytes(), frame.axes.tobytes(), area.wkb, gap)
    return _CLEARED.get(hull, asked, lambda: _cleared(hull, frame, area, gap))


_CLEARED: Kept[Polygon] = Kept(most=1000)


def _cleared(hull: Hull, frame: Frame, area: Polygon, gap: float) -> Polygon:
    ring = np.array(orient(area).exterior.coords)[:-1]
    lack = gap - hull.gap(frame.to_boat(ring))
    draw = np.full(len(ring), DRAW)
    for _ in range(ROUNDS):
        near = np.flatnonzero(lack > CLOSE)
        if not len(near):
            break
        step = ring[(near + 1) % len(ring)] - ring[near - 1]
        inward = np.stack([-step[:, 1], step[:, 0]], axis=1) / np.hypot(step[:, 0], step[:, 1])[:, None]
        moved = draw[near] * lack[near]
        ring[near] += inward * moved[:, None]
        left = gap - hull.gap(frame.to_boat(ring[near]))
        gained = lack[near] - left
        lack[near], draw[near] = left, np.clip(moved / np.maximum(gained, NIL), 1.0, MOST_DRAW)
        lost = near[gained <= 0.0]  # at a tip, whose sides cross when they are drawn in
        ring, lack, draw = (np.delete(own, lost, axis=0) for own in (ring, lack, draw))
    return _sound(Polygon(ring))


def _stand_in(cut: Cut, plane: Frame) -> Array:
    """For each side of the outline how far in the plane one must go to come 1 mm away from the skin.

    1 where the skin stands upright on the plane, more where it leans; 0 along the open top of the hull.
    """
    across = np.hypot(cut.facing @ plane.x, cut.facing @ plane.y)
    return np.where(cut.facing.any(axis=1), 1.0 / np.maximum(across, LEAST_SLOPE), 0.0)


def _inset(ring: Array, distance: Array) -> Array:
    """A counter-clockwise ring with each side moved inward by its own distance."""
    step = np.concatenate([ring[1:], ring[:1]]) - ring
    length = np.hypot(step[:, 0], step[:, 1])
    keep = length > 1e-9
    ring, step, distance = ring[keep], step[keep] / length[keep, None], distance[keep]
    inward = np.stack([-step[:, 1], step[:, 0]], axis=1)
    before, d_before = (np.concatenate([own[-1:], own[:-1]]) for own in (inward, distance))
    alike = (before * inward).sum(axis=1)
    mean = (d_before + distance) / 2 / np.maximum(1.0 + alike, 0.05)
    found: Array = ring + (before + inward) * mean[:, None]
    sharp = np.flatnonzero(alike < SHARP)
    # At a corner the two moved sides are run on until they meet.
    d, d_before = step[sharp], step[sharp - 1]
    moved_before = ring[sharp] + before[sharp] * distance[sharp - 1][:, None]
    gap = ring[sharp] + inward[sharp] * distance[sharp][:, None] - moved_before
    turn = d_before[:, 0] * d[:, 1] - d_before[:, 1] * d[:, 0]
    travel = (gap[:, 0] * d[:, 1] - gap[:, 1] * d[:, 0]) / np.where(np.abs(turn) < NIL, np.inf, turn)
    found[sharp] = moved_before + d_before * travel[:, None]
    return found


def _sound(area: Polygon, whole: float = np.inf) -> Polygon:
    """The area itself, or its largest sound part where its outline crosses itself; at most `whole`, mm2."""
    if area.is_valid:
        return area
    mended = largest(area.buffer(0))  # ten times faster than make_valid, but it may drop the wrong lobe
    if mended.area > 0.9 * whole:
        return mended
    return mended if mended.area > 0.9 * area.convex_hull.area else largest(shapely.make_valid(area))
