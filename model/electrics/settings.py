"""What a boat file says of its wires, as records with numbers: millimetres, amperes, volts, hours."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from model.geometry import Array
from parts.faults import Place

INCH = 25.4
Kind = Literal["fuse", "fuse_box", "cutoff", "switch", "bus"]
CRANKING = "cranking"
"""A main feed to a cranking motor, which 33 CFR 183.425 and (from memory) 183.460 leave out."""

DROPS = {"critical": 0.03, "other": 0.10, CRANKING: 0.10}
"""ABYC E-11, as quoted: the share of the voltage that a circuit may lose; of cranking from memory."""


@dataclass(frozen=True, eq=False)
class Spot:
    """Where something is: a fixture's name (`fixture.pump`), or a point `(3,)` in the boat."""

    fixture: str | None
    point: Array | None


@dataclass(frozen=True, eq=False)
class Bank:
    """Batteries that work as one.

    Attributes:
        name: as circuits call it.
        spots: of each battery, the positive end first.
        series, strings: how many in series, and how many such beside each other.
        volts: of the whole; `each` those of every battery in it.
        amp_hours: of the whole at the 20 hour rate; None where not known.
        kind: lead or lithium.
        reserve: share of the charge that is kept back.
        place: in the file.
    """

    name: str
    spots: tuple[Spot, ...]
    joined: Literal["series", "parallel"]
    each: tuple[float, ...]
    amp_hours: float | None
    kind: str
    reserve: float
    place: Place

    @property
    def volts(self) -> float:
        """Of the whole, V."""
        return sum(self.each) if self.joined == "series" else max(self.each)


@dataclass(frozen=True, eq=False)
class Device:
    """A fuse, fuse box, cut-off, switch or bus bar; `carries` is the most that may pass it, A."""

    name: str
    kind: Kind
    spot: Spot
    rating: float | None
    positions: int | None
    place: Place
    carries: float | None = None


@dataclass(frozen=True, eq=False)
class Load:
    """What uses current: amperes as it runs, and the share of each use's hours that it does.

    Of the electric drive `amps` are those at full thrust, `mean` those at the thrust it is used at.
    """

    name: str
    spot: Spot
    amps: float
    mean: float
    volts: float | None
    drive: bool
    shares: Mapping[str, float]
    place: Place


@dataclass(frozen=True, eq=False)
class Circuit:
    """A way of current: `start`, `through` in order, `to`, and `back`; see the boat file's schema."""

    name: str
    start: str
    through: tuple[str, ...]
    to: str
    back: str
    kind: Literal["critical", "other", "cranking"]
    amps: float | None
    fuse: float | None
    gauge: str | None
    colour: str | None
    sheathed: bool
    engine_space: bool
    place: Place

    @property
    def stops(self) -> tuple[str, ...]:
        """All that its positive conductor touches, in order."""
        return (self.start, *self.through, self.to)


@dataclass(frozen=True, eq=False)
class GivenRun:
    """How the wires between two things lie: bends `(n, 3)`, or passages and points to go by."""

    between: frozenset[str]
    points: Array | None
    via: tuple[Array | str, ...]
    place: Place


@dataclass(frozen=True)
class Use:
    """Part of a day: hours, and amperes that charge banks by name meanwhile."""

    name: str
    hours: float
    charge: Mapping[str, float]


@dataclass(frozen=True, eq=False)
class Electrics:
    """All of it, with the habits of the shop; `drive_on` names the batteries of `afloat.drive`."""

    insulation: int = 105
    copper: str = "awg"
    positive: str = "red"
    negative: str = "black"
    feeder_drop: float = 0.01
    fuse_margin: float = 1.25
    always_derated: bool = False
    slack: float = 0.05
    ends: float = 3.0 * INCH
    drip_loop: float = 4.0 * INCH
    cut_to: float = 6.0 * INCH
    banks: Mapping[str, Bank] = field(default_factory=dict)
    devices: Mapping[str, Device] = field(default_factory=dict)
    loads: Mapping[str, Load] = field(default_factory=dict)
    circuits: tuple[Circuit, ...] = ()
    runs: tuple[GivenRun, ...] = ()
    uses: tuple[Use, ...] = ()
    drive_on: tuple[str, ...] = ()
    place: Place | None = None

    def spot(self, name: str) -> Spot:
        """Where a device or load is, or the first battery of a bank."""
        if name in self.banks:
            return self.banks[name].spots[0]
        return self.devices[name].spot if name in self.devices else self.loads[name].spot

    def kind(self, name: str) -> str:
        """`battery`, `load`, or the kind of a device."""
        if name in self.banks:
            return "battery"
        return str(self.devices[name].kind) if name in self.devices else "load"
