"""The `foam:` part of a boat file: flotation foam as blocks cut from board that fit under decks."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, StrictBool, StrictFloat, StrictInt, StrictStr

from model.boatfile.values import Entry, Length, Name


class FoamBoardEntry(Entry):
    """A board of foam as sold."""

    thickness: Length
    width: Length
    length: Length
    price: float | None = Field(
        default=None, ge=0, description="of one; else by its name in the shop's prices"
    )


class BlocksEntry(Entry):
    """Blocks of foam under the decks; every key may be left out."""

    boards: dict[Name, FoamBoardEntry] = Field(
        default_factory=dict, description="boards by name; 2 in and 1 in of 4 by 8 ft unless given"
    )
    density: Annotated[StrictFloat | StrictInt, Field(gt=5, le=500)] | None = Field(
        default=None, description="kg/m3; that of `afloat.foam` unless given, else 32"
    )
    gap: Length = Field(default="1/8 in", description="between a block and metal")
    bilge: Length = Field(default="1 in", description="kept free above the skin, where water runs")
    channel: Annotated[list[Length], Field(min_length=2, max_length=2)] = Field(
        default=["6 in", "4 in"], description="[width, height] kept free along the keel"
    )
    least: Length = Field(default="2 in", description="no block is narrower")
    most: Length = Field(default="48 in", description="no block is longer")
    fuel_gap: Length = Field(default="2 in", description="between a block and a fuel tank")
    arm: Length = Field(
        default="5 in", description="width kept free to what a hand must get at and what is taken out"
    )
    leave: list[StrictStr] = Field(default_factory=list, description="decks under which none is to go")
    fuel_proof: StrictBool = Field(
        default=False, description="whether its maker tells that the foam stands fuel"
    )
