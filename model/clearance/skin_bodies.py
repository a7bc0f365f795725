"""The hull's skin, ribs and stringers as solids, in short stretches that are quick to measure against."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

import numpy as np

from model.clearance.solid import Solid
from model.geometry import Array
from model.hull import Hull
from model.hull_grid import skin_grid
from model.mesh import Faces, Mesh
from model.stiffeners import Rib, Stringer
from model.survey import SIDES, Side

if TYPE_CHECKING:
    from model.clearance.bodies import Body

SPACING = 20.0
"""Rows along the skin, mm apart: chords lie within 0.02 mm of a side of 2.5 m radius."""

ROWS = 13
"""Rows of one stretch."""

THIN = 1.0
"""A hull told without thickness is measured as if it were this thick, mm."""

ALONG = 50.0
"""Rows along a stringer, mm apart."""


_MADE: WeakKeyDictionary[Hull, list[Body]] = WeakKeyDictionary()


def skin_bodies(hull: Hull) -> list[Body]:
    """The skin as the body `hull`, and each rib and stringer by its name; made once for a hull."""
    if hull not in _MADE:
        _MADE[hull] = _bodies(hull)
    return list(_MADE[hull])


def _bodies(hull: Hull) -> list[Body]:
    from model.clearance.bodies import Body

    found = [Body("hull", "hull", tuple(_skin(hull)))]
    found += [Body(rib.name, "rib", tuple(_rib(hull, rib))) for rib in hull.ribs]
    found += [Body(bar.name, "stringer", tuple(_stringer(hull, bar))) for bar in hull.stringers]
    return [body for body in found if body.solids]


def _skin(hull: Hull) -> Iterator[Solid]:
    """Stretches of the skin between named lines, then transom and bow plate."""
    grid = skin_grid(hull, SPACING)
    inner, outer = grid.points, grid.outside(hull.thickness or THIN)
    lines = grid.columns[list(hull.line_rows)]
    for start in range(0, len(inner) - 1, ROWS - 1):
        rows = slice(start, start + ROWS)
        for low, high in pairwise(lines):
            columns = slice(low, high + 1)
            yield from _slab(inner[rows, columns], outer[rows, columns])
    ends = [0] if hull.bow is None else [0, -1]
    for row in ends:
        yield from _plate(inner[row], outer[row], forward=row == -1)


def _plate(inner: Array, outer: Array, forward: bool) -> Iterator[Solid]:
    """A flat end between the sides of a section, `(n, 3)` points from gunwale to gunwale."""
    half = (len(inner) + 1) // 2
    sides = [np.stack([points[:half], points[::-1][:half]]) for points in (inner, outer)]
    if not forward:
        sides = [side[::-1] for side in sides]
    yield from _slab(*sides)


def _slab(inner: Array, outer: Array) -> Iterator[Solid]:
    """The solid between two grids of points `(r, n, 3)`; nothing where they leave no volume.

    Points that fall together, as where lines meet in a stem, are made one.
    """
    rows, columns = inner.shape[:2]
    size = rows * columns
    cells = _cells(rows, columns)
    rim = _rim(rows, columns)
    ahead = np.roll(rim, -1)
    walls = np.concatenate(
        [np.stack([rim, ahead, ahead + size], axis=1), np.stack([rim, ahead + size, rim + size], axis=1)]
    )
    faces = np.concatenate([cells[:, ::-1], cells + size, walls])
    points = np.concatenate([inner.reshape(-1, 3), outer.reshape(-1, 3)])
    mesh = _welded(points, faces)
    volume = mesh.volume
    if abs(volume) > 1e-3:
        yield Solid.of_mesh(mesh if volume > 0 else Mesh(mesh.vertices, mesh.faces[:, ::-1]))


def _cells(rows: int, columns: int) -> Faces:
    j, i = np.meshgrid(np.arange(rows - 1), np.arange(columns - 1), indexing="ij")
    a = (j * columns + i).ravel()
    b, c, d = a + 1, a + 1 + columns, a + columns
    return np.concatenate([np.stack([a, b, c], axis=1), np.stack([a, c, d], axis=1)]).astype(np.int64)


def _rim(rows: int, columns: int) -> Faces:
    """Vertices round the grid in the sense of its cells."""
    numbers = np.arange(rows * columns, dtype=np.int64).reshape(rows, columns)
    return np.concatenate([numbers[0, :-1], numbers[:-1, -1], numbers[-1, :0:-1], numbers[:0:-1, 0]])


def _welded(points: Array, faces: Faces) -> Mesh:
    _, first, same = np.unique(np.round(points, 6) + 0.0, axis=0, return_index=True, return_inverse=True)
    if len(first) == len(points):
        return Mesh(points, faces)
    made = same.ravel()[faces]
    a, b, c = made.T
    return Mesh(points[first], made[(a != b) & (b != c) & (c != a)])


def _rib(hull: Hull, rib: Rib) -> Iterator[Solid]:
    """A rib on both sides: it follows the skin, and its top lies its height above."""
    x = np.array([rib.x - rib.width / 2.0, rib.x + rib.width / 2.0])
    x = np.clip(x, *hull.span)
    for side in SIDES:
        foot = _on_side(hull, side, x, rib)
        top = foot + np.array([0.0, 0.0, rib.height])
        yield from _slab(foot, top)


def _on_side(hull: Hull, side: Side, x: Array, rib: Rib) -> Array:
    skin = hull.skins[side]
    low, high = sorted((skin.rows[rib.low], skin.rows[rib.high]))
    section = hull.section(x, side)[:, low : high + 1]
    return np.concatenate([np.broadcast_to(x[:, None, None], (*section.shape[:2], 1)), section], axis=2)


def _stringer(hull: Hull, bar: Stringer) -> Iterator[Solid]:
    """A stringer with a level top, its foot on the skin; what would lie outside the skin is left out."""
    count = max(2, int((bar.forward - bar.aft) / ALONG) + 2)
    x = np.linspace(bar.aft, bar.forward, count)
    y = bar.y + np.array([-0.5, 0.0, 0.5]) * bar.width
    foot = hull.bottom(x[:, None], y[None])
    sound = np.isfinite(foot).all(axis=1)
    x, foot = x[sound], foot[sound]
    if len(x) < 2:
        return
    top = np.broadcast_to(foot[:, 1:2] + bar.height, foot.shape)
    wide = np.broadcast_to(y, foot.shape)
    long = np.broadcast_to(x[:, None], foot.shape)
    yield from _slab(np.stack([long, wide, foot], axis=-1), np.stack([long, wide, top], axis=-1))
