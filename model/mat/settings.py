"""How a boat is matted: thickness, gaps, grooves, and the sheets that mat comes in; all lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

Direction = Literal["fore_aft", "athwart", "none"]
SideFaces = Literal["plain", "upright"]
Turns = Literal["quarter", "half", "none"]

INCH = 25.4


@dataclass(frozen=True)
class MatSheet:
    """A sheet of mat as supplied.

    Attributes:
        name: of the sheet in lists.
        length: along the way the grooves run on it, mm.
        width: across them, mm.
        grooved: it comes with its grooves cut, at the pitch of the boat's grooves.
        first: on a grooved sheet, from its low long edge to the middle of a groove, mm.
        turns: how a piece may be turned on it: by quarters, end for end only, or not at all (a nap or a
            printed pattern that has to look one way).
        price: of one sheet, in the shop's money; None where it is not known.
    """

    name: str
    length: float
    width: float
    grooved: bool = False
    first: float = 0.0
    turns: Turns = "quarter"
    price: float | None = None

    def __post_init__(self) -> None:
        if not (self.length > 0 and self.width > 0):
            raise ValueError(f"{self.name}: a mat sheet needs sides above zero")
        if self.price is not None and self.price < 0:
            raise ValueError(f"{self.name}: a price cannot be below zero")


PLAIN_SHEET = MatSheet("mat 40 x 80 in", 80 * INCH, 40 * INCH)


@dataclass(frozen=True)
class MatSettings:
    """What is asked of the mat. The usual values are our own choice, not a maker's.

    Attributes:
        thickness: of the mat, mm.
        reveal: bare metal left at every edge of a surface, and round what stands on it.
        lid_gap: between the piece on a lid and the piece on the deck round it, half on each side.
        edge_gap: by which an upright's piece stops short of the deck edge above it, of the mat below it and
            of the mat round an inside corner.
        overhang: how far a deck's piece reaches past an edge whose upright is matted; None: the mat's
            thickness, so that it covers the upright's piece as seen from above.
        radius: of the outer corners of a piece.
        least_width: strips narrower than this are left bare; they peel.
        direction: which way the grooves run.
        pitch: between the middles of two grooves, across them.
        offset: of one groove from the centreline to port (fore_aft), or from the transom (athwart).
        groove_width: how wide a groove is cut; also the gap where a surface is parted at a groove.
        side_faces: what upright faces get that lie along the grooves' own planes: no grooves, or upright
            ones at the same pitch, counted from the transom (fore_aft) or the centreline (athwart).
        sheets: what the mat comes in.
        margin: left at the edges of a mat sheet.
        spacing: least between two pieces on a sheet.
        leave_out: surfaces left bare: a name, or what a family of names begins with.
        line: panels lined besides decks, lids and risers, named likewise.
    """

    thickness: float = 6.0
    reveal: float = INCH / 4
    lid_gap: float = INCH / 4
    edge_gap: float = INCH / 8
    overhang: float | None = None
    radius: float = INCH / 2
    least_width: float = INCH
    direction: Direction = "fore_aft"
    pitch: float = 2 * INCH
    offset: float = 0.0
    groove_width: float = INCH / 8
    side_faces: SideFaces = "plain"
    sheets: tuple[MatSheet, ...] = field(default=(PLAIN_SHEET,))
    margin: float = INCH / 4
    spacing: float = INCH / 8
    leave_out: tuple[str, ...] = ()
    line: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        for name in ("thickness", "pitch", "groove_width", "edge_gap"):
            if not getattr(self, name) > 0:
                raise ValueError(f"mat {name.replace('_', ' ')} must be above zero")
        for name in ("reveal", "lid_gap", "radius", "least_width", "margin", "spacing"):
            if getattr(self, name) < 0:
                raise ValueError(f"mat {name.replace('_', ' ')} cannot be below zero")
        if self.overhang is not None and self.overhang < 0:
            raise ValueError("mat overhang cannot be below zero")
        if self.groove_width >= self.pitch:
            raise ValueError("mat grooves are wider than their pitch")
        if not self.sheets:
            raise ValueError("mat needs a sheet size")

    @property
    def nosing(self) -> float:
        """How far a deck's piece reaches past an edge whose upright is matted, mm."""
        return self.thickness if self.overhang is None else self.overhang

    @property
    def inside(self) -> float:
        """What an upright's piece keeps off a surface that meets its own at an inside corner, mm."""
        return max(self.reveal, max(self.thickness, self.nosing) + self.edge_gap)

    def names(self, which: Literal["leave_out", "line"], name: str) -> bool:
        """Whether a surface or panel is named by one of the two lists."""
        given: tuple[str, ...] = getattr(self, which)
        return any(name == own or name.startswith((f"{own}/", f"{own}.")) for own in given)
