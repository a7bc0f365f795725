"""Foam of blocks and box walls laid on boards as they are bought, by the nests of sheet."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal
from weakref import WeakKeyDictionary

import shapely

from cutlists.nests.plan import plan_nests
from cutlists.nests.records import NestPiece, NestPlan, Placement, SheetNest, Stock
from cutlists.nests.settings import NestSettings, size_label
from cutlists.nests.sheet_dxf import sheet_dxf
from model.foam.plan import FoamPlan, foam_plan
from model.foam.settings import INCH, USUAL_BOARDS, FoamBoard
from model.insulation.pieces import FoamPiece
from model.insulation.plan import box_plans
from parts.outline import Loop

if TYPE_CHECKING:
    from model.boat import Boat

KERF = 3.0
"""Left between two pieces on a board for knife or wire, mm."""
MARGIN = 3.0
"""Left at the edges of a board, mm."""
EFFORT = 0.1
"""Search for the nests of foam, about seconds: foam is cheap."""
PLANED = 1.0
"""Boards that make up a thickness may lack so much of it, mm."""
LONGEST = 10.0
"""By the clock it is stopped no sooner than this, s, so that runs agree."""
BOX_BOARDS = (
    *USUAL_BOARDS,
    FoamBoard("foam 1-1/2 in", 1.5 * INCH, 48 * INCH, 96 * INCH),
    FoamBoard("foam 3 in", 3 * INCH, 48 * INCH, 96 * INCH),
)
"""Boards for the walls of boxes where the boat file names none (common practice)."""


@dataclass(frozen=True, eq=False)
class BoxCut:
    """A piece of foam of a box and what it is cut from: `layers` of `board`, planed to its thickness."""

    piece: FoamPiece
    mark: str
    board: FoamBoard
    layers: int


@dataclass(frozen=True, eq=False)
class BoardPlan:
    """All foam on its boards.

    Attributes:
        nests: the boards; None where there is no foam.
        box_cuts: foam of boxes, piece by piece.
        boards: those that are used, by name.
    """

    nests: NestPlan | None
    box_cuts: tuple[BoxCut, ...]
    boards: dict[str, FoamBoard]

    def counts(self) -> dict[str, int]:
        """How many of each board to buy."""
        materials = () if self.nests is None else self.nests.materials
        return {material.sheet: len(material.sheets) for material in materials}

    def used(self, name: str) -> float:
        """What of all boards of a name becomes pieces, mm2."""
        materials = () if self.nests is None else self.nests.materials
        own = [sheet for material in materials if material.sheet == name for sheet in material.sheets]
        return sum(placement.piece.area for sheet in own for placement in sheet.placements)


_MADE: WeakKeyDictionary[Boat, BoardPlan] = WeakKeyDictionary()
"""Boards of the boats that are still in use: buy list and files ask for the same."""


def board_plan(boat: Boat) -> BoardPlan:
    """The boards of a boat's foam.

    Raises:
        BadInput: a piece is larger than any board of its thickness.
    """
    if boat not in _MADE:
        _MADE[boat] = _laid(boat, foam_plan(boat))
    return _MADE[boat]


def _laid(boat: Boat, plan: FoamPlan | None) -> BoardPlan:
    named = boat.foam is not None and boat.foam.boards != USUAL_BOARDS
    choice = boat.foam.boards if boat.foam is not None and named else BOX_BOARDS
    cuts = _box_cuts(boat, choice)
    pieces = (
        [NestPiece(b.name, b.mark, b.board, b.loops[0], b.loops[1:], may_flip=True) for b in plan.blocks]
        if plan
        else []
    )
    for cut in cuts:
        loops = _loops(cut.piece.outline)
        for layer in range(cut.layers):
            name = cut.piece.name if cut.layers == 1 else f"{cut.piece.name}.layer{layer + 1}"
            pieces.append(NestPiece(name, cut.mark, cut.board.name, loops[0], loops[1:], may_flip=True))
    boards = {board.name: board for board in (*(plan.settings.boards if plan else ()), *choice)}
    if not pieces:
        return BoardPlan(None, cuts, boards)
    stock = {
        name: [Stock.sheet(size_label(b.width, b.length, boat.units), b.width, b.length, b.price)]
        for name, b in boards.items()
    }
    settings = NestSettings(spacing=KERF, margin=MARGIN, seconds=LONGEST, effort=EFFORT)
    return BoardPlan(plan_nests(pieces, stock, settings, units=boat.units), cuts, boards)


def _box_cuts(boat: Boat, boards: tuple[FoamBoard, ...]) -> tuple[BoxCut, ...]:
    found: list[BoxCut] = []
    for box in box_plans(boat):
        for piece in box.pieces:
            board, layers = board_for(piece.thickness, boards)
            found.append(BoxCut(piece, f"I{len(found) + 1}", board, layers))
    return tuple(found)


def board_for(thickness: float, boards: tuple[FoamBoard, ...]) -> tuple[FoamBoard, int]:
    """The board, and how many layers of it, that make a thickness with the least planed away."""
    options = [
        (count * board.thickness - thickness, count, board)
        for board in boards
        for count in (max(1, math.ceil((thickness - PLANED) / board.thickness)),)
    ]
    _, count, board = min(options, key=lambda option: (round(max(option[0], 0.0), 1), option[1]))
    return board, count


def piece_dxf(cut: BoxCut, units: Literal["mm", "in"] = "mm") -> bytes:
    """The outline of one piece of a box as the bytes of a DXF file, its low corner at the origin."""
    outline, *holes = _loops(cut.piece.outline)
    _, _, long, wide = cut.piece.outline.bounds
    piece = NestPiece(cut.piece.name, cut.mark, cut.board.name, outline, tuple(holes))
    stock = Stock.sheet(cut.mark, wide, long)
    return sheet_dxf(SheetNest(stock, (Placement(piece, 0, False, 0.0, 0.0),)), units)


def _loops(outline: shapely.Polygon) -> tuple[Loop, ...]:
    rings = (outline.exterior, *outline.interiors)
    return tuple(Loop.polygon(shapely.get_coordinates(ring)[:-1]).ccw() for ring in rings)
