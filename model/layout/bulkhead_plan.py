"""Bulkheads: upright sheets across the boat, or along a line in plan, resolved to numbers."""

from __future__ import annotations

import math

import numpy as np

from model.boatfile.numbers import Key
from model.boatfile.schema import BulkheadEntry
from model.geometry import Array
from model.layout.context import Context
from model.layout.edges import FAR
from model.layout.records import BulkheadPlan
from model.layout.surfaces import Surfaces

SAMPLES = 41


def resolve_bulkheads(ctx: Context, surfaces: Surfaces) -> tuple[BulkheadPlan, ...]:
    """The bulkheads of the file; faults are noted in the context."""
    found = []
    for key, entry in ctx.entry.bulkheads.items():
        plan = _bulkhead(ctx, surfaces, entry, f"bulkhead.{key}", ("bulkheads", key))
        if plan is not None:
            found.append(plan)
    return tuple(found)


def _bulkhead(
    ctx: Context, surfaces: Surfaces, entry: BulkheadEntry, name: str, path: tuple[Key, ...]
) -> BulkheadPlan | None:
    sheet = ctx.sheet(entry.sheet, *path, "sheet")
    gap = ctx.gap(entry.hull_gap, "hull_gap", *path, "hull_gap")
    line = _line(ctx, entry, path)
    bottom = None if entry.bottom == "hull" else ctx.numbers.length(entry.bottom, *path, "bottom")
    if line is None or sheet is None:
        return None
    top = _top(ctx, surfaces, entry, _both_faces(line, sheet.thickness), path)
    if math.isnan(top) or (bottom is not None and math.isnan(bottom)):
        return None
    floor = _lowest(ctx, line) if bottom is None else bottom
    if math.isnan(floor):
        ctx.fault(path, "the bulkhead lies outside the boat", "set it between the sides")
        return None
    if not floor < top:
        ctx.fault(path, "its upper edge lies below its lower edge", "raise the top, or lower the bottom")
        return None
    return BulkheadPlan(name, line[0], line[1], bottom, top, gap, sheet, path)


def _both_faces(line: Array, thickness: float) -> Array:
    """Plan ends of the face and the back of a bulkhead along a line, `(4, 2)`; its metal is to the left."""
    along = (line[1] - line[0]) / np.hypot(*(line[1] - line[0]))
    return np.vstack([line, line + thickness * np.array([-along[1], along[0]])])


def _top(ctx: Context, surfaces: Surfaces, entry: BulkheadEntry, line: Array, path: tuple[Key, ...]) -> float:
    """Height of the upper edge; nan with the fault noted."""
    if (entry.top is None) == (entry.under is None):
        ctx.fault(path, "its upper edge is not told by one thing", "give just one of top and under")
        return math.nan
    if entry.under is None:
        assert entry.top is not None
        return ctx.numbers.length(entry.top, *path, "top")
    deck = surfaces.deck(entry.under, None, (*path, "under"))
    if deck is None:
        return math.nan
    depth = (deck.sheet.thickness + deck.rules.section.height) / float(deck.frame.x[0])
    return min(deck.height_at(float(x)) for x in line[:, 0]) - depth


def _lowest(ctx: Context, line: Array) -> float:
    """The least height of the skin under a line in plan; nan where none of it is in the boat."""
    along = np.linspace(0.0, 1.0, SAMPLES)[:, None]
    half = max(float(np.abs(ctx.hull.line(name, line[:, 0])[:, 1]).max()) for name in ctx.hull.lines)
    ends = np.clip(line[:, 1], -half, half)
    points = (1 - along) * [line[0, 0], ends[0]] + along * [line[1, 0], ends[1]]
    heights = ctx.hull.bottom(points[:, 0], points[:, 1])
    return float(np.nanmin(heights)) if np.isfinite(heights).any() else math.nan


def _line(ctx: Context, entry: BulkheadEntry, path: tuple[Key, ...]) -> Array | None:
    """Its ends in plan `(2, 2)`, from starboard to port; None with the fault noted."""
    if (entry.at is None) == (entry.along is None):
        ctx.fault(path, "its place is not told by one thing", "give just one of at and along")
        return None
    points = _across(ctx, entry, path) if entry.along is None else _along(ctx, entry, path)
    if points is None or not np.isfinite(points).all():
        return None
    low, high = ctx.hull.span
    if not ((points[:, 0] > low) & (points[:, 0] < high)).all():
        span = f"set it between {ctx.text(low)} and {ctx.text(high)}"
        ctx.fault(path, "the bulkhead lies outside the boat", span)
        return None
    return points


def _across(ctx: Context, entry: BulkheadEntry, path: tuple[Key, ...]) -> Array | None:
    assert entry.at is not None
    x = ctx.numbers.length(entry.at, *path, "at")
    low = ctx.numbers.length_or(entry.starboard, -FAR / 10, *path, "starboard")
    high = ctx.numbers.length_or(entry.port, FAR / 10, *path, "port")
    if low >= high:
        ctx.fault((*path, "starboard"), "starboard lies to port of port", "exchange them")
        return None
    return np.array([(x, low), (x, high)])


def _along(ctx: Context, entry: BulkheadEntry, path: tuple[Key, ...]) -> Array | None:
    assert entry.along is not None
    for key in ("port", "starboard"):
        if getattr(entry, key) is not None:
            ctx.fault((*path, key), "a line tells both its ends", f"leave out {key}")
    points = ctx.numbers.polyline(entry.along, *path, "along")
    if len(points) != 2:
        ctx.fault((*path, "along"), "a bulkhead runs straight between two points", "give two points")
        return None
    return points
