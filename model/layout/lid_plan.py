"""What closes an opening: a lid of the catalogue that fits it, or one made to order."""

from __future__ import annotations

import math

from model.boatfile.numbers import Key
from model.boatfile.schema import CustomLidEntry, OpeningEntry
from model.flat_arcs import polygon_loops
from model.layout.context import Context
from model.layout.edges import largest
from model.layout.lid_way import lid_way
from model.layout.records import LidPlan
from parts.outline import Loop


def lid_plan(
    ctx: Context, entry: OpeningEntry, cutout: Loop, turn: float, mirrored: bool, where: tuple[Key, ...]
) -> LidPlan | None:
    """What closes the cut-out, which was drawn square to the boat and then turned.

    Args:
        ctx: the file's numbers and the catalogue.
        entry: the opening.
        cutout: on the side that the lid is for.
        turn: by which it was turned, rad.
        mirrored: whether that is the other side of what the file describes.
        where: keys that lead to the opening.
    """
    if entry.lid is None:
        return None
    if isinstance(entry.lid, CustomLidEntry):
        return _custom_lid(ctx, entry, entry.lid, cutout, turn, mirrored, where)
    lid = ctx.part("lid", entry.lid, *where, "lid")
    if lid is None:
        return None
    length, width = lid.length, lid.width
    u0, v0, u1, v1 = cutout.turned(-turn).bounds
    if abs((u1 - u0) - length) > lid.tolerance or abs((v1 - v0) - width) > lid.tolerance:
        want = " x ".join(ctx.text(value) for value in (length, width))
        have = " x ".join(ctx.text(value) for value in (u1 - u0, v1 - v0))
        ctx.fault(
            (*where, "lid"),
            f"lid {lid.name} wants a cut-out of {want} (fore and aft x athwart); this opening is {have}",
            "leave the opening's size to the lid, or order a custom lid",
        )
    outline = lid.cover.moved((u0 + u1) / 2, (v0 + v1) / 2).turned(turn)
    way = lid_way(ctx, entry, outline, mirrored, where)
    return LidPlan(lid, None, outline, lid.above, -lid.depth, lid.clearance, lid.flange, way, lid.mass, turn)


def _custom_lid(
    ctx: Context,
    entry: OpeningEntry,
    lid: CustomLidEntry,
    cutout: Loop,
    turn: float,
    mirrored: bool,
    where: tuple[Key, ...],
) -> LidPlan | None:
    sheet = ctx.sheet(lid.sheet, *where, "lid", "sheet")
    clearance = ctx.numbers.not_negative(lid.clearance, *where, "lid", "clearance")
    flange = ctx.numbers.not_negative(lid.flange, *where, "lid", "flange")
    depth = ctx.numbers.not_negative(lid.depth, *where, "lid", "depth")
    if sheet is None or any(map(math.isnan, (clearance, flange, depth))):
        return None
    grown = flange if flange > 0 else -clearance
    cut = cutout.to_shapely()
    top = sheet.thickness if flange > 0 else 0.0
    bottom = min(top - sheet.thickness, -depth)
    has_skirt = -bottom > sheet.thickness - top + 1e-6
    inner = cut.buffer(-clearance - (sheet.thickness if has_skirt else 0.0), join_style="mitre")
    if inner.geom_type != "Polygon" or inner.is_empty:
        ctx.fault((*where, "lid", "clearance"), "the clearance leaves nothing of the lid", "lessen it")
        return None
    outline, _ = polygon_loops(largest(cut.buffer(grown, join_style="mitre")))
    way = lid_way(ctx, entry, outline, mirrored, where)
    turn = 0.0 if entry.outline else turn
    return LidPlan(None, sheet, outline, top, bottom, clearance, flange, way, lid.mass, turn)
