"""`clearances:` of a shop file: gaps by kind, pairs let off by name, heights; of a boat file: such pairs."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, StrictBool, StrictStr

from model.boatfile.values import Entry
from parts.catalogue_schema import Length

Two = Annotated[list[StrictStr], Field(min_length=2, max_length=2)]


class GapEntry(Entry):
    """The least gap between two kinds of pieces."""

    between: Two = Field(
        description="two of member, sheet, lid, fitting, hull, rib, stringer, room, any, or a kind of fitting"
    )
    least: Length = Field(description="0 asks only that they do not overlap")


class ExemptEntry(Entry):
    """Two pieces with a gap of their own."""

    between: Two = Field(description="names of two pieces; `*` stands for any run of letters")
    least: Length = Field(default=0, description="the gap asked of them")
    overlap: StrictBool = Field(default=False, description="whether they may lie in each other as well")
    why: StrictStr = Field(default="", max_length=200, description="said in the report")
    by: StrictStr = Field(default="", max_length=60, description="who accepted it, and when")


class BoatClearanceEntry(Entry):
    """Pairs of one boat that are let off."""

    exempt: list[ExemptEntry] = Field(
        default_factory=list, description="pairs of pieces with a gap of their own, beside those of the shop"
    )


class HeightsEntry(Entry):
    """Limits of heights that a body meets; `none` asks nothing."""

    gunwale: Length | None = Field(default=None, description="least height of the gunwale over a deck")
    step: Length | None = Field(default=None, description="greatest rise from one deck to the next")
    seat_low: Length | None = Field(default=None, description="least height of a cushion over the floor")
    seat_high: Length | None = Field(default=None, description="greatest height of a cushion over the floor")
    knees: Length | None = Field(default=None, description="least level room before a cushion")
    locker: Length | None = Field(default=None, description="least height inside a locker")


class ClearanceEntry(Entry):
    """What is asked of clearances, beyond what is usual."""

    gaps: list[GapEntry] = Field(default_factory=list, description="the closest one holds; later ones win")
    exempt: list[ExemptEntry] = Field(default_factory=list)
    heights: HeightsEntry = Field(default_factory=HeightsEntry)
    weld_overlap: Length | None = Field(
        default=None, description="how deep joined pieces may lie in each other"
    )
