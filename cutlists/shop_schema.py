"""The shop file, key by key: one pydantic model reads, refuses and documents it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StrictFloat, StrictInt, StrictStr

from cutlists.bending_file import BendingEntry
from cutlists.boxes.coverage import CoverageEntry
from cutlists.electrics.spool_file import WireShopEntry
from cutlists.nests.settings import NestEntry
from cutlists.price.schema import QuoteEntry
from cutlists.sticks.settings import SticksEntry
from cutlists.work.settings import WorkShopEntry
from model.boatfile.access_schema import AccessEntry
from model.boatfile.clearance_schema import ClearanceEntry
from model.boatfile.mat_schema import MatSheetEntry
from parts.catalogue_schema import CatalogueEntries, Length

Angle = Annotated[
    StrictStr | StrictInt | StrictFloat,
    Field(description="an angle: 60, 60 deg or 1.05 rad; bare is degrees"),
]
Size = Annotated[Length, Field(description="a length; leave it out where the saw sets no limit")]

Price = Annotated[StrictFloat | StrictInt, Field(description="a price of one, a number")]


class SawEntry(BaseModel):
    """What the saw reaches; a cut past it is flagged in the saw list."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    name: str = "saw"
    mitre: Angle = Field(default=60, description="greatest turn of the table from square")
    bevel: Angle = Field(default=45, description="greatest tilt of the blade from upright")
    width: Size | None = Field(default=None, description="longest cut across the table")
    height: Size | None = Field(default=None, description="tallest cut above the table")


class NestsEntry(NestEntry):
    """Sheets to buy, offcuts on hand, and how pieces lie on them."""

    keep: Length = Field(default="8 in", description="offcuts narrower than this are scrap")


Above = Annotated[StrictFloat | StrictInt, Field(gt=0, allow_inf_nan=False)]


class WeldingEntry(BaseModel):
    """How the shop welds; the usual numbers are common practice, to be replaced by its own."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    leg: Length | None = Field(default=None, description="of a fillet; the wall of the tube if left out")
    travel: Length = Field(default="10 in", description="seam made in a minute while the arc burns")
    arc_share: Annotated[Above, Field(le=1)] = Field(
        default=0.25, description="share of the time that the arc burns"
    )
    gas: Above = Field(default=12, description="litres a minute while it burns")
    loss: Annotated[StrictFloat | StrictInt, Field(ge=0, le=5)] = Field(
        default=0.25, description="filler lost, and what the seam stands proud, as a share of the fillet"
    )


class MatShopEntry(BaseModel):
    """Sheets of mat to buy; those that a boat names itself go before them."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    sheets: dict[str, MatSheetEntry] = Field(default_factory=dict, description="sizes, by name")


class ShopFile(BaseModel):
    """The settings of a shop."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    units: Literal["in", "ft", "mm", "cm", "m"] = Field(
        default="in", description="of bare numbers in this file"
    )
    fraction: Literal[2, 4, 8, 16, 32, 64] = Field(
        default=16, description="lengths are marked to 1 / this inch"
    )
    outline_units: Literal["mm", "in"] = Field(default="mm", description="drawing unit of the DXF outlines")
    paper: Literal["letter", "A4"] | None = Field(
        default=None, description="of the packet; by the boat's units unless given"
    )
    saw: SawEntry = Field(default_factory=SawEntry)
    limber: Length = Field(default="3/4 in", description="size of limber holes, unless a boat sets it")
    sticks: SticksEntry = Field(
        default_factory=SticksEntry, description="tube to buy, with prices, and how it is sawn"
    )
    nests: NestsEntry = Field(
        default_factory=NestsEntry, description="sheets to buy, with prices, and how pieces lie on them"
    )
    bending: BendingEntry = Field(
        default_factory=BendingEntry, description="radii and test bends of sheet, and the brake"
    )
    welding: WeldingEntry = Field(default_factory=WeldingEntry, description="rates of welding")
    work: WorkShopEntry = Field(
        default_factory=WorkShopEntry, description="hands, hours, days off, lead times and rates of work"
    )
    mat: MatShopEntry = Field(default_factory=MatShopEntry, description="sheets of mat to buy, with prices")
    wire: WireShopEntry = Field(
        default_factory=WireShopEntry, description="spools of wire to buy, with prices"
    )
    coverage: dict[str, CoverageEntry] = Field(
        default_factory=dict, description="how far paint and glue reach, by the name boats ask for them"
    )
    prices: dict[str, Price] = Field(
        default_factory=dict, description="of lids, seats and other parts, by their names"
    )
    quote: QuoteEntry | None = Field(
        default=None, description="how boats are priced; a build writes a quote where it is given"
    )
    part_numbers: dict[str, Annotated[StrictStr, Field(max_length=60)]] = Field(
        default_factory=dict, description="of parts by name, for the owner's folder"
    )
    stock: StrictStr = Field(
        default="stock.sqlite", description="file of what is on hand, beside this one; see `athwart stock`"
    )
    access: AccessEntry = Field(
        default_factory=AccessEntry, description="ways out for removable things, and reach of a hand"
    )
    clearances: ClearanceEntry = Field(
        default_factory=ClearanceEntry, description="gaps and heights that are asked of a boat"
    )
    catalogue: CatalogueEntries | None = Field(default=None, description="parts of the shop's own")
