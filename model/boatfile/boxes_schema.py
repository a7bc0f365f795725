"""The `boxes:` part of a boat file: insulated boxes besides their walls, the ice they keep."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StrictBool, StrictFloat, StrictInt

from model.boatfile.values import Entry, Length, Plain

Temperature = Annotated[Plain, Field(description="25 C, 77 F, or a bare number of degrees C")]
Ice = Annotated[Plain, Field(description="a mass: 20 lb, 9 kg, or a bare number of kilograms")]


class BoxEntry(Entry):
    """An insulated box, by the name of its locker."""

    foam: Literal["polystyrene", "extruded", "polyurethane"] | StrictFloat | StrictInt = Field(
        default="polystyrene", description="its kind, or its conductivity in W/(m K)"
    )
    lid: Length = Field(default=0, description="thickness of foam under the lid")
    top: Length | None = Field(
        default=None, description="of foam under the deck about the opening; all there is room for unless set"
    )
    gasket: StrictBool = Field(default=False, description="whether the lid closes on a gasket")
    rim: Literal["plastic", "metal"] = Field(
        default="plastic", description="what joins liner and box at the top"
    )
    tape: Length = Field(
        default="1/8 in", description="foam tape between liner and frame, and below frame over the inside"
    )
    ice: list[Ice] = Field(default=["10 lb", "20 lb", "40 lb"], min_length=1, max_length=8)
    outside: list[Temperature] = Field(default=["60 F", "75 F", "90 F"], min_length=1, max_length=8)
