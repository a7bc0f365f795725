"""Foam blocks told on paper: the list, the sums by deck, how each goes in."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import shapely

from cutlists.packet.order import natural
from model.foam.block import FoamBlock
from model.foam.check import FoamReport, volume_told
from model.foam.plan import CUBIC_FOOT, FRESH_WATER, FoamPlan
from parts.amounts import format_mass
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.boat import Boat

CAUTIONS = (
    "Flotation foam must be of a kind that keeps its lift in fuel, oil and cleaner, as the rule asks, and "
    "stay dry: only its maker's papers tell. Fix it so that it cannot float up, shift or chafe.",
    "Whether she floats level when swamped only a test in shallow water shows; the capacity plate and local "
    "rules come first.",
    "Lay foam when all welding near it is done: it burns, and its smoke is poisonous. Keep limber holes and "
    "the way to pumps and drains open.",
)
HEAD = (
    "block", "mark", "under", "layer", "board", "aft end", "to port of centreline", "height of underside",
    "length", "width", "thickness", "litres", "ft3", "lifts kg", "goes in", "covered then by",
    "still goes in through",
)  # fmt: skip


def way_told(block: FoamBlock, units: str) -> str:
    """How a block gets to its place."""
    if not block.slides:
        return "straight down, before the deck's sheet is on"
    along, across = (-float(step) for step in block.slide)
    way, size = ("forward", along) if abs(along) > abs(across) else ("to port", across)
    if size < 0.0:
        way, size = {"forward": "aft", "to port": "to starboard"}[way], -size
    back = {"forward": "aft", "aft": "forward", "to port": "to starboard", "to starboard": "to port"}[way]
    told = format_length(size, units)
    return f"down {told} {way} of its place, slid {back}, before the deck's sheet is on"


def covered_by(boat: Boat, block: FoamBlock) -> list[str]:
    """Marks of the sheet of its deck that lies over a block: it is in its place before they are on."""
    found = []
    for panel in boat.panels:
        if panel.role == "deck" and panel.name.startswith(f"{block.deck}/"):
            plan = shapely.Polygon(panel.frame.to_boat(panel.outline.polyline(1.0))[:, :2])
            if plan.intersection(block.outline).area > 1.0:
                found.append(boat.marks[panel.name])
    return list(dict.fromkeys(found))


def block_rows(boat: Boat, plan: FoamPlan) -> list[list[str | float]]:
    """Rows of `foam-blocks.csv`, heading first, in the order of laying."""
    rows: list[list[str | float]] = [list(HEAD)]
    for block in plan.blocks:
        x0, y0, x1, y1 = block.outline.bounds
        lift = block.volume * 1e-9 * (FRESH_WATER - plan.settings.density)
        told = [format_length(v, boat.units) for v in (x0, (y0 + y1) / 2.0, block.low, x1 - x0, y1 - y0)]
        rows.append([
            block.name, block.mark, block.deck, block.layer, block.board, *told,
            format_length(block.thickness, boat.units), round(block.volume * 1e-6, 3),
            round(block.volume / CUBIC_FOOT, 4), round(lift, 2), way_told(block, boat.units),
            ", ".join(covered_by(boat, block)), block.through,
        ])  # fmt: skip
    return rows


def deck_rows(plan: FoamPlan, units: str) -> list[tuple[str, ...]]:
    """By deck: blocks, marks, layers, volume, lift."""
    rows: list[tuple[str, ...]] = []
    for deck in plan.decks:
        own = plan.under(deck)
        volume = sum(block.volume for block in own)
        lift = volume * 1e-9 * (FRESH_WATER - plan.settings.density)
        slid = sum(block.slides for block in own)
        layers = max(block.layer for block in own)
        rows.append((
            deck, str(len(own)), str(len({block.mark for block in own})), str(layers), str(slid),
            volume_told(volume, units), format_mass(lift, units),
        ))  # fmt: skip
    return rows


DECK_HEAD = ("under", "blocks", "marks", "layers", "slid in", "volume", "lifts")


def mark_rows(plan: FoamPlan, units: str) -> list[tuple[str, ...]]:
    """By mark: how many, from which board, size, where they go."""
    marks: dict[str, list[FoamBlock]] = {}
    for block in plan.blocks:
        marks.setdefault(block.mark, []).append(block)
    rows: list[tuple[str, ...]] = []
    for mark in sorted(marks, key=natural):
        own = marks[mark]
        sides = " x ".join(format_length(v, units) for v in own[0].sides)
        goes = ", ".join(f"{block.name.removeprefix('foam.')}" for block in own)
        rows.append((mark, str(len(own)), own[0].board, sides, goes))
    return rows


def sum_lines(report: FoamReport) -> Iterator[str]:
    """What fits against what is needed."""
    units, plan = report.units, report.plan
    if plan is None:
        return
    yield from report.summary()
    if report.spare is not None:
        word = "to spare" if report.spare >= 0.0 else "short"
        yield f"{volume_told(abs(report.spare), units)} {word}"
    spread = report.spread
    if report.needed is not None:
        told = [volume_told(v, units) for v in (spread.aft, report.machinery, spread.sides, report.persons)]
        yield (
            f"high in the after quarter lie {told[0]}, motor and battery ask for {told[1]} there; high along "
            f"the sides {told[2]}, persons ask for {told[3]}: foam that lies low lets her roll over"
        )
    mass = format_mass(plan.mass, units)
    yield (
        f"the blocks weigh {mass} at {plan.settings.density:g} kg/m3; their centre is "
        f"{', '.join(format_length(v, units) for v in plan.centre)} from the transom, to port, up"
    )
