"""Where a moving body first touches what stands still: exact over the whole motion, not at chosen poses.

The body is cut into bands by how far their points travel. A band that keeps a gap g from everything can move
on until its fastest point has gone g without touching anything; there the gap is asked again (conservative
advancement). The steps shrink towards a touch and never pass one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import manifold3d
import numpy as np

from model.clearance.motion import Motion, Turn
from model.clearance.nearest import nearest_points
from model.clearance.solid import Solid, points_of
from model.geometry import Array

NEAR = 0.02
"""Gaps below this, mm, count as a touch."""

FAR = 60.0
"""Gaps are asked no further than this, mm: a step is never longer."""

FIRST = 5.0
"""The first gap is asked up to this, mm; later ones up to this more than twice the gap before."""

BANDS = (6.0, 16.0, 40.0, 90.0, 180.0, 320.0, 520.0)
"""Distances from the hinge, mm, at which a body is cut into bands."""

MOST_STEPS = 4000

POSES = 24
"""Poses at which a moving body's box is held against those of what stands still."""


@dataclass(frozen=True, eq=False)
class Touch:
    """A first touch: `at` what point of the motion, rad or mm, with which solid in the way, and where."""

    at: float
    solid: int
    where: Array


def first_touch(moving: Sequence[Solid], still: Sequence[Solid], motion: Motion) -> Touch | None:
    """The first touch of a moving body with solids that stand still; None if it moves to its end free.

    Args:
        moving: its solids where the motion begins.
        still: solids in its way, or not.
        motion: how it moves.

    Returns:
        The touch; `at` is right within what it takes to travel 0.02 mm.
    """
    near = _may_meet(moving, still, motion)
    if not near:
        return None
    everything = manifold3d.Manifold.compose([still[k].body for k in near])
    least, band = motion.limit, None
    for part in _bands(moving, motion):
        at = _advance(part, everything, motion, least)
        if at is not None and at <= least:
            least, band = at, part
    if band is None:
        return None
    return _told(band, [still[k] for k in near], near, motion, least)


def _may_meet(moving: Sequence[Solid], still: Sequence[Solid], motion: Motion) -> list[int]:
    """Which solids boxes let be met: those of each body at a few poses, grown by what lies between them."""
    if not still:
        return []
    swept = np.array([box for body in moving for box in _boxes(body, motion)])
    low, high = np.moveaxis(np.array([solid.box for solid in still]), 1, 0)
    near = (swept[:, None, 0] <= high).all(axis=2) & (swept[:, None, 1] >= low).all(axis=2)
    return [int(k) for k in np.flatnonzero(near.any(axis=0))]


def _boxes(body: Solid, motion: Motion) -> Iterator[Array]:
    """The box `(2, 3)` of a body at each of a few poses, grown by half the way to the next one."""
    step = motion.limit / POSES
    points = body.mesh.vertices
    grown = float(motion.reach(points).max()) * step / 2.0 + NEAR
    for k in range(POSES + 1):
        matrix, offset = motion.pose(k * step)
        turned = points @ matrix.T + offset
        yield np.stack([turned.min(axis=0) - grown, turned.max(axis=0) + grown])


@dataclass(frozen=True, eq=False)
class _Band:
    body: manifold3d.Manifold
    reach: float

    def at(self, motion: Motion, value: float) -> manifold3d.Manifold:
        matrix, offset = motion.pose(value)
        return self.body.transform(np.column_stack([matrix, offset]))


def _bands(moving: Sequence[Solid], motion: Motion) -> list[_Band]:
    """The body in bands, slowest first; of one that moves straight, the whole."""
    found = []
    for solid in moving:
        rest = solid.body
        for far in BANDS:
            inner, rest = _split(rest, motion, far)
            found += _band(inner, motion)
        found += _band(rest, motion)
    return sorted(found, key=lambda band: band.reach)


def _split(
    body: manifold3d.Manifold, motion: Motion, far: float
) -> tuple[manifold3d.Manifold, manifold3d.Manifold]:
    """What lies nearer to the hinge line than `far`, as the body stretches away from it, and the rest."""
    empty = manifold3d.Manifold()
    if body.is_empty() or not isinstance(motion, Turn):
        return empty, body
    points = points_of(body)
    away = points - motion.point
    away = away - np.outer(away @ motion.axis, motion.axis)
    out = away.mean(axis=0)
    size = float(np.sqrt(out @ out))
    if size < 1e-6 or float((away @ out).min()) > far * size:
        return empty, body
    normal = out / size
    outer, inner = body.split_by_plane(normal, float(normal @ motion.point) + far)
    return inner, outer


def _band(body: manifold3d.Manifold, motion: Motion) -> list[_Band]:
    if body.is_empty():
        return []
    return [_Band(body, float(motion.reach(points_of(body)).max()))]


def _advance(band: _Band, everything: manifold3d.Manifold, motion: Motion, limit: float) -> float | None:
    """Where a band first touches, within `limit`; None where it does not."""
    at, ask = 0.0, FIRST
    for _ in range(MOST_STEPS):
        # no gap is of use that is wider than what is left to travel; and a narrow question is soon answered
        ask = min(ask, band.reach * (limit - at) + NEAR, FAR)
        gap = float(everything.min_gap(band.at(motion, at), ask))
        if gap < NEAR:
            return at
        at += (gap - NEAR / 2.0) / max(band.reach, 1e-9)
        if at >= limit:
            return None
        ask = 2.0 * gap + FIRST
    return at  # so slow an approach is as good as a touch


def _told(band: _Band, still: Sequence[Solid], numbers: Sequence[int], motion: Motion, at: float) -> Touch:
    """Which solid is touched, and where."""
    body = band.at(motion, at)
    gaps = [float(solid.body.min_gap(body, FAR)) for solid in still]
    first = int(np.argmin(gaps))
    moved = Solid.of_body(body)
    points = nearest_points(moved.mesh, still[first].mesh, gaps[first])
    return Touch(at, numbers[first], points.mean(axis=0))
