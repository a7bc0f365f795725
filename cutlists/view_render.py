"""Shaded pictures by casting rays: flat faces, a soft key light, and darker corners where light is caught."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from cutlists.view_camera import Camera
from cutlists.view_shapes import Ids, Shapes
from model.geometry import Array, unit

PAPER = np.array([1.0, 1.0, 1.0])
KEY = unit((-0.45, 0.55, 0.70))
"""Direction toward the key light in view coordinates: over the viewer's left shoulder."""
AMBIENT = 0.62
"""Light on a face turned away from the key."""
FINE = 3
"""Rays across a pixel, each way, where surfaces meet."""
DARKEST = 0.62
"""What is left of the light in the tightest corner."""
REACH = 260.0
"""Metal nearer than this shades a point, mm."""
CELL = 4
"""The pattern of shading rays repeats every so many pixels, each way."""
RAYS = 6
"""Shading rays from each pixel; a pattern cell together casts CELL x CELL x RAYS."""
FAR_TINT, NEAR_TINT = 0.38, 0.14
"""Cover of a see-through surface behind the solid pieces and in front of them."""


def face_colours(shapes: Shapes) -> Array:
    """Colour of every triangle under the key light, `(m, 3) float` of 0 to 1.

    See-through pieces take their light from the viewer, so that both sides of a hull come out alike.
    """
    facing = shapes.normals * np.sign(shapes.normals[:, 2:3] + 1e-12)
    ghostly = np.array([piece.is_ghost for piece in shapes.pieces], dtype=bool)[shapes.piece]
    lit = AMBIENT + (1.06 - AMBIENT) * np.clip(facing @ KEY, 0.0, 1.0)
    lit = np.where(ghostly, 0.80 + 0.22 * facing[:, 2], lit)
    own = np.array([piece.colour.rgb for piece in shapes.pieces]).reshape(-1, 3)[shapes.piece]
    found: Array = np.clip(own * lit[:, None], 0.0, 1.0)
    return found


def pixel_places(camera: Camera) -> Array:
    """View coordinates (right, up) of pixel centres row by row, `(height * width, 2) float`, mm."""
    across = (np.arange(camera.width) + 0.5) / camera.scale
    down = (np.arange(camera.height) + 0.5) / camera.scale
    flat = np.empty((camera.height, camera.width, 2))
    flat[..., 0], flat[..., 1] = across, -down[:, None]
    return flat.reshape(-1, 2)


def shaded(solid: Shapes, ghost: Shapes, camera: Camera) -> Array:
    """The picture without its lines, `(height, width, 3) float` of 0 to 1.

    Args:
        solid: pieces that hide what is behind them.
        ghost: pieces seen through (the hull).
        camera: the view and its size.
    """
    places = pixel_places(camera)
    ids = solid.first_hits(places).reshape(camera.height, camera.width)
    back, front, cover = _ghost_layers(solid, ghost, ids, places)
    light = _corner_light(solid, ids, camera)
    table = np.concatenate([face_colours(solid), PAPER[None]])
    found = np.where((ids >= 0)[..., None], table[ids] * light[..., None], back)
    mixed = _borders(np.append(_surfaces(solid), -1)[ids])
    steps = ((np.arange(FINE) + 0.5) / FINE - 0.5) / camera.scale
    total = np.zeros((int(mixed.sum()), 3))
    for step in np.stack(np.meshgrid(steps, steps), axis=-1).reshape(-1, 2):
        part = solid.first_hits(places[mixed.ravel()] + step)
        lit = table[part] * light[mixed][:, None]
        total += np.where((part >= 0)[:, None], lit, back[mixed])
    found[mixed] = total / FINE**2
    blended: Array = found * (1.0 - cover[..., None]) + front * cover[..., None]
    return blended


def _borders(surfaces: Ids) -> npt.NDArray[np.bool_]:
    """Pixels with another surface beside them, above or below."""
    found = np.zeros(surfaces.shape, dtype=np.bool_)
    across, down = surfaces[:, 1:] != surfaces[:, :-1], surfaces[1:] != surfaces[:-1]
    found[:, 1:] |= across
    found[:, :-1] |= across
    found[1:] |= down
    found[:-1] |= down
    return found


def _ghost_layers(solid: Shapes, ghost: Shapes, ids: Ids, flat: Array) -> tuple[Array, Array, Array]:
    """Backdrop colour, colour in front, and its cover `(height, width)`: see-through pieces as two layers."""
    near = ghost.first_hits(flat)
    far = ghost.first_hits(flat, from_behind=True)
    table = np.concatenate([face_colours(ghost), PAPER[None]])
    back = PAPER + (table[far] - PAPER) * FAR_TINT * (far >= 0)[:, None]
    seen = ids.ravel()
    both = (near >= 0) & (seen >= 0)
    ahead = near >= 0
    ahead[both] = ghost.depth(flat[both], near[both]) > solid.depth(flat[both], seen[both]) + 1.0
    # One skin met from both sides is one wall, not a near and a far one.
    single = (near >= 0) & (seen < 0)
    single[single] = (
        np.abs(ghost.depth(flat[single], near[single]) - ghost.depth(flat[single], far[single])) < 15.0
    )
    cover = np.where(ahead & ~single, NEAR_TINT, 0.0)
    colours = (*ids.shape, 3)
    return back.reshape(colours), table[near].reshape(colours), cover.reshape(ids.shape)


def _corner_light(solid: Shapes, ids: Ids, camera: Camera) -> Array:
    """Share of light at each pixel, `(height, width) float`: less where metal is close around it."""
    rows, columns = np.nonzero(ids >= 0)
    face = ids[rows, columns]
    flat = np.column_stack([columns + 0.5, -(rows + 0.5)]) / camera.scale
    normals = solid.normals[face] * np.sign(solid.normals[face, 2:3] + 1e-12)
    points = np.column_stack([flat, solid.depth(flat, face)]) + 0.5 * normals
    cell = (rows % CELL) * CELL + columns % CELL
    shut = np.zeros(len(rows))
    for ray in _hemisphere(CELL * CELL * RAYS).reshape(RAYS, CELL * CELL, 3):
        # A point on the unit sphere added to the normal gives directions by the cosine law.
        way = normals + ray[cell] * 0.999
        way /= np.linalg.norm(way, axis=1, keepdims=True)
        shut += solid.hidden(points, way, REACH)
    grid = np.zeros(ids.shape)
    grid[rows, columns] = shut / RAYS
    return 1.0 - (1.0 - DARKEST) * _smoothed(grid, np.append(_surfaces(solid), -1)[ids])


def _hemisphere(count: int) -> Array:
    """Directions spread evenly over the sphere (golden spiral), shuffled by a fixed draw; `(count, 3)`."""
    k = np.arange(count) + 0.5
    z = 1.0 - 2.0 * k / count
    turn = np.pi * (1.0 + np.sqrt(5.0)) * k
    flat = np.sqrt(1.0 - z**2)
    found: Array = np.column_stack([flat * np.cos(turn), flat * np.sin(turn), z])
    return np.random.default_rng(7).permutation(found)


def _surfaces(shapes: Shapes) -> Ids:
    """A number for each triangle, shared by the triangles of one piece that face the same way; `(m,)`."""
    keys = np.column_stack([shapes.piece, np.round(shapes.normals * 50.0)]).astype(np.int32)
    return np.unique(keys, axis=0, return_inverse=True)[1].astype(np.int32).ravel()


def _smoothed(grid: Array, ids: Ids) -> Array:
    """Mean of `grid` over the pattern cell around each pixel, over the pixels of the same surface only."""
    total, weight = np.zeros_like(grid), np.zeros_like(grid)
    for down in range(-CELL // 2, CELL // 2):
        for across in range(-CELL // 2, CELL // 2):
            other = np.roll(ids, (down, across), axis=(0, 1))
            same = other == ids
            total += np.where(same, np.roll(grid, (down, across), axis=(0, 1)), 0.0)
            weight += same
    found: Array = total / weight
    return found
