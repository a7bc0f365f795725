"""The `hats:` part of a boat file: strips folded to a hat or a channel, welded on sheet to stiffen it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StrictBool, StrictStr

from model.boatfile.values import Angle, Entry, Length, PlanPoint, SpacePoint

Ends = Annotated[
    list[PlanPoint | SpacePoint],
    Field(min_length=2, max_length=2, description="two points: [x, y] under a deck, [x, y, z] on a piece"),
]


class HatEntry(Entry):
    """A strip folded to a web, two sides and two feet, its feet on the sheet; without `foot` a channel."""

    under: StrictStr | None = Field(default=None, description="the deck below whose sheet it is")
    on: StrictStr | None = Field(default=None, description="in place of `under`: a flat sheet piece, by name")
    side: Literal["face", "back"] = Field(default="back", description="of the piece it is `on`")
    along: Ends
    height: Length = Field(description="outside, from the sheet it is welded to")
    width: Length = Field(description="outside, of the web")
    foot: Length | None = Field(default=None, description="width of each foot, from the inside of its side")
    angle: Angle = Field(default=90, description="turn of the sides from the web; below 90 they lean out")
    radius: Length | None = Field(default=None, description="inside; the shop's for that sheet unless given")
    sheet: StrictStr | None = None
    both_sides: StrictBool = False
