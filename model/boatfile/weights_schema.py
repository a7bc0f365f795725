"""The `weights:` part of a boat file: the hull as weighed, what is taken out, what goes aboard."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StrictBool, StrictStr

from model.boatfile.values import Entry, Length, Name, PlanPoint, SpacePoint
from parts.catalogue_schema import Mass

Spot = Annotated[
    PlanPoint | SpacePoint,
    Field(description="[x, y, z] of its centre, or [x, y] on what `on` names"),
]


class ScaleEntry(Entry):
    """A reading of a scale under the boat, or under a wheel or the jack of its trailer."""

    at: Annotated[Length | PlanPoint, Field(description="where it stands: x, or [x, y]")]
    reads: Mass
    trailer: Mass | None = Field(
        default=None, description="what it reads under the empty trailer at the same place"
    )


class WeighedHullEntry(Entry):
    """The hull as it was weighed: its mass and centre, or what two or more scales read."""

    mass: Mass | None = None
    centre: SpacePoint | None = Field(default=None, description="[x, y, z]; that of the skin unless given")
    scales: list[ScaleEntry] = Field(default_factory=list, max_length=8)
    height: Length | None = Field(
        default=None, description="height of the centre, which scales do not tell; the skin's unless given"
    )


class ItemEntry(Entry):
    """Something with a mass at a place."""

    mass: Mass
    at: Spot
    on: StrictStr | None = Field(default=None, description="a deck, `deck.opening`, a seat box, a locker")
    above: Length | None = Field(default=None, description="its centre above what it is on")


class AboardEntry(ItemEntry):
    """Something that stays aboard and is no part of the model: a motor, wiring, foam."""

    counts: Literal["fixed", "motor", "gear"] = Field(
        default="fixed", description="what the loading rules count it as"
    )
    before: StrictBool = Field(default=False, description="whether it was aboard before the refit too")


class LoadEntry(ItemEntry):
    """A person, or something that comes and goes with people."""

    person: Literal["standing", "sitting"] | None = Field(
        default=None, description="for a person, from which the height of the centre follows"
    )


class WeightsEntry(Entry):
    """What the boat weighs beyond the pieces of its model."""

    hull: WeighedHullEntry | None = None
    removed: dict[Name, ItemEntry] = Field(
        default_factory=dict, description="what is taken out after the weighing"
    )
    aboard: dict[Name, AboardEntry] = Field(default_factory=dict)
    loads: dict[Name, LoadEntry] = Field(default_factory=dict, description="what load cases are made of")
