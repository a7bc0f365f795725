"""The `hoses:` part of a boat file: fittings that hoses end on, the hoses, and what is asked of them."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StrictBool, StrictFloat, StrictInt, StrictStr

from model.boatfile.values import Entry, Length, Name, SpacePoint

HoseKind = Literal["pumped", "bilge", "aerator", "drain", "overflow"]


class HoseFittingEntry(Entry):
    """What a hose ends on that is no fixture: just one of `skin`, `of` and `open` says where it is."""

    skin: Literal["port", "starboard", "transom", "bottom"] | None = Field(
        default=None, description="it goes through the skin there"
    )
    of: StrictStr | None = Field(default=None, description="a locker; it goes through its wall or floor")
    open: StrictBool = Field(default=False, description="an open end, as of a drain that ends in the bilge")
    at: Annotated[
        list[Length],
        Field(
            min_length=2,
            max_length=3,
            description="middle of the hole: [x, z] in a side, [y, z] in the transom, [x, y] in the bottom, "
            "else [x, y, z]",
        ),
    ]
    part: StrictStr | None = Field(default=None, description="of the catalogue, such as through-hull-3/4")
    bore: Length | None = Field(default=None, description="that water passes; of the part unless given")
    valve: StrictBool = Field(default=False, description="a valve is screwed on it")


class HoseEntry(Entry):
    """A hose from one fitting to another, as the water runs."""

    start: StrictStr = Field(
        alias="from", description="a fitting below `hoses`, a fixture, or a drain below `water`"
    )
    end: StrictStr = Field(alias="to", description="likewise")
    kind: HoseKind = Field(
        description="`pumped` or `drain`, `overflow` of a well, `bilge` from the pump in the bilge, "
        "`aerator` that turns a well's own water over"
    )
    inside: Length | None = Field(default=None, description="diameter; smooth hose of this size is taken")
    hose: StrictStr | None = Field(default=None, description="of the catalogue, in place of `inside`")
    points: list[SpacePoint] = Field(
        default_factory=list, description="where it runs between its ends, in place of a way found for it"
    )
    via: list[StrictStr | SpacePoint] = Field(
        default_factory=list, description="passages or points that it is to go through"
    )
    loop: Length | StrictBool | None = Field(
        default=None,
        description="height of a high loop before its end; by rule where a discharge lies near the water; "
        "`false` leaves it out",
    )
    siphon_break: StrictBool = Field(default=False, description="air is let in at its highest place")
    elbows: int = Field(default=0, strict=True, ge=0, le=12, description="bends made by elbows, the sharpest")


Percent = Annotated[StrictInt | StrictFloat, Field(ge=0, le=20)]
Minutes = Annotated[StrictInt | StrictFloat, Field(gt=0, le=600)]


class HosesEntry(Entry):
    """Hoses, and what is asked of them."""

    fittings: dict[Name, HoseFittingEntry] = Field(default_factory=dict)
    runs: dict[Name, HoseEntry] = Field(default_factory=dict)
    near_water: Length = Field(
        default="6 in", description="a skin fitting no higher over the water wants a valve"
    )
    loop_height: Length = Field(default="6 in", description="of high loops over the water, at least")
    slope: Percent = Field(default=2, description="least fall of drains and overflows, percent")
    turnover: Minutes | None = Field(
        default=None, description="longest time in which a well is to be filled anew, minutes"
    )
