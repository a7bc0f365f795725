"""What of a boat is painted, with what, and what glues its mat."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from parts.faults import Place

Faces = Literal["front", "back", "both"]
WHOLE = ("hull", "hull.above", "frame", "sheet", "lids")
"""Surfaces that are no piece by name: inside of the hull, what of it lies above the decks, all tube, all
sheet, and lids that are made of sheet."""


@dataclass(frozen=True)
class Paint:
    """One coat system on some surfaces.

    Attributes:
        name: in the boat file.
        on: surfaces: names of pieces, what such names begin with, or one of `WHOLE`.
        leave_out: of them, those that stay bare.
        faces: of sheet, which sides.
        paint: name of what is bought; empty for none.
        coats: of it.
        primer: likewise.
        primer_coats: of it.
        place: where the boat file tells of it.
    """

    name: str
    on: tuple[str, ...]
    leave_out: tuple[str, ...] = ()
    faces: Faces = "both"
    paint: str = "topcoat"
    coats: int = 2
    primer: str = ""
    primer_coats: int = 1
    place: Place | None = None


@dataclass(frozen=True)
class Finish:
    """All coat systems of a boat, and the name of what glues its mat; empty where mat sticks by itself."""

    paints: tuple[Paint, ...] = ()
    adhesive: str = ""
    place: Place | None = None


def named(given: tuple[str, ...], name: str) -> bool:
    """Whether a piece is named, or what its name begins with."""
    return any(name == own or name.startswith((f"{own}/", f"{own}.")) for own in given)
