"""A length of tube or a sheet as it lies in the rack: what plans cut up, buy, and leave over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np
import shapely

from model.geometry import Array
from parts.lengths import format_length

Kind: TypeAlias = Literal["stick", "sheet", "mat"]
Ring: TypeAlias = tuple[tuple[float, float], ...]

SAME = 0.5
"""Two sizes that differ by no more than this are one, mm; stock is not measured closer."""


@dataclass(frozen=True)
class Blank:
    """One stick, sheet, sheet of mat, or offcut of these.

    Attributes:
        kind: what it is.
        name: the section it is bought as, the sheet or the mat.
        length: of a stick; of a sheet's box along x, the way of its grain, mm.
        width: of a sheet's box along y, mm; 0 of a stick.
        rings: outline and holes of a sheet that is no plain rectangle, low corner at the origin, mm.
    """

    kind: Kind
    name: str
    length: float
    width: float = 0.0
    rings: tuple[Ring, ...] = ()

    def __post_init__(self) -> None:
        """Refuse what has no size.

        Raises:
            ValueError: a side is not above zero.
        """
        flat = self.kind != "stick"
        if not (self.length > 0 and (self.width > 0 if flat else self.width == 0)):
            raise ValueError(f"{self.name}: a {self.kind} needs sides above zero")
        # So that it is the same when it is read back from a file.
        object.__setattr__(self, "length", round(float(self.length), 3))
        object.__setattr__(self, "width", round(float(self.width), 3))

    @classmethod
    def of_polygon(cls, kind: Kind, name: str, polygon: shapely.Polygon) -> Blank:
        """A sheet of any outline, moved so that the low corner of its box is the origin."""
        low_x, low_y, high_x, high_y = polygon.bounds
        length, width = high_x - low_x, high_y - low_y
        if polygon.area > length * width * (1.0 - 1e-9):
            return cls(kind, name, length, width)
        corner = np.array([low_x, low_y])
        rings = tuple(_ring(ring, corner) for ring in (polygon.exterior, *polygon.interiors))
        return cls(kind, name, length, width, rings)

    @property
    def polygon(self) -> shapely.Polygon:
        """Outline and holes; of a sheet only."""
        if not self.rings:
            return shapely.box(0.0, 0.0, self.length, self.width)
        return shapely.Polygon(self.rings[0], self.rings[1:])

    @property
    def extent(self) -> float:
        """How much there is of it: the length of a stick in mm, the area of a sheet in mm2."""
        if self.kind == "stick":
            return self.length
        return float(self.polygon.area) if self.rings else self.length * self.width

    def is_like(self, other: Blank) -> bool:
        """Whether one will do for the other."""
        if (self.kind, self.name, len(self.rings)) != (other.kind, other.name, len(other.rings)):
            return False
        if max(abs(self.length - other.length), abs(self.width - other.width)) > SAME:
            return False
        return not self.rings or self.polygon.hausdorff_distance(other.polygon) <= SAME

    def size(self, units: str, denominator: int = 16) -> str:
        """Its size for people: `96-1/2"`, `48" x 96"`; `within` where it is no rectangle."""
        length = format_length(self.length, units, denominator)
        if self.kind == "stick":
            return length
        box = f"{format_length(self.width, units, denominator)} x {length}"
        return f"within {box}" if self.rings else box


def _ring(ring: shapely.LinearRing, corner: Array) -> Ring:
    points = np.round(np.asarray(ring.coords)[:-1] - corner, 3) + 0.0
    return tuple((float(x), float(y)) for x, y in points)


def rings_fault(rings: Sequence[Sequence[tuple[float, float]]]) -> str:
    """What is wrong with an outline and its holes; empty where nothing is."""
    for place, ring in enumerate(rings):
        what = "the outline" if place == 0 else f"hole {place}"
        if len(ring) < 3:
            return f"{what} has {len(ring)} corners; three are the least"
        shape = shapely.Polygon(ring)
        if shape.convex_hull.area < 1.0:
            return f"{what} encloses no area"
        if not shape.is_valid:
            return f"{what} crosses itself{_spot(shape)}"
    whole = shapely.Polygon(rings[0], rings[1:])
    return "" if whole.is_valid else f"a hole leaves the outline or meets another{_spot(whole)}"


def _spot(shape: shapely.Polygon) -> str:
    """Where a shape is not valid, mm."""
    at = str(shapely.is_valid_reason(shape)).partition("[")[2].rstrip("]").split()
    return f" at ({float(at[0]):.1f}, {float(at[1]):.1f}) mm" if len(at) == 2 else ""
