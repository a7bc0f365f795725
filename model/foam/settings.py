"""What foam is cut from and where it may lie; all lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass

from parts.faults import Place

INCH = 25.4


@dataclass(frozen=True)
class FoamBoard:
    """A board of foam as sold.

    Attributes:
        name: of the board in lists.
        thickness, width, length: mm.
        price: of one; None where it is not known.
    """

    name: str
    thickness: float
    width: float
    length: float
    price: float | None = None


USUAL_BOARDS = (
    FoamBoard("foam 2 in", 2 * INCH, 48 * INCH, 96 * INCH),
    FoamBoard("foam 1 in", 1 * INCH, 48 * INCH, 96 * INCH),
)
"""Common sizes of board (common practice)."""


@dataclass(frozen=True)
class FoamSettings:
    """How blocks are cut and what is kept free of them. The usual values are our own choice.

    Attributes:
        boards: what is bought, the thickest first.
        density: kg/m3.
        gap: between a block and metal; for the saw and for what welding moved.
        bilge: kept free above the skin, so that water runs under the blocks.
        channel: width and height of what is kept free along the keel.
        least: no side of a block is shorter.
        most: no side is longer, so that a block can be handled in the boat.
        fuel_gap: between a block and a fuel tank.
        arm: width that is kept free from an opening to what a hand must get at or what is taken out.
        leave: decks under which none is to go.
        fuel_proof: whether the foam is of a kind that stands fuel, as its maker tells.
        place: where the boat file asks for blocks.
    """

    boards: tuple[FoamBoard, ...] = USUAL_BOARDS
    density: float = 32.0
    gap: float = INCH / 8
    bilge: float = INCH
    channel: tuple[float, float] = (6 * INCH, 4 * INCH)
    least: float = 2 * INCH
    most: float = 48 * INCH
    fuel_gap: float = 2 * INCH
    arm: float = 5 * INCH
    leave: tuple[str, ...] = ()
    fuel_proof: bool = False
    place: Place | None = None
