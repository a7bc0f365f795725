"""What is painted with what: the faces of each coat system of a boat, and the mat that is glued."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from model.coverings.areas import FaceArea, face_areas
from model.coverings.settings import Paint, named
from model.mat.build import mat_of

if TYPE_CHECKING:
    from model.boat import Boat


@dataclass(frozen=True, eq=False)
class Painted:
    """One coat system with the faces it goes on."""

    paint: Paint
    faces: tuple[FaceArea, ...]

    @property
    def area(self) -> float:
        """To be painted, mm2."""
        return sum(face.bare for face in self.faces)


@dataclass(frozen=True, eq=False)
class Coverings:
    """All that covers the metal of a boat.

    Attributes:
        painted: coat system by coat system.
        mat: area that is glued, mm2.
        adhesive: name of what glues it; empty for none.
        units: of the boat.
    """

    painted: tuple[Painted, ...]
    mat: float
    adhesive: str
    units: str

    @property
    def painted_area(self) -> float:
        """Of all coat systems, one coat, mm2."""
        return sum(own.area for own in self.painted)


def coverings_of(boat: Boat) -> Coverings:
    """What is painted and glued; without `finish` in the boat file only the mat's area is told."""
    mat = 0.0 if boat.mat is None else mat_of(boat, boat.mat).area
    if boat.finish is None:
        return Coverings((), mat, "", boat.units)
    painted = tuple(Painted(paint, _faces(boat, paint)) for paint in boat.finish.paints)
    return Coverings(painted, mat, boat.finish.adhesive, boat.units)


def _faces(boat: Boat, paint: Paint) -> tuple[FaceArea, ...]:
    return tuple(face for face in face_areas(boat) if _wanted(face, paint))


def _wanted(face: FaceArea, paint: Paint) -> bool:
    if face.kind == "hull":
        return face.piece in paint.on and not ("hull" in paint.on and face.piece == "hull.above")
    whole = {"frame": "frame", "sheet": "sheet", "lid": "lids"}[face.kind]
    if not (whole in paint.on or named(paint.on, face.piece)):
        return False
    if whole in paint.leave_out or named(paint.leave_out, face.piece):
        return False
    if face.kind == "frame":  # tube has no front: below a deck it is meant with both faces only
        return "frame" in paint.on or face.piece in paint.on or paint.faces == "both"
    return paint.faces in ("both", face.face)
