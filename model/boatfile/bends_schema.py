"""The `bends:` part of a boat file: edges of flat sheet that are bent to flanges."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, StrictStr

from model.boatfile.values import Angle, Entry, Length

Look = Literal["upper", "lower", "aft", "forward", "port", "starboard"]


class ReturnEntry(Entry):
    """A further bend of a flange, at the edge of what is bent before it."""

    height: Length = Field(description="outside, from mould line to mould line or edge")
    angle: Angle = Field(default=90, description="turn from flat")
    turn: Literal["face", "back"] = Field(description="towards the face that is seen, or away from it")
    radius: Length | None = Field(default=None, description="inside; the shop's for that sheet unless given")


class FlangeEntry(Entry):
    """A flange along the straight edges on one side of a piece, or a lip round an opening."""

    edge: Look | None = Field(default=None, description="the side of the piece, as it stands in the boat")
    opening: StrictStr | None = Field(
        default=None, description="of a deck's sheet: a lip along the straight edges of that opening"
    )
    takes: StrictStr | None = Field(
        default=None,
        description="the wall round the corner, in whose place it stands, with no height or turn",
    )
    height: Length | None = Field(default=None, description="outside, from where the edge is drawn")
    angle: Angle = Field(default=90, description="turn from flat")
    turn: Literal["face", "back"] | None = Field(
        default=None, description="towards the face that is seen, or away from it"
    )
    radius: Length | None = Field(default=None, description="inside; the shop's for that sheet unless given")
    returns: list[ReturnEntry] = Field(
        default_factory=list, max_length=3, description="further bends, from the first outward"
    )
    corner: Literal["notch", "mitre"] = Field(
        default="notch", description="how it is cut where it meets another flange in a corner"
    )
    corner_gap: Length | None = Field(
        default=None, description="between mitred flanges; the file's `seam_gap` unless given"
    )
