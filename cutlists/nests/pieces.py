"""Pieces of a boat that are cut from sheet, as the nests want them, and what they may be cut from."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from cutlists.nests.records import NestPiece, Stock
from cutlists.nests.settings import Material, NestSettings, size_label
from cutlists.outline_dxf import lines_to_bend
from model.panel import Panel
from model.strip import Strip
from parts.faults import FaultList, Place
from parts.lengths import format_length
from parts.sheet import Sheet


def nest_pieces(
    panels: Sequence[Panel | Strip], marks: Mapping[str, str], settings: NestSettings
) -> list[NestPiece]:
    """One piece for each panel and each strip laid flat, in their order.

    Args:
        panels: all pieces cut from sheet. Of those that share a mark each keeps its own outline: one may
            be the mirror image of another, and where no piece may be flipped that matters.
        marks: the mark of each by its name.
        settings: say how grain holds them and which may be flipped.
    """
    found = []
    for panel in panels:
        material = settings.materials.get(panel.sheet.name, Material())
        outline, holes = panel.cut_outline.ccw(), tuple(hole.ccw() for hole in panel.cut_holes)
        turns, may_flip = material.turns(panel.role), material.may_flip(panel.role)
        lines = tuple(lines_to_bend(panel))
        mark, sheet = marks[panel.name], panel.sheet.name
        found.append(NestPiece(panel.name, mark, sheet, outline, holes, turns, may_flip, lines))
    return found


def stock_for(sheet: Sheet, settings: NestSettings, units: str) -> list[Stock]:
    """What a sheet's pieces may be cut from: sizes to buy, then offcuts on hand."""
    sizes = settings.materials.get(sheet.name, Material()).sizes or [
        Stock.sheet(size_label(width, length, units), width, length) for width, length in sheet.sizes
    ]
    return [*sizes, *settings.offcuts.get(sheet.name, ())]


def too_large(piece: NestPiece, stock: Sequence[Stock], margin: float, place: Place, units: str) -> FaultList:
    """The fault of a piece that no sheet holds: by how much, and what a seam would do."""
    best: tuple[float, str] | None = None
    for kind in stock:
        if not kind.is_rectangle:
            continue
        for turn in piece.turns:
            over = _excess(piece, kind, turn, margin)
            if best is None or max(over) < best[0]:
                best = (max(over), _told(piece, kind, turn, over, margin, units))
    faults = FaultList()
    said = best[1] if best else "none of the offcuts holds it and there are no sheets to buy"
    wrong = f"{piece.mark} {piece.name} is larger than any sheet of {piece.sheet}: {said}"
    what, _, cure = wrong.partition("; ")
    faults.add(place, what, cure or "add a larger size")
    return faults


def _excess(piece: NestPiece, kind: Stock, turn: int, margin: float) -> tuple[float, float]:
    """By how much the piece's box is longer and wider than the sheet within its margin, mm."""
    sides = _sides(piece, turn)
    room = (kind.size[0] - 2 * margin, kind.size[1] - 2 * margin)
    return sides[0] - room[0], sides[1] - room[1]


def _sides(piece: NestPiece, turn: int) -> tuple[float, float]:
    low_x, low_y, high_x, high_y = piece.outline.bounds
    sides = (high_x - low_x, high_y - low_y)
    return sides if turn % 180 == 0 else (sides[1], sides[0])


def _told(
    piece: NestPiece, kind: Stock, turn: int, over: tuple[float, float], margin: float, units: str
) -> str:
    """Where it passes the sheet's edge, and into how many parts seams would have to part it."""

    def say(mm: float) -> str:
        return format_length(mm, units)

    sides, excess, cure = _sides(piece, turn), [], []
    for side, by, what, seam in zip(sides, over, ("long", "wide"), ("across", "along"), strict=True):
        if by > 0:
            room = side - by
            excess.append(f"{say(by)} too {what}")
            parts = math.ceil(side / room - 1e-9) if room > 0 else 0
            if parts:
                seams = "one seam" if parts == 2 else f"{parts - 1} seams"
                cure.append(f"{seams} {seam} it would make {parts} parts of about {say(side / parts)}")
    box = " x ".join(say(side) for side in sides)
    inside = f" within its margin of {say(margin)}" if margin else ""
    return f"{box} is {' and '.join(excess)} for {kind.label}{inside}; {', '.join(cure)}"
