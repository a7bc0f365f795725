"""What a boat file says of water, as numbers: how the boat lies, drains, limber holes, what may stand."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from model.geometry import Array
from parts.faults import Place

LIMBER = 19.05
"""Limber holes are of 3/4 in unless the shop or the boat says otherwise, mm: common practice."""

BILGE, OVERBOARD, HULL = "bilge", "overboard", "hull"


@dataclass(frozen=True)
class Attitude:
    """How the boat lies: `trim` bow up and `heel` port side up, rad."""

    name: str
    trim: float
    heel: float = 0.0

    @property
    def up(self) -> Array:
        """The true vertical in the boat's frame, unit `(3,) float`.

        With the bow up a place further forward lies higher, so the vertical leans forward in the boat.
        """
        t, h = math.tan(self.trim), math.tan(self.heel)
        return np.array([t, h, 1.0]) / math.sqrt(1.0 + t * t + h * h)


@dataclass(frozen=True, eq=False)
class Drain:
    """A drain through the surface `of` at a place in plan, mm, to `to`; `name` is the file's."""

    name: str
    of: str
    at: tuple[float, float]
    to: str
    diameter: float
    place: Place | None = None


@dataclass(frozen=True, eq=False)
class Limber:
    """A limber hole at the foot of the upright sheet `through`, nearest to a place in plan, mm.

    `diameter` is None where that of the boat holds.
    """

    name: str
    through: str
    at: tuple[float, float]
    diameter: float | None
    place: Place | None = None


@dataclass(frozen=True, eq=False)
class WaterSettings:
    """What is asked of the water in a boat.

    Attributes:
        attitudes: in which nothing may stand; at rest first.
        drains, limbers: holes of the boat file.
        rib_limbers: how far off the centreline each rib has a hole on both sides, mm.
        limber: size of limber holes, mm.
        drill: whether members that dam a floor are drilled by rule.
        sealed: sheet whose gap along the hull is closed.
        let_stand: what may hold water.
        allow: litres that may stand in one place.
    """

    attitudes: tuple[Attitude, ...] = (
        Attitude("at rest", math.radians(1.0)),
        Attitude("under way", math.radians(4.0)),
    )
    drains: tuple[Drain, ...] = ()
    limbers: tuple[Limber, ...] = ()
    rib_limbers: tuple[float, ...] = ()
    limber: float = LIMBER
    drill: bool = True
    sealed: tuple[str, ...] = ()
    let_stand: tuple[str, ...] = ()
    allow: float = 0.25
