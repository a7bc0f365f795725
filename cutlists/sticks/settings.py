"""Shop settings for stick plans: lengths and their prices, offcuts on hand, kerf, end trim, what to keep."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StrictFloat, StrictInt, StrictStr

from parts.catalogue_schema import Length
from parts.faults import Place

Price = Annotated[StrictFloat | StrictInt, Field(description="a price of one, a number above 0")]
Angle = Annotated[StrictStr | StrictInt | StrictFloat, Field(description="an angle; bare is degrees")]

LENGTHS = (6096.0, 7315.2)
"""20 ft and 24 ft, what tube is sold in where no shop says otherwise, mm (common practice)."""


class _Entry(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class LengthEntry(_Entry):
    """A length that can be bought."""

    length: Length
    price: Price | None = None


class StickOffcutEntry(_Entry):
    """Lengths on hand that are alike, measured along their shortest side."""

    length: Length
    name: str = Field(default="", max_length=40, description="what it is called in the plan")
    quantity: StrictInt = Field(default=1, description="a whole number from 1")
    value: Price | None = Field(default=None, description="what keeping one is worth; nothing unless set")


class TubeEntry(_Entry):
    """How one section is bought and cut, by the name it is bought under; what is left out is as for all."""

    lengths: Annotated[list[LengthEntry], Field(min_length=1)] | None = None
    offcuts: list[StickOffcutEntry] = Field(default_factory=list)
    kerf: Length | None = None
    end_trim: Length | None = None
    keep: Length | None = None


class SticksEntry(_Entry):
    """Settings of stick plans, as written in a shop file."""

    kerf: Length = Field(default="1/8 in", description="what the blade takes, square to the cut")
    end_trim: Length = Field(
        default="1/4 in", description="cut off each end of a bought stick, kerf included"
    )
    keep: Length = Field(default="12 in", description="offcuts shorter than this are scrap")
    same_cut: Angle = Field(default=0.05, description="ends whose planes are this close share a cut")
    seconds: StrictFloat | StrictInt = Field(default=5, description="longest search, a number of seconds")
    lengths: Annotated[list[LengthEntry], Field(min_length=1)] | None = Field(
        default=None, description="lengths of sections that name none; 20 ft and 24 ft unless set"
    )
    sections: dict[str, TubeEntry] = Field(default_factory=dict, description="by the name it is bought under")


class SticksFile(SticksEntry):
    """The same settings as a file of their own."""

    units: Literal["in", "ft", "mm", "cm", "m"] = Field(default="in", description="of bare numbers")


@dataclass(frozen=True, slots=True)
class Buyable:
    """A length that can be bought, mm, and its price, if known."""

    length: float
    price: float | None = None


@dataclass(frozen=True, slots=True)
class OnRack:
    """Lengths on hand that are alike: `label`, `length` (mm), how many, what keeping one is worth."""

    label: str
    length: float
    quantity: int = 1
    value: float = 0.0


@dataclass(frozen=True)
class Tube:
    """How one section is bought and cut, mm.

    Attributes:
        lengths: to be bought; all have a price, or none.
        offcuts: on hand.
        kerf: what the blade takes, square to the cut.
        end_trim: taken off each end of a bought stick, kerf included.
        keep: shorter offcuts are scrap.
        place: where it stands in the shop file, for faults found when planning.
        assumed: whether the lengths are only the usual ones.
    """

    lengths: tuple[Buyable, ...] = tuple(Buyable(length) for length in LENGTHS)
    offcuts: tuple[OnRack, ...] = ()
    kerf: float = 3.175
    end_trim: float = 6.35
    keep: float = 304.8
    place: Place = field(default_factory=lambda: Place("stick plans", None, ""))
    assumed: bool = True

    def __post_init__(self) -> None:
        """Refuse what no plan can be made with.

        Raises:
            ValueError: a number out of bounds, or prices for some lengths only.
        """
        if not (self.kerf > 0 and self.end_trim >= 0 and self.keep >= 0 and self.lengths):
            raise ValueError("kerf must be above zero, trim and keep not below it, and a length is needed")
        if any(not length.length > 2.0 * self.end_trim for length in self.lengths):
            raise ValueError("a length must be above what is trimmed off both its ends")
        if len({length.price is None for length in self.lengths}) > 1:
            raise ValueError("give every length a price, or none")

    @property
    def priced(self) -> bool:
        """Whether cost is in money; else it is in mm bought."""
        return self.lengths[0].price is not None


@dataclass(frozen=True)
class StickSettings:
    """Settings of stick plans as numbers.

    Attributes:
        usual: for sections that are not named.
        tubes: by the name a section is bought under.
        same_cut: end planes this close are made by one cut, rad.
        seconds: of searching, shared by the sections.
    """

    usual: Tube = field(default_factory=Tube)
    tubes: Mapping[str, Tube] = field(default_factory=dict)
    same_cut: float = math.radians(0.05)
    seconds: float = 5.0

    def of(self, stock: str) -> Tube:
        """How the section bought under this name is bought and cut."""
        return self.tubes.get(stock, self.usual)
