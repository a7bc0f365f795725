"""What a hand must get at in a boat, and what a shop asks of ways out and of reach."""

from __future__ import annotations

from pydantic import Field

from model.boatfile.values import Entry, SpacePoint
from parts.catalogue_schema import Length


class ServiceEntry(Entry):
    """A point that a hand must get at and that belongs to no fixture: a hose clamp, a bolt of a strut."""

    at: SpacePoint
    both_sides: bool = False


class AccessEntry(Entry):
    """What a shop asks of ways out and of reach, beyond what is usual."""

    gap: Length | None = Field(default=None, description="kept round a thing on its way out")
    reach: Length | None = Field(default=None, description="from an opening along the arm to the fingertips")
    hand: Length | None = Field(default=None, description="width of the least opening an arm is put through")
    arm: Length | None = Field(default=None, description="room that an arm needs across within the boat")
    body: Length | None = Field(
        default=None, description="width of the narrowest place in the open from which somebody leans in"
    )
