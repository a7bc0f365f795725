"""All bends of a boat: the pieces that its file bends, with their flanges, and what stands against them."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from model.bends.check import bend_findings
from model.bends.fold import FoldError, fold
from model.bends.folded_panel import FoldedPanel
from model.bends.read import FlangeReader
from model.bends.wall_corner import WallCorner, with_corners_rounded
from model.findings import Finding
from model.kept import Kept, content
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
    others = {panel.name: panel for panel in panels}
    corners: dict[str, tuple[WallCorner, float]] = {}
    for panel in panels:
        folded = None
        if panel.name in asked:
            reader = FlangeReader(context, layout, panel, others)
            folded = _folded(reader, asked[panel.name])
            _refuse_twice(context, panel.name, corners.keys() & reader.taken.keys())
            corners |= reader.taken
        found.append(folded or panel)
        if folded is not None:
            place = context.numbers.document.place(("bends", panel.name))
            own = bend_findings(folded, context.catalogue.bending, context.entry.units)
            findings += (replace(finding, place=place) for finding in own)
    return tuple(_without(found, corners)), tuple(findings)


def _without(panels: Sequence[Panel], corners: Mapping[str, tuple[WallCorner, float]]) -> Iterator[Panel]:
    """The panels but those in whose place a flange stands; their floors rounded where a bend comes."""
    owners = {name.rpartition("/")[0] for name in corners}
    for panel in panels:
        if panel.name in corners:
            continue
        owner, _, rest = panel.name.rpartition("/")
        is_floor = rest == "floor" and owner in owners
        yield with_corners_rounded(panel, list(corners.values())) if is_floor else panel


def _refuse_twice(context: Context, name: str, twice: Collection[str]) -> None:
    for other in sorted(twice):
        wrong = f"another flange stands in the place of {other}"
        context.fault(("bends", name), wrong, "let one piece take it")


def _folded(reader: FlangeReader, entries: list[FlangeEntry]) -> FoldedPanel | None:
    """The panel with its flanges; None once a fault is noted, or where there are none."""
    context, flanges = reader.context, reader.flanges(entries)
    panel = reader.panel
    if not flanges:
        return None
    relief = context.catalogue.bending.relief_width(panel.sheet)
    asked = content((panel, flanges, relief))
    try:
        return _FOLDED.get(context.hull, asked, lambda: fold(panel, flanges, relief))
    except FoldError as error:
        wrong = f"the {error.flange.of} cannot be bent: {error.wrong}"
        context.fault(("bends", panel.name), wrong, error.right)
        return None


_FOLDED: Kept[FoldedPanel] = Kept()
"""Of a boat that is built again most bent pieces are as before."""


def _refuse_unknown(
    asked: dict[str, list[FlangeEntry]], panels: Sequence[Panel], strips: Sequence[Strip], context: Context
) -> None:
    known, rolled = [panel.name for panel in panels], {strip.name for strip in strips}
    for name in asked:
        if name in rolled:
            context.fault(("bends", name), f"{name} is rolled to the hull", "only flat pieces take a flange")
        elif name not in known:
            context.fault(("bends", name), f"there is no sheet piece '{name}'", did_you_mean(name, known))
