"""Edges of sheet along the skin: where they are, how far they stand off it, and gaps that are closed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.polygon import orient

from model.geometry import Array
from model.layout.edges import largest
from model.water.columns import TIGHT
from model.water.names import holder
from model.water.surfaces import Surface, Wall

if TYPE_CHECKING:
    from model.boat import Boat

WIDE = 40.0
"""Sheet that stands further off the skin than this, mm, has a gap that the columns show by themselves."""

STEP = 10.0
"""An edge along the skin is looked at so often, mm."""


def is_sealed(boat: Boat, name: str) -> bool:
    """Whether the gap of a sheet along the skin is closed, by its own name or that of what it is part of."""
    own = [name, name.rpartition("/")[0]]
    return any(holder(sealed, own) is not None for sealed in boat.water.sealed)


def closed_surfaces(boat: Boat, found: Sequence[Surface]) -> list[Surface]:
    """The surfaces, those that are sealed reaching out to the skin."""
    if not boat.water.sealed:
        return list(found)
    return [_to_skin(boat, s) if s.kind == "sheet" and is_sealed(boat, s.name) else s for s in found]


def _to_skin(boat: Boat, surface: Surface) -> Surface:
    at, _ = outline(surface)
    off = off_skin(boat, at)
    near = off < WIDE
    if not near.any():
        return surface
    # places along the edge stand no further apart than their discs reach
    discs = shapely.buffer(shapely.points(at[near, :2]), np.maximum(off[near], STEP) + 2.0)
    area = shapely.union_all([surface.area, *discs])
    return replace(surface, area=area if isinstance(area, Polygon) else largest(area))


def closed_walls(boat: Boat, found: Sequence[Wall]) -> list[Wall]:
    """The uprights, those that are sealed reaching down and out to the skin where they come near."""
    if not boat.water.sealed:
        return list(found)
    return [_down_to_skin(boat, w) if is_sealed(boat, w.name) else w for w in found]


def _down_to_skin(boat: Boat, wall: Wall) -> Wall:
    skin = boat.hull.bottom(wall.line[:, 0], wall.line[:, 1])
    bottom = np.where(wall.bottom - skin < WIDE, np.minimum(wall.bottom, skin), wall.bottom)
    line = wall.line.copy()
    for end, near in ((0, 1), (-1, -2)):
        step = line[end] - line[near]
        length = float(np.hypot(*step))
        line[end] = line[end] + step * (WIDE / length if length > 1e-9 else 0.0)
    return replace(wall, line=line, bottom=bottom)


def outline(surface: Surface) -> tuple[Array, Array]:
    """Places round the outline of a surface, `(k, 3)`, and the way into it there, `(k, 2)`."""
    ring = shapely.get_coordinates(orient(surface.area).exterior)
    step = np.diff(ring, axis=0)
    length = np.hypot(step[:, 0], step[:, 1])
    parts = np.maximum(np.ceil(length / STEP), 1).astype(np.int64)
    edge = np.repeat(np.arange(len(step)), parts)
    share = (np.arange(len(edge)) - np.repeat(np.cumsum(parts) - parts, parts) + 0.5) / parts[edge]
    flat = ring[edge] + share[:, None] * step[edge]
    at = np.column_stack([flat, surface.height(flat[:, 0], flat[:, 1])])
    inward = np.stack([-step[edge, 1], step[edge, 0]], axis=1) / np.maximum(length[edge], 1e-9)[:, None]
    return at, inward


def off_skin(boat: Boat, at: Array) -> Array:
    """How far places stand off the skin, level and athwart, or off an end; inf where there is no skin."""
    port = at[:, 1] >= 0
    half = np.where(
        port,
        boat.hull.half_breadth(at[:, 0], at[:, 2], "port"),
        boat.hull.half_breadth(at[:, 0], at[:, 2], "starboard"),
    )
    off = half - np.abs(at[:, 1])
    off = np.where(np.isnan(off), np.inf, off)
    for end in boat.hull.ends:
        off = np.minimum(off, -end.height(at))
    return off


def gap_edges(boat: Boat, surface: Surface) -> tuple[Array, Array]:
    """As `outline`, only where the edge stands off the skin by a gap that lets water through."""
    at, inward = outline(surface)
    off = off_skin(boat, at)
    near = (off > TIGHT) & (off < WIDE)
    return at[near], inward[near]
