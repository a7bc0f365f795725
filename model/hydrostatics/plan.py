"""What a boat file asks of a boat afloat, resolved to millimetres, kilograms and radians."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from model.geometry import Array
from model.hydrostatics.balance import FRESH, SALT
from parts.faults import Place

INCH, DEGREE = 25.4, math.pi / 180.0


@dataclass(frozen=True, eq=False)
class Case:
    """One way in which the boat is loaded.

    Attributes:
        name: as in the file.
        loads: names of what comes aboard.
        moved: new centres by name, `(3,) float`, mm; z is nan where the height stays.
        without: names of what is left ashore.
        fills: how full each well or tank is, by name.
        place: where the file tells of it; None for one of the usual cases.
    """

    name: str
    loads: tuple[str, ...] = ()
    moved: Mapping[str, Array] = field(default_factory=dict)
    without: tuple[str, ...] = ()
    fills: Mapping[str, float] = field(default_factory=dict)
    place: Place | None = None


@dataclass(frozen=True)
class Limits:
    """What is asked at rest: least freeboard in mm, greatest heel and change of trim in rad.

    The usual ones are common practice, not a rule; the heel is that of the level-flotation test, 10 degrees.
    """

    freeboard: float = 6.0 * INCH
    heel: float = 10.0 * DEGREE
    trim: float = 5.0 * DEGREE


@dataclass(frozen=True)
class Plate:
    """What the capacity plate says: persons, mass of persons, mass of everything, kg; horsepower."""

    persons: int | None = None
    persons_mass: float | None = None
    mass: float | None = None
    power: float | None = None


@dataclass(frozen=True)
class Outboard:
    """The motor that loading is worked out for: horsepower, how it is steered, transom height in mm."""

    power: float
    remote: bool = False
    transom: float = 20.0 * INCH
    hard_chine: bool = False
    short_leg: bool = False


@dataclass(frozen=True)
class Foam:
    """Foam under decks: kg/m3, the part of free room it can fill, decks that are to have none."""

    density: float = 32.0
    fills: float = 0.8
    leave: tuple[str, ...] = ()


@dataclass(frozen=True)
class Drive:
    """An electric motor: thrust in N and amperes at full power, measured draws, the batteries it runs on.

    `draws` are (share of full thrust, amperes); `kind` is lead or lithium; `reserve` the charge kept back.
    """

    thrust: float
    volts: float
    draw: float
    draws: tuple[tuple[float, float], ...]
    batteries: tuple[str, ...]
    kind: str
    reserve: float
    place: Place


@dataclass(frozen=True, eq=False)
class AfloatPlan:
    """Everything that the file asks of the boat afloat."""

    water: str = "fresh"
    limits: Limits = field(default_factory=Limits)
    cases: tuple[Case, ...] = ()
    floods: Mapping[str, Array] = field(default_factory=dict)
    drains: Mapping[str, Array] = field(default_factory=dict)
    passengers: Array | None = None
    plate: Plate | None = None
    outboard: Outboard | None = None
    foam: Foam | None = None
    drive: Drive | None = None
    place: Place | None = None

    @property
    def density(self) -> float:
        """Of the water, kg/m3."""
        return SALT if self.water == "salt" else FRESH
