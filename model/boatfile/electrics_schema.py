"""The `electrics:` part of a boat file: batteries, fuse boxes, switches, loads, circuits, named uses."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StrictBool, StrictFloat, StrictInt, StrictStr

from model.boatfile.values import Entry, Length, Name, SpacePoint

MOST = 200
"""Circuits, loads, devices and batteries of one boat."""

Amps = Annotated[StrictFloat | StrictInt, Field(gt=0, le=2000)]
Volts = Annotated[StrictFloat | StrictInt, Field(gt=0, le=400)]
Hours = Annotated[StrictFloat | StrictInt, Field(gt=0, le=240)]
Share = Annotated[StrictFloat | StrictInt, Field(ge=0, le=1)]
Percent = Annotated[StrictFloat | StrictInt, Field(gt=0, lt=50)]
Gauge = Annotated[
    StrictInt | StrictStr,
    Field(description="AWG: 18 to 1 as a number, or '1/0', '2/0', '3/0', '4/0'"),
]
Whereabouts = Annotated[
    StrictStr | SpacePoint, Field(description="a fixture's name, or [x, y, z] in the boat")
]


class BankEntry(Entry):
    """One battery, or several joined in series or beside each other."""

    of: list[StrictStr] = Field(
        min_length=1, max_length=12, description="battery fixtures, from the positive end to the negative"
    )
    joined: Literal["series", "parallel"] = Field(default="series", description="how several are joined")
    kind: Literal["lead", "lithium"] = "lead"
    amp_hours: Amps | None = Field(
        default=None, description="of each, at the 20 hour rate; as in the catalogue unless given"
    )
    reserve: Share | None = Field(
        default=None, description="part of the charge kept back; half for lead, a fifth for lithium"
    )


class DeviceEntry(Entry):
    """Something that current passes on its way: a fuse or breaker, a fuse box, a switch, a bus bar."""

    at: Whereabouts
    kind: Literal["fuse", "fuse_box", "cutoff", "switch", "bus"]
    rating: Amps | None = Field(default=None, description="of a fuse or breaker; chosen unless given")
    carries: Amps | None = Field(
        default=None, description="the most that may pass it, where that is to be checked"
    )
    positions: int | None = Field(
        default=None, strict=True, ge=1, le=60, description="how many circuits a fuse box takes"
    )


class LoadEntry(Entry):
    """Something that uses current."""

    at: Whereabouts
    amps: Amps | None = Field(default=None, description="as it runs; of the electric drive unless given")
    volts: Volts | None = Field(default=None, description="that it is made for, where that is to be checked")
    drive: StrictBool = Field(default=False, description="it is the motor of `afloat.drive`")
    thrust: Share = Field(default=0.5, description="of a drive, the share of full thrust it is used at")
    shares: dict[Name, Share] = Field(
        default_factory=dict, description="by the name of a use, the share of its hours that it runs"
    )


class CircuitEntry(Entry):
    """A way of current from where it is taken to what uses it, and back."""

    start: StrictStr = Field(alias="from", description="a battery, a fuse box, a bus or a switch")
    through: list[StrictStr] = Field(default_factory=list, description="fuse, cut-off, switches, in order")
    to: StrictStr = Field(description="a load; or a fuse box or bus that it feeds")
    back: StrictStr | None = Field(
        default=None,
        description="the negative bus or battery, of a feeder its bus; the only bus, or the battery",
    )
    kind: Literal["critical", "other", "cranking"] = Field(
        default="other",
        description="critical: 3 % drop of voltage; other: 10 %; cranking: 10 %, no fuse, any current",
    )
    amps: Amps | None = Field(default=None, description="of a feeder: the most that is on at once")
    fuse: Amps | None = Field(default=None, description="rating; chosen unless given")
    gauge: Gauge | None = Field(default=None, description="chosen unless given")
    colour: StrictStr | None = Field(default=None, max_length=30)
    sheathed: StrictBool = Field(default=False, description="both conductors in one sheath")
    engine_space: StrictBool = False


class WireRunEntry(Entry):
    """How the wires between two things lie, where that is not to be found."""

    between: list[StrictStr] = Field(min_length=2, max_length=2)
    points: list[SpacePoint] | None = Field(default=None, description="the bends of the run, in order")
    via: list[StrictStr | SpacePoint] = Field(
        default_factory=list, description="passages or points that it is to go by"
    )


class UseEntry(Entry):
    """Part of a day: how long, and what charges meanwhile."""

    hours: Hours
    charge: dict[Name, Amps] = Field(
        default_factory=dict, description="amperes into a battery of `batteries` meanwhile"
    )


class ElectricsEntry(Entry):
    """The wires of the boat."""

    insulation: Literal[60, 75, 80, 90, 105, 125, 200] = Field(default=105, description="rating, degrees C")
    copper: Literal["awg", "sae"] = Field(
        default="awg", description="area of a number: full AWG, or the smaller one of automotive wire"
    )
    colours: dict[Literal["positive", "negative"], StrictStr] = Field(default_factory=dict)
    feeder_drop: Percent = Field(default=1, description="percent lost between a battery and a box it feeds")
    fuse_margin: Annotated[StrictFloat | StrictInt, Field(ge=1, le=3)] = Field(
        default=1.25, description="a fuse is at least so many times the current"
    )
    bundling: Literal["rule", "always"] = Field(
        default="rule", description="derating of bundles: from 50 V as the rule has it, or always"
    )
    slack: Share = Field(default=0.05, description="of a run's length, added to it")
    ends: Length = Field(default="3 in", description="added at each end, to strip and to do again")
    drip_loop: Length = Field(default="4 in", description="added at each end, so that water drips off")
    cut_to: Length = Field(default="6 in", description="cut lengths are rounded up to a multiple of it")
    batteries: dict[Name, BankEntry] = Field(default_factory=dict, max_length=MOST)
    devices: dict[Name, DeviceEntry] = Field(default_factory=dict, max_length=MOST)
    loads: dict[Name, LoadEntry] = Field(default_factory=dict, max_length=MOST)
    circuits: dict[Name, CircuitEntry] = Field(default_factory=dict, max_length=MOST)
    runs: list[WireRunEntry] = Field(default_factory=list)
    uses: dict[Name, UseEntry] = Field(default_factory=dict, description="parts of one day, in order")
