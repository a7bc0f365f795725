"""By what rules a deck is framed, and its upright faces, as the file gives them."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from shapely import Point, Polygon

from model.boatfile.numbers import Key
from model.boatfile.schema import DeckEntry, FrameEntry
from model.geometry import Array, Frame
from model.layout.context import Context
from model.layout.edges import OPPOSITE_HAND, OUTLINE, Edge, holds
from model.layout.records import AddedBar, FrameRules, RiserPlan
from parts.faults import did_you_mean
from parts.section import Section
from parts.sheet import Sheet

LEAST_SPANS = {"beam_span": 2.0, "post_span": 3.0}
"""Least spans, in widths of the section: closer members leave no room between them to weld."""


def frame_rules(ctx: Context, entry: DeckEntry, mirrored: bool, *path: Key) -> FrameRules | None:
    """The rules of a deck in plan, on the side that is built; None where faults leave none."""
    frame, where = entry.frame, (*path, "frame")
    section = ctx.section(frame.section, *where, "section")
    post = ctx.post_section(frame.post_section, section, *where, "post_section")
    if section is None or post is None:
        return None
    beam_span = span(ctx, frame.beam_span, "beam_span", section, where)
    post_span = span(ctx, frame.post_span, "post_span", post, where)
    if math.isnan(beam_span) or math.isnan(post_span):
        return None
    flip = np.array([1.0, -1.0 if mirrored else 1.0])
    aside = float(flip[1]) if frame.direction == "fore_aft" else 1.0
    seams = [ctx.numbers.length(s, *path, "seams", i) for i, s in enumerate(entry.seams or [])]
    move = {k: ctx.numbers.length(v, *where, "move", k) for k, v in frame.move.items()}
    turn = {k: ctx.numbers.angle(v, *where, "turn", k) for k, v in frame.turn.items()}
    return FrameRules(
        section,
        post,
        frame.direction,
        beam_span,
        post_span,
        frame.posts,
        tuple(_no_post_areas(ctx, frame, flip, where)),
        tuple(_added(ctx, frame, section, flip, where)),
        {name: aside * distance for name, distance in move.items()},
        {name: float(flip[1]) * angle for name, angle in turn.items()},
        frozenset(frame.leave_out),
        tuple(aside * seam for seam in seams),
        mirrored,
    )


def in_deck(ctx: Context, rules: FrameRules, plane: Frame, area: Polygon, *path: Key) -> FrameRules:
    """The rules with what is told in plan put in the deck's plane; faults where it is off the deck."""
    pitch = float(plane.x[0])
    u0, v0, u1, v1 = area.bounds
    athwart = rules.direction == "athwart"
    low, high, per = (u0, u1, pitch) if athwart else (v0, v1, 1.0)
    seams = tuple(seam / per for seam in rules.seams)
    for i, seam in enumerate(seams):
        if not (low < seam < high or math.isnan(seam)):
            span = " to ".join(ctx.text(per * value) for value in (low, high))
            ctx.fault((*path, "seams", i), "the seam lies off its deck", f"the deck spans {span} there")
    add = tuple(replace(bar, start=bar.start / [pitch, 1.0], end=bar.end / [pitch, 1.0]) for bar in rules.add)
    for bar in add:
        if not all(holds(area, _point(end), 1.0) for end in (bar.start, bar.end)):
            ctx.fault(bar.path, "the member reaches off its deck", "set both its ends within the deck")
    move = {name: distance / per for name, distance in rules.move.items()}
    return replace(rules, seams=seams, add=add, move=move)


def riser_plans(
    ctx: Context, entry: DeckEntry, plan_edges: dict[str, Edge], mirrored: bool, *path: Key
) -> tuple[RiserPlan, ...]:
    """The upright faces of a deck on the side that is built."""
    found = []
    for side, item in entry.risers.items():
        where = (*path, "risers", side)
        own = (item.sheet, (*where, "sheet")) if item.sheet else (entry.sheet, (*path, "sheet"))
        sheet = ctx.sheet(own[0], *own[1])
        named = OUTLINE if side == "all" else side
        edge = plan_edges.get(named)
        if plan_edges and (edge is None or edge.follows_hull):
            free = ["all" if s == OUTLINE else s for s, e in plan_edges.items() if not e.follows_hull]
            wrong = f"there is no free edge `{side}` to hang a riser on"
            ctx.fault(where, wrong, f"free here: {', '.join(free) or 'none'}")
        elif sheet is not None:
            built = OPPOSITE_HAND.get(named, named) if mirrored else named
            found.append(_riser(ctx, built, sheet, item.down_to, where))
    return tuple(found)


def _riser(
    ctx: Context, side: str, sheet: Sheet, target: str | int | float, path: tuple[Key, ...]
) -> RiserPlan:
    if target == "hull":
        return RiserPlan(side, sheet, None, None, path)
    if isinstance(target, str) and target in ctx.entry.decks:
        return RiserPlan(side, sheet, target, None, path)
    if isinstance(target, str) and target.isidentifier() and target not in ctx.numbers.dimensions:
        known = [*ctx.entry.decks, *ctx.numbers.dimensions, "hull"]
        wrong = f"{target!r} is neither a deck nor a named dimension"
        ctx.fault((*path, "down_to"), wrong, did_you_mean(target, known))
        return RiserPlan(side, sheet, None, math.nan, path)
    return RiserPlan(side, sheet, None, ctx.numbers.length(target, *path, "down_to"), path)


def span(
    ctx: Context, own: str | int | float | None, key: str, section: Section, path: tuple[Key, ...]
) -> float:
    """A greatest span (`beam_span` or `post_span`), its own or the file's default; nan if it cannot be."""
    value, where = (
        (getattr(ctx.entry.defaults, key), ("defaults", key)) if own is None else (own, (*path, key))
    )
    found = ctx.numbers.positive(value, *where)
    least = LEAST_SPANS[key] * max(section.width, section.height)
    if found < least:
        ctx.fault(where, f"{value} is too close for {section.name}", f"give at least {ctx.text(least)}")
        return math.nan
    return found


def _no_post_areas(ctx: Context, frame: FrameEntry, flip: Array, path: tuple[Key, ...]) -> list[Polygon]:
    """The areas in plan; lockers, consoles and the like, told by name, keep posts out by themselves."""
    entry = ctx.entry
    known = [*entry.lockers, *entry.consoles, *entry.seat_boxes, *entry.fixtures, *entry.bulkheads]
    found = []
    for i, item in enumerate(frame.no_posts):
        where = (*path, "no_posts", i)
        if isinstance(item, str):
            if item not in known:
                ctx.fault(
                    where, f"there is nothing called {item!r} to keep posts out", did_you_mean(item, known)
                )
            continue
        points = ctx.numbers.polyline(item, *where)
        if not np.isfinite(points).all():
            continue
        if len(points) < 3 or not Polygon(points).is_valid:
            ctx.fault(where, "the area crosses itself", "put three or more points in order round it")
        else:
            found.append(Polygon(points * flip))
    return found


def _added(
    ctx: Context, frame: FrameEntry, section: Section, flip: Array, path: tuple[Key, ...]
) -> list[AddedBar]:
    found = []
    for key, item in frame.add.items():
        where = (*path, "add", key)
        start, end = (ctx.numbers.point(getattr(item, k), *where, k) for k in ("start", "end"))
        own = ctx.section(item.section, *where, "section") if item.section else section
        if own is None or not np.isfinite([*start, *end]).all():
            continue
        if float(np.hypot(*(end - start))) < 1.0:
            ctx.fault(where, "the member has no length", "set start and end apart")
        else:
            found.append(AddedBar(key, start * flip, end * flip, own, where))
    return found


def _point(at: Array) -> Point:
    return Point(float(at[0]), float(at[1]))
