"""All bends of a boat: the pieces that its file bends, with their flanges, and what stands against them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from model.bends.check import bend_findings
from model.bends.fold import FoldError, fold
from model.bends.folded_panel import FoldedPanel
from model.bends.read import FlangeReader
from model.findings import Finding
from parts.faults import did_you_mean

if TYPE_CHECKING:
    from model.boatfile.bends_schema import FlangeEntry
    from model.layout.context import Context
    from model.layout.records import Layout
    from model.panel import Panel
    from model.strip import Strip


def bent(
    panels: Sequence[Panel], strips: Sequence[Strip], context: Context, layout: Layout
) -> tuple[tuple[Panel, ...], tuple[Finding, ...]]:
    """The panels, those with flanges folded, and the findings of their bends.

    Args:
        panels: flat, with all that is cut into them.
        strips: rolled pieces, which take no flange.
        context: the file, whose faults are noted, and the catalogue with the shop's bending.
        layout: for openings.
    """
    asked = context.entry.bends
    if not asked:
        return tuple(panels), ()
    _refuse_unknown(asked, panels, strips, context)
    found: list[Panel] = []
    findings: list[Finding] = []
    for panel in panels:
        folded = _folded(panel, asked[panel.name], context, layout) if panel.name in asked else None
        found.append(folded or panel)
        if folded is not None:
            place = context.numbers.document.place(("bends", panel.name))
            own = bend_findings(folded, context.catalogue.bending, context.entry.units)
            findings += (replace(finding, place=place) for finding in own)
    return tuple(found), tuple(findings)


def _folded(panel: Panel, entries: list[FlangeEntry], context: Context, layout: Layout) -> FoldedPanel | None:
    """The panel with its flanges; None once a fault is noted, or where there are none."""
    flanges = FlangeReader(context, layout, panel).flanges(entries)
    if not flanges:
        return None
    try:
        return fold(panel, flanges, context.catalogue.bending.relief_width(panel.sheet))
    except FoldError as error:
        wrong = f"the {error.flange.of} cannot be bent: {error.wrong}"
        context.fault(("bends", panel.name), wrong, error.right)
        return None


def _refuse_unknown(
    asked: dict[str, list[FlangeEntry]], panels: Sequence[Panel], strips: Sequence[Strip], context: Context
) -> None:
    known, rolled = [panel.name for panel in panels], {strip.name for strip in strips}
    for name in asked:
        if name in rolled:
            context.fault(("bends", name), f"{name} is rolled to the hull", "only flat pieces take a flange")
        elif name not in known:
            context.fault(("bends", name), f"there is no sheet piece '{name}'", did_you_mean(name, known))
