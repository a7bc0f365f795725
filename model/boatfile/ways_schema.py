"""The `passages:` part of a boat file: holes, tubes and chases through which wires and hoses go."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, StrictBool, StrictStr

from model.boatfile.values import Entry, Length, SpacePoint

Points = Annotated[list[SpacePoint], Field(min_length=2, max_length=60)]


class PassageEntry(Entry):
    """A hole with its grommet (`at`), or a tube or chase along `points`."""

    at: SpacePoint | None = Field(
        default=None, description="of a hole: its middle, on the piece it is through"
    )
    points: Points | None = Field(default=None, description="of a tube or chase: its middle line")
    through: list[StrictStr] = Field(
        default_factory=list, max_length=20, description="pieces it goes through, by name"
    )
    diameter: Length | None = Field(default=None, description="inside; in place of width and height")
    width: Length | None = Field(default=None, description="inside, the level way")
    height: Length | None = Field(default=None, description="inside, the other way")
    both_sides: StrictBool = False
