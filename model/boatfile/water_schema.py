"""The `water:` part of a boat file: how the boat lies, where water leaves, what may stand."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, StrictStr

from model.boatfile.values import Angle, Entry, Length, Name, PlanPoint

Litres = Annotated[float, Field(strict=True, ge=0, le=1000)]


class AttitudeEntry(Entry):
    """How the boat lies."""

    trim: Angle = Field(default=0, description="degrees, bow up")
    heel: Angle = Field(default=0, description="degrees, port side up")


class DrainEntry(Entry):
    """A hole in what holds water, and where it leads."""

    of: StrictStr = Field(description="a locker, deck, seat box, console or fixture (a tray), or `hull`")
    at: PlanPoint
    to: StrictStr = Field(
        default="bilge", description="`bilge`, `overboard`, or a deck or locker that lies below"
    )
    diameter: Length = "1 in"
    both_sides: bool = False


class LimberEntry(Entry):
    """A limber hole through upright sheet, at its foot."""

    through: StrictStr = Field(description="the piece, such as `seat.helm/riser.4`")
    at: PlanPoint = Field(description="where, in plan; the nearest point of the piece is taken")
    diameter: Length | None = Field(default=None, description="the limber size unless given")
    both_sides: bool = False


class WaterEntry(Entry):
    """How water leaves the boat."""

    at_rest: AttitudeEntry = Field(default_factory=lambda: AttitudeEntry(trim=1))
    underway: AttitudeEntry = Field(default_factory=lambda: AttitudeEntry(trim=4))
    drains: dict[Name, DrainEntry] = Field(default_factory=dict)
    limbers: dict[Name, LimberEntry] = Field(default_factory=dict)
    rib_limbers: list[Length] = Field(
        default_factory=list, description="how far off the centreline each rib has a hole on both sides"
    )
    limber: Length | None = Field(default=None, description="size of limber holes; the shop's unless given")
    drill: bool = Field(default=True, description="whether members that dam a floor are drilled by rule")
    sealed: list[StrictStr] = Field(
        default_factory=list, description="sheet whose gap along the hull is closed tight"
    )
    let_stand: list[StrictStr] = Field(default_factory=list, description="what may hold water")
    allow: Litres = Field(default=0.25, description="litres that may stand in one place")
