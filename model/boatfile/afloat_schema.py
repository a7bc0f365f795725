"""The `afloat:` part of a boat file: load cases, limits, the capacity plate, motors and foam."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StrictBool, StrictFloat, StrictInt, StrictStr

from model.boatfile.values import Angle, Entry, Length, Name, PlanPoint, SpacePoint
from model.boatfile.weights_schema import Spot
from parts.catalogue_schema import Mass

Share = Annotated[float, Field(strict=True, ge=0, le=1)]
Amount = Annotated[StrictFloat | StrictInt, Field(gt=0, le=100000)]
Horsepower = Annotated[StrictFloat | StrictInt, Field(gt=0, le=350)]


class MoveEntry(Entry):
    """Another place for something in one load case."""

    at: Spot
    on: StrictStr | None = None
    above: Length | None = None


class CaseEntry(Entry):
    """What is aboard in one load case, besides what always is."""

    loads: list[Name] = Field(default_factory=list, description="names of `weights.loads`")
    move: dict[StrictStr, MoveEntry] = Field(
        default_factory=dict, description="loads, fixtures or things aboard that lie elsewhere"
    )
    without: list[StrictStr] = Field(default_factory=list, description="fixtures and things left ashore")
    fill: dict[StrictStr, Share] = Field(
        default_factory=dict, description="wells and tanks by name, and how full each is, 0 to 1"
    )


class LimitsEntry(Entry):
    """What is asked of a boat at rest in every load case."""

    freeboard: Length = Field(default="6 in", description="least height of the lowest place over the water")
    heel: Angle = Field(default=10, description="greatest heel")
    trim: Angle = Field(default=5, description="greatest trim from how she lies empty")


class PlateEntry(Entry):
    """What the capacity plate in the boat says. It stands, whatever is worked out here."""

    persons: int | None = Field(default=None, strict=True, ge=1, le=50)
    persons_mass: Mass | None = Field(default=None, description="greatest mass of persons")
    mass: Mass | None = Field(default=None, description="greatest mass of persons, motor and gear")
    power: Horsepower | None = Field(default=None, description="greatest horsepower")


class OutboardEntry(Entry):
    """The outboard that the loading rules are worked out for."""

    power: Horsepower = Field(description="horsepower; the table of masses ends at 350")
    remote: StrictBool = Field(default=False, description="whether it is steered from a wheel")
    transom: Length = Field(default="20 in", description="height of the transom where it hangs")
    hard_chine: StrictBool = Field(
        default=False, description="whether the bottom is flat with a hard chine, as the powering rule asks"
    )
    short_leg: StrictBool = Field(
        default=False, description="whether 10 % comes off its tabled mass, for a transom of 20 in or less"
    )


class FoamEntry(Entry):
    """Flotation foam under the decks."""

    density: Amount = Field(default=32, description="kg/m3; 2 lb/ft3 is 32")
    fills: Share = Field(default=0.8, description="part of the free room that foam can be got into")
    leave: list[StrictStr] = Field(default_factory=list, description="decks under which none is to go")


class DriveEntry(Entry):
    """An electric motor and the batteries it runs on."""

    thrust: StrictStr | StrictFloat | StrictInt = Field(description="at full power: 80 lbf, 356 N")
    volts: Amount
    draw: Amount = Field(description="amperes at full power")
    draws: list[Annotated[list[Amount], Field(min_length=2, max_length=2)]] = Field(
        default_factory=list, description="[percent of full thrust, amperes] as measured"
    )
    batteries: list[StrictStr] = Field(min_length=1, description="names of battery fixtures")
    kind: Literal["lead", "lithium"] = "lead"
    reserve: Share | None = Field(
        default=None, description="part of the charge that is kept back; half for lead, a fifth for lithium"
    )


class AfloatEntry(Entry):
    """How the boat is loaded and what is asked of it then."""

    water: Literal["fresh", "salt"] = "fresh"
    limits: LimitsEntry = Field(default_factory=LimitsEntry)
    cases: dict[Name, CaseEntry] = Field(
        default_factory=dict, description="load cases by name; usual ones unless given"
    )
    floods: dict[Name, SpacePoint] = Field(
        default_factory=dict, description="places lower than the gunwale where water can come in"
    )
    drains: dict[Name, SpacePoint] = Field(
        default_factory=dict, description="holes through the skin that should lie above the water at rest"
    )
    passengers: Annotated[list[PlanPoint], Field(min_length=3)] | None = Field(
        default=None, description="outline of where people sit and stand; the cockpit sole unless given"
    )
    plate: PlateEntry | None = None
    outboard: OutboardEntry | None = None
    foam: FoamEntry | None = Field(default=None, description="`{}` where foam is to go under the decks")
    drive: DriveEntry | None = None
