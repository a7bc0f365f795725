"""Ways that water can go: from floor to floor beside it, over and under uprights, down gaps, through holes.

A link joins two floors and has a sill: the lowest height at which water passes, in the boat's frame at one
place, so that it holds however the boat lies. Links that an upright closes are kept aside: they tell where a
hole would help.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from model.geometry import Array
from model.water.columns import SKIN, TIGHT, Flags, Floors, Ints
from model.water.surfaces import Wall

NO_WALL = -1


@dataclass(frozen=True, eq=False)
class Links:
    """Links between floors.

    Attributes:
        a, b: the floors, `(k,) int`.
        at: `(k, 3)`, where the sill is, mm.
        base: height of the sill if no upright stood there, `(k,)`.
        wall: the upright that raises or closes it, an index; `NO_WALL` where none does.
        open: whether water passes at all.
        along: `(k, 3)`, half of the edge that the two columns share, as it lies on floor or upright: the sill
            is lower by its rise, whichever way the boat leans. Nil on the skin, which is no plane.
    """

    a: Ints
    b: Ints
    at: Array
    base: Array
    wall: Ints
    open: Flags
    along: Array


def beside(floors: Floors, walls: Sequence[Wall]) -> Links:
    """Links between floors of neighbouring columns."""
    n, m = floors.grid.shape
    numbers = np.arange(n * m).reshape(n, m)
    parts = []
    for axis, near, far in ((0, numbers[:-1], numbers[1:]), (1, numbers[:, :-1], numbers[:, 1:])):
        pairs = _pairs(floors, near.ravel(), far.ravel())
        crossed = _crossed(floors, walls, axis)
        parts.append(_links(floors, *pairs, axis, crossed))
    return Links(*(np.concatenate([getattr(p, key) for p in parts]) for key in Links.__dataclass_fields__))


def _pairs(floors: Floors, near: Ints, far: Ints) -> tuple[Ints, Ints]:
    """Every floor of each near column with every one of the far column beside it."""
    count = floors.first[1:] - floors.first[:-1]
    a_count, b_count = count[near], count[far]
    each = a_count * b_count
    pair = np.repeat(np.arange(len(near)), each)
    inner = np.arange(len(pair)) - np.repeat(np.cumsum(each) - each, each)
    return (
        floors.first[near][pair] + inner // b_count[pair],
        floors.first[far][pair] + inner % b_count[pair],
    )


@dataclass(frozen=True, eq=False)
class _Crossed:
    """Uprights that stand between neighbouring columns, sorted by the number of the nearer column.

    `column`, `wall` `(k,) int`; `bottom`, `top` `(k,)` at the crossing.
    """

    column: Ints
    wall: Ints
    bottom: Array
    top: Array


def _crossed(floors: Floors, walls: Sequence[Wall], axis: int) -> _Crossed:
    """Where uprights cross the way from the middle of a column to that of the next along an axis."""
    mine, other = floors.grid.middles[axis], floors.grid.middles[1 - axis]
    m = floors.grid.shape[1]
    found = []
    for number, wall in enumerate(walls):
        p, q = wall.line[:-1], wall.line[1:]
        low = np.minimum(p[:, 1 - axis], q[:, 1 - axis])
        high = np.maximum(p[:, 1 - axis], q[:, 1 - axis])
        first, last = np.searchsorted(other, low), np.searchsorted(other, high)
        part = np.repeat(np.arange(len(p)), last - first)
        if not len(part):
            continue
        row = np.concatenate([np.arange(i, j) for i, j in zip(first, last, strict=True)])
        share = (other[row] - p[part, 1 - axis]) / (q[part, 1 - axis] - p[part, 1 - axis])
        at = p[part, axis] + share * (q[part, axis] - p[part, axis])
        near = np.searchsorted(mine, at, side="right") - 1
        inside = (near >= 0) & (near < len(mine) - 1)
        column = near * m + row if axis == 0 else row * m + near
        bottom = wall.bottom[part] + share * (wall.bottom[part + 1] - wall.bottom[part])
        top = wall.top[part] + share * (wall.top[part + 1] - wall.top[part])
        told = (column, np.full(len(part), number), bottom, top)
        found.append(tuple(own[inside] for own in told))
    if not found:
        empty = np.zeros(0)
        return _Crossed(empty.astype(np.int64), empty.astype(np.int64), empty, empty)
    column, which, bottom, top = (np.concatenate(own) for own in zip(*found, strict=True))
    order = np.lexsort((bottom, column))
    return _Crossed(column[order], which[order], bottom[order], top[order])


def _links(floors: Floors, a: Ints, b: Ints, axis: int, crossed: _Crossed) -> Links:
    """Links between pairs of floors of neighbouring columns, by the uprights between them."""
    lines: Array = floors.grid.x if axis == 0 else floors.grid.y
    half: Array = np.diff(lines) / 2.0
    place = floors.column // floors.grid.shape[1] if axis == 0 else floors.column % floors.grid.shape[1]
    da, db = half[place[a]], half[place[b]]
    za = floors.z[a] + floors.slope[a, axis] * da
    zb = floors.z[b] - floors.slope[b, axis] * db
    on_skin = (floors.piece[a] == SKIN) & (floors.piece[b] == SKIN)
    mean = (floors.z[a] * db + floors.z[b] * da) / (da + db)
    base = np.where(on_skin, mean, np.maximum(za, zb))
    under = np.minimum(floors.ceiling[a], floors.ceiling[b])
    meets = base < under - TIGHT / 2.0
    higher = np.where(za >= zb, a, b)[meets]
    a, b, base, under, da = a[meets], b[meets], base[meets], under[meets], da[meets]
    at = np.stack([floors.x[a], floors.y[a], base], axis=1)
    at[:, axis] += da
    wall = _raise(at[:, 2], floors.column[a], crossed)
    along = _along(floors, higher, wall, 1 - axis)
    return Links(a, b, at, base, wall, at[:, 2] < under - TIGHT / 2.0, along)


def _along(floors: Floors, higher: Ints, wall: Ints, across: int) -> Array:
    """Half of the shared edge, along the axis `across`, as it lies on the higher floor or on the upright."""
    n_across = floors.grid.shape[1]
    place = floors.column[higher] // n_across if across == 0 else floors.column[higher] % n_across
    half: Array = np.diff(floors.grid.x if across == 0 else floors.grid.y) / 2.0
    found = np.zeros((len(higher), 3))
    flat = (floors.piece[higher] != SKIN) | (wall != NO_WALL)
    found[:, across] = np.where(flat, half[place], 0.0)
    found[:, 2] = np.where(wall == NO_WALL, floors.slope[higher, across], 0.0) * found[:, across]
    return found


def _raise(sill: Array, column: Ints, crossed: _Crossed) -> Ints:
    """Lifts the sills `(k,)` in place over the uprights that stand on them; the last of these each met."""
    found = np.full(len(sill), NO_WALL, dtype=np.int64)
    start = np.searchsorted(crossed.column, column, side="left")
    stop = np.searchsorted(crossed.column, column, side="right")
    for _ in range(2):  # twice: an upright may stand on the top of one that was met after it
        for step in range(int((stop - start).max(initial=0))):
            k = np.minimum(start + step, max(len(crossed.column) - 1, 0))
            own = (start + step < stop) & (crossed.bottom[k] < sill + TIGHT) & (crossed.top[k] > sill + 1e-9)
            sill[own] = crossed.top[k[own]]
            found[own] = crossed.wall[k[own]]
    return found
