"""From a way over places to a run as it lies; from a way with holes in it to what would have to be made."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from model.clearance.words import where_told
from model.geometry import Array
from model.ways.bends import Clear, rounded
from model.ways.clips import clips_of
from model.ways.entry import entry_of
from model.ways.places import OPEN, PRICES, Places, home
from model.ways.run import Crossing, NoWay, Run, Wanted
from model.ways.straight import straightened
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.ways.route import Ways

ROOM = 3.2
"""A hole with its grommet is wider than the run by this, mm (common practice, 1/8 in)."""

DRILLS = (9.525, 12.7, 15.875, 19.05, 22.225, 25.4, 31.75, 38.1, 44.45, 50.8, 63.5, 76.2)
"""Holes are made in these sizes, 3/8 to 3 in, mm (common practice)."""

SAME = 1e-6
"""Points no further apart than this, mm, are one."""

TURN = 40.0
"""A corner is worth this much way, mm."""


def hole_for(diameter: float) -> float:
    """The drill for a run with its grommet, mm."""
    asked = diameter + ROOM
    return next((drill for drill in DRILLS if drill >= asked - 1e-6), math.ceil(asked))


def finished(ways: Ways, one: Wanted, places: Places, points: Array, way: list[int], ends: range) -> Run:
    """The run that follows places by their numbers; those of `ends` are ends and points it is to go by."""
    first, last = (entry_of(ways, end, places.radius) for end in (one.start, one.end))
    named = [places.names[places.piece[k]] for k in way if k < len(places.points)]
    passages = {p.name for p in ways.passages}
    fixed = np.array(
        [k in ends or (k < ends.start and places.names[places.piece[k]] in passages) for k in way],
        dtype=np.bool_,
    )
    corners = straightened(ways, points, fixed, places.radius, TURN, one.bend_radius, one.falls)
    path, tight = rounded(corners, one.bend_radius, _arc_is_clear(ways, one.diameter / 2.0))
    corners, path = (_with_ends(line, one.start, one.end) for line in (corners, path))
    through = list(dict.fromkeys([first.through, *named, last.through]))
    return Run(
        one.name,
        one.kind,
        path,
        one.diameter,
        tuple(name for name in through if name),
        corners,
        clips_of(ways, path, one.diameter / 2.0),
        tuple(name for name in through if name in passages),
        tight,
        (),
        one.place,
    )


def _with_ends(corners: Array, start: Array, end: Array) -> Array:
    """The corners with the ends of the run where these lie in the open."""
    parts = [corners]
    if float(np.abs(corners[0] - start).max()) > SAME:
        parts.insert(0, start[None])
    if float(np.abs(corners[-1] - end).max()) > SAME:
        parts.append(end[None])
    return np.concatenate(parts)


def _arc_is_clear(ways: Ways, radius: float) -> Clear:
    """Asked of arcs: whether the run itself, without the room about it, touches nothing."""

    def clear(points: Array) -> bool:
        _, slab = ways.blocks.hits(points[:-1], points[1:], radius)
        solid = ~np.isin(ways.blocks.kinds[slab], ("fixture", "room"))
        return not solid.any() and bool((ways.hull.gap(points, ends=True) >= radius - 0.5).all())

    return clear


def crossings(ways: Ways, path: Array, diameter: float, radius: float) -> tuple[Crossing, ...]:
    """What a path `(n, 3)` goes through, in order, with the hole each takes."""
    a, b = path[:-1], path[1:]
    segment, slab = ways.blocks.hits(a, b, 0.0)
    order = np.lexsort((slab, segment))
    found: list[tuple[float, Crossing]] = []
    size = hole_for(diameter)
    for s, k in zip(segment[order], slab[order], strict=True):
        block = ways.blocks.slabs[int(k)]
        if block.kind not in PRICES:
            continue
        start, end = block.frame.to_frame(a[s]), block.frame.to_frame(b[s])
        middle = (block.z0 + block.z1) / 2.0
        rise = float(end[2] - start[2])
        share = 0.5 if abs(rise) < 1e-6 else float(np.clip((middle - start[2]) / rise, 0.0, 1.0))
        found.append((s + share, Crossing(block.name, a[s] + share * (b[s] - a[s]), block.kind, size)))
    open_ = ~ways.cover.covered((a + b) / 2.0)
    found += [(s + 0.5, Crossing("", a[s], OPEN, size, b[s])) for s in np.flatnonzero(open_)]
    found.sort(key=lambda row: row[0])
    kept: list[Crossing] = []
    for _, one in found:
        if not any(c.piece == one.piece and np.abs(c.at - one.at).max() < 25.0 for c in kept):
            kept.append(one)
    return tuple(kept)


def no_way(ways: Ways, one: Wanted, places: Places, path: Array | None) -> NoWay:
    """Why a run has no way, from the way it would take through holes that are not there."""
    units = ways.units
    missing = [v for v in one.via if isinstance(v, str) and not _fits(ways, v, places)]
    if missing:
        name = missing[0]
        known = next((p for p in ways.passages if p.name in (name, f"passage.{name}")), None)
        if known is None:
            cure = "tell of it under `passages:`, or leave it out of `via`"
            why = f"there is no passage '{name}'"
            return NoWay(one.name, one.kind, why, one.start, cure, place=one.place)
        told = format_length(hole_for(one.diameter), units)
        return NoWay(one.name, one.kind, f"{name} lets through {format_length(known.least, units)} at most",
                     known.points[0], f"make {name} {told} wide", (), None, one.place)  # fmt: skip
    needs = () if path is None else crossings(ways, path, one.diameter, places.radius)
    if path is None or not needs:
        return NoWay(
            one.name,
            one.kind,
            "nothing leads from one end to the other that a run can be clipped to",
            one.start,
            "give its points, or a chase under `passages:`",
            (),
            path,
            one.place,
        )
    first = needs[0]
    why = "the open cockpit lies between its ends" if first.kind == OPEN else f"{first.piece} is in its way"
    return NoWay(one.name, one.kind, why, first.at, _cure(needs, units), needs, path, one.place)


def _fits(ways: Ways, name: str, places: Places) -> bool:
    return name in places.first_of or f"passage.{name}" in places.first_of


def _cure(needs: tuple[Crossing, ...], units: str) -> str:
    """The passages that would open a way, in words."""
    told = []
    for need in needs:
        size, at = format_length(need.size, units), where_told(need.at, units)
        if need.kind == OPEN:
            assert need.until is not None
            told.append(f"a chase of {size} from {at} to {where_told(need.until, units)}")
        else:
            told.append(f"a hole of {size} through {need.piece} at {at}")
    return f"under `passages:` tell of {'; and '.join(told)}"


def given_run(ways: Ways, one: Wanted) -> Run:
    """A run by the user's own points, and what it goes through outside of passages."""
    assert one.given is not None
    corners = np.asarray(one.given, dtype=np.float64)
    radius = one.diameter / 2.0
    path, tight = rounded(corners, one.bend_radius, _arc_is_clear(ways, radius))
    hits, through = _met(ways, path, one.diameter)
    names = {p.name for p in ways.passages}
    return Run(one.name, one.kind, path, one.diameter, through, corners,
               clips_of(ways, path, radius),
               tuple(n for n in through if n in names), tight, hits, one.place)  # fmt: skip


def _met(ways: Ways, path: Array, diameter: float) -> tuple[tuple[Crossing, ...], tuple[str, ...]]:
    """What a given path meets that it should not, and the passages it goes through."""
    a, b = path[:-1], path[1:]
    segment, slab = ways.blocks.hits(a, b, diameter / 2.0 - 0.5)
    last = len(a) - 1
    ends = np.isin(segment, (0, last))
    forgiven = np.zeros(len(segment), dtype=np.bool_)
    mine = np.flatnonzero(ends)
    if len(mine):
        flip = segment[mine] == last
        near = np.where(flip[:, None], b[segment[mine]], a[segment[mine]])
        far = np.where(flip[:, None], a[segment[mine]], b[segment[mine]])
        forgiven[mine] = home(ways.blocks, near, far, np.arange(len(mine)), slab[mine], diameter / 2.0)
    used = [p for p in ways.passages if _goes_through(p.points, path, p.least)]
    free = {name for p in used for name in p.through}
    found: list[Crossing] = []
    for s, k in zip(segment[~forgiven], slab[~forgiven], strict=True):
        block = ways.blocks.slabs[int(k)]
        if block.kind == "room" or block.name in free or any(c.piece == block.name for c in found):
            continue
        found.append(Crossing(block.name, (a[s] + b[s]) / 2.0, block.kind, hole_for(diameter)))
    return tuple(found), tuple(p.name for p in used)


def _goes_through(middle: Array, path: Array, within: float) -> bool:
    """Whether a path passes all points of a passage."""
    for point in middle:
        a, way = path[:-1], np.diff(path, axis=0)
        share = np.clip(((point - a) * way).sum(axis=1) / np.maximum((way**2).sum(axis=1), 1e-9), 0.0, 1.0)
        off = a + share[:, None] * way - point
        if float(np.sqrt((off**2).sum(axis=1)).min()) > within / 2.0:
            return False
    return True
