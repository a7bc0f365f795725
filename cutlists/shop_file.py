"""The shop file: what the shop marks and cuts with, and parts of its own; it stands beside the boat file."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, StrictFloat, StrictInt, StrictStr

from cutlists.saw_list import ShopSaw
from model.end_cut import SawLimits
from parts.catalogue import Catalogue, starter
from parts.catalogue_schema import CatalogueEntries, Length
from parts.checked import checked
from parts.faults import FaultList
from parts.lengths import parse_angle, parse_length
from parts.yamlfile import Document, read_yaml

Angle = Annotated[
    StrictStr | StrictInt | StrictFloat,
    Field(description="an angle: 60, 60 deg or 1.05 rad; bare is degrees"),
]
Size = Annotated[Length, Field(description="a length; leave it out where the saw sets no limit")]


class SawEntry(BaseModel):
    """What the saw reaches; a cut past it is flagged in the saw list."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    name: str = "saw"
    mitre: Angle = Field(default=60, description="greatest turn of the table from square")
    bevel: Angle = Field(default=45, description="greatest tilt of the blade from upright")
    width: Size | None = Field(default=None, description="longest cut across the table")
    height: Size | None = Field(default=None, description="tallest cut above the table")


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
    saw: SawEntry = Field(default_factory=SawEntry)
    stock: StrictStr = Field(
        default="stock.sqlite", description="file of what is on hand, beside this one; see `athwart stock`"
    )
    catalogue: CatalogueEntries | None = Field(default=None, description="parts of the shop's own")


@dataclass(frozen=True)
class Shop:
    """A shop's settings as numbers.

    Attributes:
        saw: what it marks with, and what its saw reaches.
        outline_units: drawing unit of the DXF outlines.
        catalogue: the starter's with the shop's own parts.
        units: of bare numbers, and of lengths shown to people.
        stock: the file of what is on hand, there or not; None where there is no shop file.
    """

    saw: ShopSaw = field(default_factory=ShopSaw)
    outline_units: Literal["mm", "in"] = "mm"
    catalogue: Catalogue = field(default_factory=starter)
    units: str = "in"
    stock: Path | None = None


def shop_beside(boat_file: Path) -> Shop:
    """The shop of the file `shop.yaml` beside a boat file, or the usual settings where there is none.

    Raises:
        BadInput: the file's faults, all at once.
    """
    path = boat_file.parent / "shop.yaml"
    return read_shop(path) if path.exists() else Shop()


def read_shop(path: Path) -> Shop:
    """The shop of a file.

    Raises:
        BadInput: the file's faults, all at once.
    """
    document, faults = read_yaml(path), FaultList()
    entry = checked(ShopFile, document.data, document.place, faults)
    faults.raise_if_any()
    assert entry is not None
    limits = _saw(entry, document, faults)
    catalogue = starter()
    if entry.catalogue is not None:
        catalogue = catalogue.with_entries(
            entry.catalogue, lambda keys: document.place(("catalogue", *keys)), entry.units, faults
        )
    faults.raise_if_any()
    stock = path.parent / entry.stock
    return Shop(ShopSaw(entry.fraction, limits), entry.outline_units, catalogue, entry.units, stock)


def shop_schema() -> dict[str, Any]:
    """The JSON Schema of a shop file."""
    return {
        **ShopFile.model_json_schema(),
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Athwart shop file",
    }


def _saw(entry: ShopFile, document: Document, faults: FaultList) -> SawLimits:
    saw = entry.saw

    def read(key: str, parse: Callable[[Any], float], most: float, bound: str) -> float:
        value = getattr(saw, key)
        if value is None:
            return math.inf
        place = document.place(("saw", key))
        try:
            found = parse(value)
        except ValueError as error:
            wrong, _, right = str(error).partition("; ")
            faults.add(place, wrong, right)
            return math.inf
        if not 0.0 <= found <= most:
            faults.add(place, f"{value} is out of bounds", bound)
        return found

    def length(value: Any) -> float:
        return parse_length(value, entry.units)

    quarter = math.radians(90.0)
    return SawLimits(
        saw.name,
        read("mitre", parse_angle, quarter, "give 0 to 90 degrees"),
        read("bevel", parse_angle, quarter, "give 0 to 90 degrees"),
        read("width", length, 1e6, "give a length above zero"),
        read("height", length, 1e6, "give a length above zero"),
    )
