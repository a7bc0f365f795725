"""Water that stands: how much, on what, where it is deepest, and the hole that would let it out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
import shapely.ops
from shapely.geometry.base import BaseGeometry

from model.geometry import Array
from model.mesh import Mesh
from model.water.columns import SKIN, Ints
from model.water.flow import Filling
from model.water.links import NO_WALL

LITRE = 1e6
"""Cubic millimetres."""

LOWER = 1.0
"""A hole that would let the water down by less than this, mm, is no cure."""

ALIKE = 0.2
"""Of holes that let the water down within this, mm, the one nearest to the lowest place is taken."""

DRAIN_ROOM = 17.0
"""Half of a drain of 1 in with metal about it, mm."""

REACH = 120.0
"""A member no further below a floor than this, mm, is in a drain's way."""

EVEN = 4.0
"""Floors of neighbouring columns that differ by no more than this, mm, are drawn as one slope."""

THIN = 0.1
"""Least depth that water is drawn with, mm."""

CORNERS = ((0, 0, 0), (1, 0, 0), (1, 1, 0), (0, 1, 0), (0, 0, 1), (1, 0, 1), (1, 1, 1), (0, 1, 1))
"""Corners of a block: after or forward, starboard or port, below or above."""

SIDES = ((0, 3, 2, 1), (4, 5, 6, 7), (0, 1, 5, 4), (1, 2, 6, 5), (2, 3, 7, 6), (3, 0, 4, 7))
BLOCK = np.array([(s[0], s[k], s[k + 1]) for s in SIDES for k in (1, 2)])
"""Triangles of a block over its corners, counter-clockwise from outside."""

SHALLOW = 5.0
"""A limber hole that leaves no more than this, mm, as below a hole in tube, is good enough."""

FAR = 8
"""Columns looked at across a block for its other side."""


@dataclass(frozen=True, eq=False)
class Cure:
    """A hole that would let water out.

    Attributes:
        kind: limber (through an upright or a member) or drain (down through sheet, or out of the hull).
        through: the piece.
        at: lowest point of the hole, `(3,)`, mm.
        level: true height to which the water would still stand, mm.
        below: where a drain leads: the piece that lies under it; empty for out of the boat.
    """

    kind: str
    through: str
    at: Array
    level: float
    below: str = ""


@dataclass(frozen=True, eq=False)
class Pond:
    """Water that stands in one place.

    Attributes:
        on: the piece on which it is deepest.
        litres: how much.
        error: by how much it may be off, litres: half of what stands over the outermost columns.
        lowest: the deepest place, `(3,)`, mm.
        depth: there, mm, along the true vertical.
        area: of the water in plan, mm2.
        floors: under it.
        attitude: how the boat lies.
        cure: the hole that would let most of it out.
        mesh: the water, in closed blocks.
    """

    on: str
    litres: float
    error: float
    lowest: Array
    depth: float
    area: float
    floors: Ints
    attitude: str
    cure: Cure | None
    mesh: Mesh


def ponds(filling: Filling, least: float) -> list[Pond]:
    """The waters of at least `least` litres, the largest first."""
    label = filling.pools
    wet = np.flatnonzero(label >= 0)
    sums = np.bincount(label[wet], weights=filling.held[wet]) / LITRE
    found = [_pond(filling, np.flatnonzero(label == i)) for i in np.flatnonzero(sums >= max(least, 1e-9))]
    return sorted(found, key=lambda pond: -pond.litres)


def _pond(filling: Filling, own: Ints) -> Pond:
    floors, bed = filling.flow.floors, filling.bed
    deepest = int(own[bed[own].argmin()])
    names = floors.names
    return Pond(
        names[floors.piece[deepest]],
        float(filling.held[own].sum()) / LITRE,
        _error(filling, own),
        np.array([floors.x[deepest], floors.y[deepest], floors.z[deepest]]),
        float(filling.filled.level[deepest] - bed[deepest]),
        float(floors.area[own].sum()),
        own,
        filling.attitude.name,
        _cure(filling, own, deepest),
        _mesh(filling, own),
    )


def _mesh(filling: Filling, own: Ints) -> Mesh:
    """The water as blocks: one for each run of columns fore and aft over an even floor."""
    floors, grid = filling.flow.floors, filling.flow.floors.grid
    i, j = floors.column[own] // grid.shape[1], floors.column[own] % grid.shape[1]
    order = np.lexsort((i, j))
    own, i, j = own[order], i[order], j[order]
    uneven = (np.abs(np.diff(floors.z[own])) > EVEN) | (np.diff(floors.piece[own]) != 0)
    fresh = np.concatenate([[True], (np.diff(i) != 1) | (np.diff(j) != 0) | uneven])
    first = np.flatnonzero(fresh)
    last = np.append(first[1:], len(own)) - 1
    x = np.stack([grid.x[i[first]], grid.x[i[last] + 1]], axis=1)
    y = np.stack([grid.y[j[first]], grid.y[j[first] + 1]], axis=1)
    low = np.stack([floors.z[own[first]], floors.z[own[last]]], axis=1)
    level, up = filling.filled.level[own[first]], filling.attitude.up
    points = np.empty((len(first), 8, 3))
    for k, (a, b, top) in enumerate(CORNERS):
        px, py = x[:, a], y[:, b]
        pz = (level - px * up[0] - py * up[1]) / up[2]
        pz = np.maximum(pz, low[:, a] + THIN) if top else low[:, a]
        points[:, k] = np.stack([px, py, pz], axis=1)
    faces = (BLOCK[None] + 8 * np.arange(len(first))[:, None, None]).reshape(-1, 3)
    return Mesh(points.reshape(-1, 3), faces.astype(np.int64))


def _error(filling: Filling, own: Ints) -> float:
    """Half of the water over columns that lack a wet neighbour, litres."""
    n, m = filling.flow.floors.grid.shape
    wet = np.zeros((n + 2, m + 2), dtype=np.bool_)
    column = filling.flow.floors.column[own]
    i, j = column // m + 1, column % m + 1
    wet[i, j] = True
    outer = ~(wet[i - 1, j] & wet[i + 1, j] & wet[i, j - 1] & wet[i, j + 1])
    return float(filling.held[own[outer]].sum()) / LITRE / 2.0


def _cure(filling: Filling, own: Ints, deepest: int) -> Cure | None:
    """The best hole: through what stands round the water at its foot, or down."""
    limber = _through_wall(filling, own)
    other = _through_block(filling, own)
    limber = min((c for c in (limber, other) if c is not None), key=lambda c: c.level, default=None)
    drain = _down(filling, deepest)
    floors = filling.flow.floors
    if floors.piece[deepest] == SKIN:
        return limber or Cure("drain", "hull", _spot(filling, deepest), float(filling.bed[deepest]))
    roomy = floors.names[floors.piece[deepest]].startswith(("deck.", "seat.", "console."))
    good = limber is not None and limber.level < filling.bed[deepest] + SHALLOW
    return limber if (roomy and good) or drain is None else drain


def _spot(filling: Filling, floor: int) -> Array:
    floors = filling.flow.floors
    return np.array([floors.x[floor], floors.y[floor], floors.z[floor]])


def _down(filling: Filling, deepest: int) -> Cure | None:
    floors = filling.flow.floors
    if floors.first[floors.column[deepest]] == deepest:
        return None
    below = deepest - 1
    level = max(float(filling.bed[deepest]), float(filling.level[below]))
    if level > filling.level[deepest] - LOWER:
        level = float(filling.bed[deepest])
    name = floors.names[floors.piece[deepest]]
    return Cure("drain", name, _drainable(filling, deepest), level, floors.names[floors.piece[below]])


def _drainable(filling: Filling, deepest: int) -> Array:
    """The place nearest to the deepest where a drain fits: off the edges, and clear of members below."""
    flow, spot = filling.flow, _spot(filling, deepest)
    first = len(flow.floors.names) - len(flow.surfaces)
    piece = int(flow.floors.piece[deepest]) - first
    if piece < 0:
        return spot
    surface = flow.surfaces[piece]
    room: BaseGeometry = surface.area.buffer(-DRAIN_ROOM)
    for block in flow.surfaces:
        if block.kind == "block" and block.area.intersects(surface.area):
            middle = block.area.centroid
            below = spot[2] - float(block.height(np.array(middle.x), np.array(middle.y)))
            if 0.0 < below < REACH:
                room = room.difference(block.area.buffer(DRAIN_ROOM))
    if room.is_empty:
        return spot
    place = shapely.ops.nearest_points(room, shapely.Point(spot[:2]))[0]
    return np.array([place.x, place.y, float(surface.height(np.array(place.x), np.array(place.y)))])


def _through_wall(filling: Filling, own: Ints) -> Cure | None:
    """Through an upright: the way past it that lies lowest."""
    links, up = filling.flow.links, filling.attitude.up
    inside = np.zeros(len(filling.bed), dtype=np.bool_)
    inside[own] = True
    one = (links.wall != NO_WALL) & (inside[links.a] ^ inside[links.b])
    k = np.flatnonzero(one)
    if not len(k):
        return None
    foot = links.at[k].copy()
    foot[:, 2] = links.base[k]
    outer = np.where(inside[links.a[k]], links.b[k], links.a[k])
    inner = np.where(inside[links.a[k]], links.a[k], links.b[k])
    level = np.maximum(foot @ up, filling.level[outer])
    good = np.isfinite(filling.filled.level[outer]) & (level < filling.level[inner] - LOWER)
    if not good.any():
        return None
    best = int(np.flatnonzero(good)[level[good].argmin()])
    wall = filling.flow.walls[int(links.wall[k[best]])]
    return Cure("limber", wall.name, foot[best], float(level[best]))


def _through_block(filling: Filling, own: Ints) -> Cure | None:
    """Through a member, rib or stringer that lies on the floor: from its lowest side to the other."""
    floors = filling.flow.floors
    inside = np.zeros(len(filling.bed), dtype=np.bool_)
    inside[own] = True
    best: Cure | None = None
    lowest = -1
    links = filling.flow.links
    one = links.open & (inside[links.a] ^ inside[links.b])
    for k in np.flatnonzero(one):
        a, b = int(links.a[k]), int(links.b[k])
        near, block = (a, b) if inside[a] else (b, a)
        if not _is_block(filling, block) or _is_block(filling, near):
            continue
        step = int(floors.column[block] - floors.column[near])
        far = _beyond(filling, block, step)
        if far is None or inside[far] or not np.isfinite(filling.filled.level[far]):
            continue
        level = max(float(filling.bed[near]), float(filling.level[far]), float(filling.bed[far]))
        if level > filling.level[near] - LOWER:
            continue
        deeper = lowest >= 0 and filling.bed[near] < filling.bed[lowest]
        if best is None or level < best.level - ALIKE or (level < best.level + ALIKE and deeper):
            best = Cure("limber", floors.names[floors.piece[block]], _spot(filling, near), level)
            lowest = near
    return best


def _is_block(filling: Filling, floor: int) -> bool:
    """Whether a floor is the top of a member, a rib or a stringer."""
    flow = filling.flow
    piece = int(flow.floors.piece[floor])
    first = len(flow.floors.names) - len(flow.surfaces)
    return SKIN < piece < first or (piece >= first and flow.surfaces[piece - first].kind == "block")


def _beyond(filling: Filling, block: int, step: int) -> int | None:
    """The floor on the other side of a block, going by columns."""
    floors = filling.flow.floors
    column = int(floors.column[block])
    piece = floors.piece[block]
    for _ in range(FAR):
        column += step
        if not 0 <= column < len(floors.first) - 1:
            return None
        own = [f for f in floors.in_column(column) if floors.z[f] < floors.z[block] + LOWER]
        if own and floors.piece[own[-1]] != piece:
            return own[-1]
    return None
