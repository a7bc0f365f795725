"""Judges a plan by plain geometry, apart from everything that made it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np
import shapely

from cutlists.nests.records import MaterialNest, NestPiece, NestPlan, Placement, SheetNest

ROUNDING = 1e-3
"""How much less than the spacing or margin is let pass, mm."""
_CHORD = 2e-4
"""Of the arcs as they are checked, mm; what it adds to two outlines is within `ROUNDING`."""


def faults_of(plan: NestPlan, pieces: Sequence[NestPiece]) -> list[str]:
    """What is wrong with a plan for those pieces; empty if it can be cut.

    Every piece once and no other, each on a sheet of its own material, no more offcuts than there are,
    grain and faces as allowed, the margin kept to every edge of the sheet and the spacing to every other
    piece, measured on the true outlines.
    """
    found = _counted(plan, pieces)
    for material in plan.materials:
        found += _offcuts(material)
        for number, nest in enumerate(material.sheets, start=1):
            where = f"{material.sheet}, sheet {number}"
            found += [f"{where}: {said}" for said in _laid_wrong(nest, plan, material.sheet)]
    return found


def _counted(plan: NestPlan, pieces: Sequence[NestPiece]) -> list[str]:
    wanted = {piece.name: piece for piece in pieces}
    laid = [p for material in plan.materials for nest in material.sheets for p in nest.placements]
    counts = Counter(placement.piece.name for placement in laid)
    found = [f"{name} is laid {counts[name]} times" for name in wanted if counts[name] != 1]
    found += [f"{name} was not asked for" for name in counts if name not in wanted]
    found += [
        f"{placement.piece.name} is not the piece asked for"
        for placement in laid
        if placement.piece is not wanted.get(placement.piece.name, placement.piece)
    ]
    return found


def _offcuts(material: MaterialNest) -> list[str]:
    used = Counter(nest.stock for nest in material.sheets if nest.stock.quantity is not None)
    return [
        f"{material.sheet}: offcut {stock.label} is used {count} times"
        for stock, count in used.items()
        if stock.quantity is not None and count > stock.quantity
    ]


def _laid_wrong(nest: SheetNest, plan: NestPlan, sheet: str) -> list[str]:
    polygons = [placement.polygon(_CHORD) for placement in nest.placements]
    found = []
    for placement, polygon in zip(nest.placements, polygons, strict=True):
        found += _pose_wrong(placement, sheet)
        found += _edge_wrong(placement.piece.name, polygon, nest.stock.polygon, plan.margin)
    tree = shapely.STRtree(polygons)
    least = plan.spacing - ROUNDING
    near = tree.query(polygons, predicate="dwithin", distance=least)
    for i, j in near.T[near[0] < near[1]]:
        gap = polygons[i].distance(polygons[j])
        names = f"{nest.placements[i].piece.name} and {nest.placements[j].piece.name}"
        found.append(f"{names} are {gap:.4f} mm apart" if gap > 0 else f"{names} overlap")
    return found


def _pose_wrong(placement: Placement, sheet: str) -> list[str]:
    """Turn, face and material, the turn measured on the outline as it lies and not taken from the record."""
    piece, found = placement.piece, []
    if piece.sheet != sheet:
        found.append(f"{piece.name} is of {piece.sheet}")
    if placement.flipped and not piece.may_flip:
        found.append(f"{piece.name} may not be flipped")
    if not any(_lies_so(placement, turn) for turn in piece.turns):
        found.append(f"{piece.name} may not be turned {placement.turn} degrees")
    return found


def _lies_so(placement: Placement, turn: int) -> bool:
    """Whether the outline as it lies is the piece turned by `turn` degrees, mirrored first if flipped."""
    drawn = placement.piece.outline.points * ((-1.0, 1.0) if placement.flipped else (1.0, 1.0))
    angle = np.radians(turn)
    matrix = np.array([(np.cos(angle), -np.sin(angle)), (np.sin(angle), np.cos(angle))])
    wanted = drawn @ matrix.T + (placement.x, placement.y)
    laid = placement.loops[0].points
    gaps = np.hypot(*(wanted[:, None, :] - laid[None, :, :]).transpose(2, 0, 1))
    return bool(gaps.min(axis=1).max() < ROUNDING)


def _edge_wrong(name: str, piece: shapely.Polygon, stock: shapely.Polygon, margin: float) -> list[str]:
    if not stock.buffer(ROUNDING).covers(piece):
        return [f"{name} leaves the sheet"]
    gap = piece.distance(stock.boundary)
    return [f"{name} is {gap:.4f} mm from the edge"] if gap < margin - ROUNDING else []
