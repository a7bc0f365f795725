"""Pieces of mat as they lie on a sheet: turned by quarters and moved, with the grooves' place kept."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely

from model.geometry import Array
from model.mat.piece import MatPiece
from model.mat.settings import MatSheet
from parts.outline import Loop

PHASE = 0.5
"""Grooves of a piece and of the sheet it lies on may differ by this, mm."""


@dataclass(frozen=True, eq=False)
class Laid:
    """A piece on a sheet: turned counter-clockwise by quarters about its origin, then moved, mm.

    The sheet's x runs along its length, from its low corner.
    """

    piece: MatPiece
    mark: str
    quarters: int
    dx: float
    dy: float

    def points(self, points: Array) -> Array:
        """Points `(..., 2)` of the piece on the sheet."""
        found: Array = points @ quarter_turn(self.quarters).T + [self.dx, self.dy]
        return found

    @cached_property
    def polygon(self) -> shapely.Polygon:
        """The piece on the sheet."""
        return shapely.transform(self.piece.polygon, self.points)

    @property
    def loops(self) -> tuple[Loop, ...]:
        """Its outline and holes on the sheet, arcs true."""
        turn = quarter_turn(self.quarters)
        return tuple(
            loop.transformed(turn, (self.dx, self.dy)) for loop in (self.piece.outline, *self.piece.holes)
        )

    @property
    def grooves(self) -> list[Array]:
        """The middles of its grooves on the sheet, `(2, 2) float` each."""
        return [self.points(line) for line in self.piece.grooves()]


def quarter_turn(quarters: int) -> Array:
    """The `(2, 2)` matrix that turns counter-clockwise by quarters, exactly."""
    c, s = ((1, 0), (0, 1), (-1, 0), (0, -1))[quarters % 4]
    return np.array([(c, -s), (s, c)], dtype=np.float64)


def allowed_turns(piece: MatPiece, sheet: MatSheet) -> tuple[int, ...]:
    """The quarter turns in which a piece may lie on a sheet.

    On a grooved sheet its grooves lie along the sheet's; a plain piece lies with its x along them, so that
    the grooves it gets run level.
    """
    if sheet.turns == "none":
        return (0,)
    if sheet.turns == "half" or sheet.grooved:
        return (0, 2)
    return (0, 1, 2, 3)


def keeps_phase(piece: MatPiece, sheet: MatSheet, pitch: float) -> bool:
    """Whether the piece's grooves have to fall on the sheet's, and can: both as far apart over its width."""
    if not sheet.grooved or piece.lines is None:
        return False
    count = np.ceil(piece.extents[1] / pitch) / 2
    return bool(abs(piece.lines.spacing - pitch) * count <= PHASE)


def groove_shift(piece: MatPiece, quarters: int) -> float:
    """The y of the groove nearest the piece's middle, the piece turned (by 0 or 2 quarters), not moved, mm.

    From the middle out what its own spacing differs from the sheet's adds up least.
    """
    assert piece.lines is not None
    _, y0, _, y1 = piece.outline.bounds
    middle = (y0 + y1) / 2
    found = middle - piece.lines.off(middle)
    return found if quarters == 0 else -found
