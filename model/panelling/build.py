"""All sheet of a boat from its layout and skeleton."""

from __future__ import annotations

from model.findings import Finding
from model.hull import Hull
from model.layout.records import BulkheadPlan, Layout
from model.panel import Panel
from model.panelling.console_panels import console_panels
from model.panelling.deck_sheets import deck_sheets, risers
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
    for deck in layout.decks.values():
        sheets, without_member = deck_sheets(deck, list(skeleton.bars[deck.name]), layout.seam_gap)
        upright = risers(deck, layout, hull)
        panels += sheets + upright.panels
        findings += without_member + upright.findings()
    for bulkhead in layout.bulkheads:
        upright = _bulkhead(bulkhead, hull)
        panels += upright.panels
        findings += upright.findings()
    for locker in layout.lockers.values():
        box, walls = locker_panels(locker, hull)
        panels += box.panels
        strips += walls
        findings += box.findings()
    for console in layout.consoles:
        panels += console_panels(console)
    return tuple(panels), tuple(strips), tuple(findings)


def _bulkhead(bulkhead: BulkheadPlan, hull: Hull) -> Upright:
    found = Upright()
    line = Line(f"{bulkhead.name}/sheet", bulkhead.start, bulkhead.end)
    found.add(line, bulkhead.sheet, "bulkhead", (bulkhead.top,) * 2, bulkhead.bottom, hull, bulkhead.hull_gap)
    return found
