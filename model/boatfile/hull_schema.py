"""The `hull:` part of a boat file: survey, loft, ends, sheet, and what stands on the skin."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from model.boatfile.values import Angle, Entry, Length, Name

SurveyPointEntry = Annotated[
    list[Length],
    Field(
        min_length=2,
        max_length=3,
        description="[half-breadth, height], and the point's own distance from the transom where it has one",
    ),
]
BetweenEntry = Annotated[
    dict[str, list[SurveyPointEntry]],
    Field(description="points between two lines where the section is bowed, by `chine>gunwale`"),
]


class StationSideEntry(BaseModel):
    """The points of one side at a station: a key for each line, such as `keel: [0, 3-1/2]`."""

    model_config = ConfigDict(extra="allow", frozen=True)
    __pydantic_extra__: dict[str, SurveyPointEntry]

    between: BetweenEntry = Field(default_factory=dict)


class StationEntry(StationSideEntry):
    """A station: its lines for both sides, or under `port` and `starboard` where they differ."""

    at: Length = Field(description="distance forward from the transom")
    port: StationSideEntry | None = None
    starboard: StationSideEntry | None = None


class EndEntry(Entry):
    """How an end of the hull leans."""

    rake: Angle = Field(default=0, description="degrees from upright; the top leans out of the boat")


class RibEntry(Entry):
    """A rib on the inside of the skin, or a run of them."""

    name: Name | None = None
    at: Length = Field(description="middle of the rib, from the transom")
    every: Length | None = Field(default=None, description="distance to the next one")
    until: Length | None = Field(default=None, description="no rib stands forward of here")
    height: Length = Field(description="above the skin")
    width: Length = Field(description="fore and aft")
    from_line: str | None = Field(default=None, alias="from", description="the lowest line unless set")
    to_line: str | None = Field(default=None, alias="to", description="the line above the lowest unless set")


class StringerEntry(Entry):
    """A fore-and-aft stiffener on the inside of the bottom."""

    name: Name | None = None
    off_centre: Length = Field(default=0, description="distance of its middle from the centreline")
    from_x: Length = Field(alias="from", description="aft end")
    to_x: Length = Field(alias="to", description="forward end")
    height: Length = Field(description="above the skin at its middle")
    width: Length = Field(description="athwart")
    side: Literal["both", "port", "starboard"] = "both"


class HullEntry(Entry):
    """The hull as measured on the inside of its skin."""

    survey: str | None = Field(default=None, description="a CSV file beside the boat file")
    stations: list[StationEntry] | None = Field(
        default=None, description="the survey, in place of a CSV file"
    )
    units: Literal["in", "ft", "mm", "cm", "m"] | None = Field(
        default=None, description="of bare numbers in the survey, where not those of the boat file"
    )
    lines: list[str] = Field(min_length=2, description="names of the lines from the keel up to the gunwale")
    loft: Literal["fair", "straight"] = Field(
        default="fair", description="lines as fair curves through the stations, or straight between them"
    )
    transom: EndEntry | None = None
    bow: EndEntry | None = Field(default=None, description="for a bow closed by a plate")
    thickness: Length = Field(default="0.1 in", description="of the hull's sheet")
    ribs: list[RibEntry] = Field(default_factory=list)
    stringers: list[StringerEntry] = Field(default_factory=list)
