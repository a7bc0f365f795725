"""The `rods:` part of a boat file: which lockers take rods, which rods, and what is varied in a table."""

from __future__ import annotations

from pydantic import Field

from model.boatfile.values import Entry, Length, Name, Word


class ReelEntry(Entry):
    """The box a reel needs, hung from the middle of its rod."""

    length: Length = Field(description="along the rod")
    width: Length = Field(description="across it")
    height: Length = Field(description="from the middle of the rod to the far side of the reel")
    from_butt: Length = Field(description="from the butt's end to the near end of the reel")


class RodEntry(Entry):
    """A rod as it is stowed: in one piece, or taken down to its longest piece."""

    length: Length = Field(description="over all, as stowed")
    butt: Length = Field(default="1-1/8 in", description="diameter of the grip at the butt")
    tip: Length = Field(default="1/4 in", description="diameter at the tip, rings included")
    reel: ReelEntry | None = None
    count: int = Field(default=1, strict=True, ge=1, le=50, description="how many of them")
    lies_in: str | None = Field(
        default=None, description="a locker, or `deck.opening`; may be left out where one is marked"
    )


class RodTableEntry(Entry):
    """What is moved to see how long a rod may be."""

    angle: Word | None = Field(default=None, description="a name of `angles`, moved within its limits")
    offset: Word | None = Field(default=None, description="a name of `dimensions`, moved within its limits")
    steps: int = Field(default=5, strict=True, ge=2, le=25, description="values of each")


class RodsEntry(Entry):
    """Lockers for rods and the rods that are to lie in them."""

    lockers: list[str] = Field(
        default_factory=list, description="lockers, or `deck.opening` for the room below it"
    )
    kinds: dict[Name, RodEntry] = Field(default_factory=dict, description="rods by name")
    table: RodTableEntry | None = Field(default=None, description="rod lengths against two dimensions")
