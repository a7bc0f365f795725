"""Shop settings for sheet nests: sheets and their prices, offcuts on hand, spacing, grain and faces."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StrictBool, StrictFloat, StrictInt

from cutlists.nests.records import Stock
from parts.catalogue_schema import Length
from parts.faults import Place
from parts.lengths import format_length

Units = Literal["in", "ft", "mm", "cm", "m"]
Run = Literal["along", "across", "any"]
Point = Annotated[list[Length], Field(min_length=2, max_length=2, description="[x, y], two lengths")]
Ring = Annotated[list[Point], Field(min_length=3, description="corners in order, each [x, y]")]
MOST_SECONDS = 3600.0


class _Entry(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class SizeEntry(_Entry):
    """A size of sheet that can be bought."""

    width: Length
    length: Length = Field(description="the side the grain or tread runs along, as a length")
    price: StrictFloat | StrictInt | None = Field(default=None, description="a price of one sheet, a number")


class MaterialEntry(_Entry):
    """How one sheet of the catalogue is bought and laid."""

    sizes: Annotated[list[SizeEntry], Field(min_length=1)] | None = Field(
        default=None, description="sizes to buy; those of the catalogue unless set"
    )
    grain: StrictBool = Field(default=False, description="true where grain or tread runs along the length")
    runs: dict[str, Run] = Field(
        default_factory=dict,
        description="for a role of pieces how the grain lies in them as drawn: along, across or any",
    )
    flip: StrictBool | list[str] = Field(
        default=True, description="true, false, or the roles whose pieces may be cut face down"
    )


class OffcutEntry(_Entry):
    """A piece of sheet on hand: a rectangle, or any outline with its grain along x."""

    name: str = Field(min_length=1, max_length=40, description="a name of its own")
    sheet: str = Field(description="the name of the sheet in the catalogue")
    width: Length | None = None
    length: Length | None = None
    outline: Ring | None = None
    holes: list[Ring] = Field(default_factory=list)
    quantity: StrictInt = Field(default=1, description="a whole number from 1")


class NestEntry(_Entry):
    """Settings of sheet nests, as written in a shop file."""

    spacing: Length = Field(default="1/4 in", description="least metal between pieces, for the cutter")
    margin: Length = Field(default="1/4 in", description="least metal between a piece and the sheet's edge")
    seconds: StrictFloat | StrictInt = Field(default=4, description="longest search, a number of seconds")
    effort: StrictFloat | StrictInt | None = Field(
        default=None, description="amount of search, about seconds on a plain machine; 3/4 of `seconds`"
    )
    seed: StrictInt = Field(default=1, description="a whole number; another seed searches another way")
    repeatable: StrictBool = Field(
        default=True, description="true stops by effort, so that runs agree; false searches to the clock"
    )
    sheets: dict[str, MaterialEntry] = Field(default_factory=dict)
    offcuts: list[OffcutEntry] = Field(default_factory=list)


class NestFile(NestEntry):
    """The same settings as a file of their own."""

    units: Units = Field(default="in", description="of bare numbers in this file")


@dataclass(frozen=True)
class Material:
    """How one sheet is bought and laid.

    Attributes:
        sizes: sheets to buy; empty stands for the catalogue's sizes, without prices.
        grain: whether it runs along the sheets' length.
        runs: by role how grain lies in the pieces as drawn; along their x where a role is not named.
        flip: whether pieces may be cut face down, or the roles of those that may.
    """

    sizes: tuple[Stock, ...] = ()
    grain: bool = False
    runs: Mapping[str, Run] = field(default_factory=dict)
    flip: bool | frozenset[str] = True

    def turns(self, role: str) -> tuple[int, ...]:
        """How a piece of that role may be turned on the sheet, degrees."""
        run = self.runs.get(role, "along") if self.grain else "any"
        return {"along": (0, 180), "across": (90, 270), "any": (0, 90, 180, 270)}[run]

    def may_flip(self, role: str) -> bool:
        """Whether a piece of that role may be cut face down."""
        return self.flip if isinstance(self.flip, bool) else role in self.flip


@dataclass(frozen=True)
class NestSettings:
    """Settings of sheet nests as numbers, mm; `offcuts` are those on hand, by the sheet they are of.

    Raises:
        ValueError: a number out of bounds.
    """

    spacing: float = 6.35
    margin: float = 6.35
    seconds: float = 4.0
    effort: float = 3.0
    seed: int = 1
    repeatable: bool = True
    materials: Mapping[str, Material] = field(default_factory=dict)
    offcuts: Mapping[str, tuple[Stock, ...]] = field(default_factory=dict)
    place: Place = field(default_factory=lambda: Place("sheet nests", None, ""))
    """Where the settings stand, for faults found when planning."""

    def __post_init__(self) -> None:
        if not (self.spacing > 0 and self.margin >= 0 and self.seconds > 0 and self.effort > 0):
            raise ValueError("spacing, seconds and effort must be above zero and the margin not below it")


def size_label(width: float, length: float, units: str) -> str:
    """The size of a sheet for people: `48 x 96 in`, `1250 x 2500 mm`."""
    if units in ("in", "ft"):
        return " x ".join(format_length(side, "in", 16) for side in (width, length))
    return f"{width:g} x {length:g} mm"
