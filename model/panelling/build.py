"""All sheet of a boat from its layout and skeleton."""

from __future__ import annotations

from model.findings import Finding
from model.hull import Hull
from model.layout.records import Layout
from model.panel import Panel
from model.panelling.console_panels import console_panels
from model.panelling.deck_sheets import deck_sheets, risers
from model.panelling.locker_panels import locker_panels
from model.panelling.upright import Line, upright_panel
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
        sheets, missing = deck_sheets(deck, list(skeleton.bars[deck.name]), layout.seam_gap)
        panels += sheets + risers(deck, layout, hull, layout.hull_gap)
        findings += missing
    for bulkhead in layout.bulkheads:
        line = Line(f"{bulkhead.name}/sheet", bulkhead.start, bulkhead.end)
        top = (bulkhead.top, bulkhead.top)
        sheet = upright_panel(line, bulkhead.sheet, "bulkhead", top, bulkhead.bottom, hull, bulkhead.hull_gap)
        if sheet is not None:
            panels.append(sheet)
    for locker in layout.lockers.values():
        for piece in locker_panels(locker, hull):
            (strips if isinstance(piece, Strip) else panels).append(piece)  # type: ignore[arg-type]
    for console in layout.consoles:
        panels += console_panels(console)
    return tuple(panels), tuple(strips), tuple(findings)
