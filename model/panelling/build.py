"""All sheet of a boat from its layout and skeleton."""

from __future__ import annotations

from functools import partial

from model.findings import Finding
from model.hull import Hull
from model.kept import Kept
from model.layout.records import BulkheadPlan, Layout
from model.panel import Panel
from model.panelling.console_panels import console_panels
from model.panelling.deck_sheets import deck_sheets, foot_deck, risers
from model.panelling.locker_panels import locker_panels
from model.panelling.upright import Line, Upright
from model.skeleton.records import Skeleton
from model.strip import Strip


def build_panels(
    layout: Layout, skeleton: Skeleton, hull: Hull
) -> tuple[tuple[Panel, ...], tuple[Strip, ...], tuple[Finding, ...]]:
    """Flat panels, strips that follow the hull, and seams that find no member."""
    panels: list[Panel] = []
    strips: list[Strip] = []
    findings: list[Finding] = []
    # Of each plan, which stays the same record while nothing in it changes, the sheet is made once.
    for deck in layout.decks.values():
        bars = list(skeleton.bars[deck.name])  # which follow from the deck
        sheets, without_member = _SHEETS.get(
            hull, (deck, layout.seam_gap), partial(deck_sheets, deck, bars, layout.seam_gap)
        )
        below = tuple(foot_deck(riser, deck, layout) for riser in deck.risers)
        upright = _UPRIGHT.get(hull, (deck, below), partial(risers, deck, layout, hull))
        panels += sheets + upright.panels
        findings += without_member + upright.findings()
    for bulkhead in layout.bulkheads:
        upright = _UPRIGHT.get(hull, bulkhead, partial(_bulkhead, bulkhead, hull))
        panels += upright.panels
        findings += upright.findings()
    for locker in layout.lockers.values():
        box, walls = _LOCKERS.get(hull, locker, partial(locker_panels, locker, hull))
        panels += box.panels
        strips += walls
        findings += box.findings()
    for console in layout.consoles:
        panels += _CONSOLES.get(hull, console, partial(console_panels, console))
    return tuple(panels), tuple(strips), tuple(findings)


_SHEETS: Kept[tuple[list[Panel], list[Finding]]] = Kept()
_UPRIGHT: Kept[Upright] = Kept()
_LOCKERS: Kept[tuple[Upright, list[Strip]]] = Kept()
_CONSOLES: Kept[list[Panel]] = Kept()


def _bulkhead(bulkhead: BulkheadPlan, hull: Hull) -> Upright:
    found = Upright()
    line = Line(f"{bulkhead.name}/sheet", bulkhead.start, bulkhead.end)
    found.add(line, bulkhead.sheet, "bulkhead", (bulkhead.top,) * 2, bulkhead.bottom, hull, bulkhead.hull_gap)
    return found
