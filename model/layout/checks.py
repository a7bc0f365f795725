"""Faults that show only when all of the layout is there: things that take each other's place."""

from __future__ import annotations

import itertools

import numpy as np
from shapely import Polygon

from model.layout.context import Context
from model.layout.edges import rectangle
from model.layout.records import ConsolePlan, DeckPlan, Layout, RiserPlan

LONGEST_BOAT = 30_000.0
"""Millimetres; what is longer was written in other units than it was measured in."""

LEAST_BOAT = 300.0

SHARED = 100.0
"""Square millimetres that two things in plan may share; neighbours touch."""


def check_hull(ctx: Context) -> bool:
    """Notes a hull of impossible size, and ribs and stringers that do not stand on it."""
    hull, (low, high) = ctx.hull, ctx.hull.span
    if not LEAST_BOAT <= hull.length <= LONGEST_BOAT:
        wrong = f"the hull is {ctx.text(hull.length)} long"
        ctx.fault(("hull",), wrong, "see to `units`, and those of the survey")
        return False
    for rib in hull.ribs:
        if rib.x - rib.width / 2 < low or rib.x + rib.width / 2 > high:
            wrong = f"{rib.name} at {ctx.text(rib.x)} stands off the hull"
            ctx.numbers.faults.add(
                rib.place, wrong, f"the hull runs from {ctx.text(low)} to {ctx.text(high)}"
            )
    told = set()
    for bar in hull.stringers:
        on_skin = bar.aft >= low and bar.forward <= high and _on_skin(ctx, bar.y, bar.aft, bar.forward)
        if not on_skin and bar.place not in told:
            told.add(bar.place)
            wrong = f"{bar.name} reaches off the hull"
            ctx.numbers.faults.add(bar.place, wrong, "set it within the skin from end to end")
    return True


def _on_skin(ctx: Context, y: float, aft: float, forward: float) -> bool:
    """Whether there is skin under all of a fore-and-aft line, its ends apart, which lie on raked ends."""
    x = np.linspace(aft, forward, 21)[1:-1]
    return bool(np.isfinite(ctx.hull.bottom(x, np.full_like(x, y))).all())


def check_layout(ctx: Context, layout: Layout) -> None:
    """Notes decks, boxes and consoles that take each other's place, and risers that have no height."""
    decks = [deck for deck in layout.decks.values() if deck.stands_on is None]
    for a, b in itertools.combinations(decks, 2):
        _check_decks(ctx, a, b)
    for deck in decks:
        for riser in deck.risers:
            _check_riser(ctx, layout, deck, riser)
    _check_standing(ctx, layout)


def _check_decks(ctx: Context, a: DeckPlan, b: DeckPlan) -> None:
    """Two decks over one another must leave room for the frame of the upper one."""
    if not _near(a.area, b.area):
        return
    shared = a.plan_area().intersection(b.plan_area())
    if shared.area <= SHARED:
        return
    x = np.array(shared.bounds[::2])
    rise = np.array([a.height_at(at) - b.height_at(at) for at in x])
    upper = a if rise.mean() > 0 else b
    depth = upper.sheet.thickness + upper.rules.section.height
    if np.abs(rise).min() < depth or rise[0] * rise[1] < 0:
        wrong = f"{b.name} lies in the place of {a.name}"
        right = f"set one {ctx.text(depth)} above the other, or keep their edges apart"
        ctx.fault((*b.path, "height"), wrong, right)


def _near(a: Polygon, b: Polygon) -> bool:
    """Whether two areas may share anything, told by their bounds alone."""
    au0, av0, au1, av1 = a.bounds
    bu0, bv0, bu1, bv1 = b.bounds
    return bool(au0 < bu1 and bu0 < au1 and av0 < bv1 and bv0 < av1)


def _check_riser(ctx: Context, layout: Layout, deck: DeckPlan, riser: RiserPlan) -> None:
    if riser.deck is None and riser.height is None:
        return
    x = np.array(deck.plan_area().bounds[::2])
    top = np.array([deck.height_at(at) for at in x]) - deck.sheet.thickness
    if riser.deck is None:
        foot = np.full(2, riser.height)
    else:
        lower = layout.decks.get(riser.deck) or layout.deck(riser.deck, deck.hand)
        if lower is None or lower is deck:
            if lower is deck:
                ctx.fault((*riser.path, "down_to"), "the riser ends on its own deck", "name a lower deck")
            return
        foot = np.array([lower.height_at(at) for at in x])
    if np.all(foot > top - 1.0):
        ctx.fault((*riser.path, "down_to"), "the riser ends above its own deck", "end it below the deck")


def _check_standing(ctx: Context, layout: Layout) -> None:
    """Boxes and consoles on one deck stand beside each other and off its openings."""
    standing = [
        (deck.name, deck.path, deck.area, deck.stands_on) for deck in layout.decks.values() if deck.stands_on
    ]
    standing += [(c.name, c.path, _foot(c), c.stands_on) for c in layout.consoles]
    for (name_a, _, area_a, on_a), (name_b, path_b, area_b, on_b) in itertools.combinations(standing, 2):
        if on_a == on_b and _near(area_a, area_b) and area_a.intersection(area_b).area > SHARED:
            ctx.fault((*path_b, "centre"), f"{name_b} stands in the place of {name_a}", "move one of them")
    for name, path, area, on in standing:
        for opening in layout.decks[on].openings if on in layout.decks else ():
            if area.intersection(opening.polygon).area > SHARED:
                ctx.fault((*path, "centre"), f"{name} stands over {opening.name}", "move one of them")


def _foot(console: ConsolePlan) -> Polygon:
    """Where a console stands, in the plane of its deck."""
    return rectangle(
        float(console.at[0]), float(console.at[1]), float(np.ptp(console.profile[:, 0])), console.width
    )
