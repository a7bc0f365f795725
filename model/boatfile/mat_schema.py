"""The `mat:` part of a boat file: what is matted, its gaps and grooves, and the sheets it is cut from."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from model.boatfile.values import Entry, Length, Name


class MatSheetEntry(Entry):
    """A sheet of mat as supplied."""

    length: Length = Field(description="along the way its grooves run, or will run")
    width: Length = Field(description="across them")
    grooved: bool = Field(default=False, description="comes with grooves cut, at the `pitch` of the mat")
    first: Length = Field(default=0, description="of a grooved sheet: from a long edge to a groove's middle")
    turns: Literal["quarter", "half", "none"] = Field(
        default="quarter", description="how pieces may be turned on it: a nap or a pattern allows less"
    )
    price: float | None = Field(default=None, ge=0, description="of one sheet")


class MatEntry(Entry):
    """Traction mat on decks, lids, seat boxes and upright faces."""

    thickness: Length = "6 mm"
    reveal: Length = Field(default="1/4 in", description="bare metal left at edges and round fittings")
    lid_gap: Length = Field(default="1/4 in", description="between the mat on a lid and that of its deck")
    edge_gap: Length = Field(
        default="1/8 in", description="an upright's mat stops this short of mat that runs over or up to it"
    )
    overhang: Length | None = Field(
        default=None, description="deck mat past the edge above a matted face; the thickness unless set"
    )
    radius: Length = Field(default="1/2 in", description="of the outer corners of a piece")
    least_width: Length = Field(default="1 in", description="narrower strips are left bare")
    direction: Literal["fore_aft", "athwart", "none"] = Field(
        default="fore_aft", description="the way the grooves run"
    )
    pitch: Length = Field(default="2 in", description="between the middles of two grooves")
    offset: Length = Field(
        default=0, description="of one groove, to port of the centreline; athwart: from the transom"
    )
    groove_width: Length = "1/8 in"
    side_faces: Literal["plain", "upright"] = Field(
        default="plain", description="faces along the grooves: no grooves, or upright ones"
    )
    sheets: dict[Name, MatSheetEntry] = Field(default_factory=dict, description="sizes to buy, by name")
    margin: Length = Field(default="1/4 in", description="left at the edges of a mat sheet")
    spacing: Length = Field(default="1/8 in", description="least between two pieces on a sheet")
    leave_out: list[str] = Field(
        default_factory=list, description="surfaces left bare, such as `deck.aft` or `deck.front/store/lid`"
    )
    line: list[str] = Field(
        default_factory=list, description="other panels to line, such as `locker.ice/liner/floor`"
    )
