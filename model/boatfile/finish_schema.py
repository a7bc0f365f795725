"""The `finish:` part of a boat file: what is painted, with what, and what glues the mat."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StrictStr

from model.boatfile.values import Entry, Name

Coats = Annotated[int, Field(strict=True, ge=1, le=10)]
Material = Annotated[StrictStr, Field(max_length=40, description="a name under `coverage` of the shop file")]


class PaintEntry(Entry):
    """One coat system."""

    on: Annotated[list[StrictStr], Field(min_length=1)] = Field(
        description="hull, hull.above (the decks), frame, sheet, lids, or pieces by name or its beginning"
    )
    leave_out: list[StrictStr] = Field(default_factory=list, description="of them what stays bare")
    faces: Literal["front", "back", "both"] = Field(
        default="both",
        description="of sheet: front is the face that is seen, the top of a deck; both takes its frame along",
    )
    paint: Material = Field(
        default="topcoat", description="what it is painted with; empty text for primer only"
    )
    coats: Coats = 2
    primer: Material = Field(default="", description="what goes on before")
    primer_coats: Coats = 1


class FinishEntry(Entry):
    """Paint by name of the coat system, and glue for the mat."""

    paint: dict[Name, PaintEntry] = Field(default_factory=dict)
    adhesive: Material = Field(default="", description="glues the mat; none where it sticks by itself")
