"""Pumps, valves, drains and skin fittings on a round foot, and the hose that joins them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from parts.fittings import Fitting

SMOOTH = 0.02
"""Roughness of the bore of a smooth hose, mm: rubber is given as 0.006 to 0.07 (from memory)."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Pump(Fitting):
    """A pump on a round foot.

    Attributes:
        flow: litres an hour with nothing to lift, as rated.
        curve: what it brings against what it lifts: (head in mm, litres an hour), the least head first; the
            flow falls as the head grows.
        self_priming: whether it draws water up to itself; one that does not must stand below the water.
    """

    kind: ClassVar[str] = "pump"
    serviced: ClassVar[bool] = True

    flow: float | None = None
    curve: tuple[tuple[float, float], ...] = ()
    self_priming: bool = False


@dataclass(frozen=True, eq=False, kw_only=True)
class Valve(Fitting):
    """A valve on a round foot, such as one in a skin fitting or a line of hose; `bore` in mm where known."""

    kind: ClassVar[str] = "valve"
    serviced: ClassVar[bool] = True

    bore: float | None = None


@dataclass(frozen=True, eq=False, kw_only=True)
class Drain(Fitting):
    """A drain plug in its round flange."""

    kind: ClassVar[str] = "drain"
    serviced: ClassVar[bool] = True


@dataclass(frozen=True, eq=False, kw_only=True)
class ThroughHull(Fitting):
    """A fitting through the skin or the wall of a well, without a valve; `bore` is what water passes, mm."""

    kind: ClassVar[str] = "through-hull"

    bore: float


@dataclass(frozen=True)
class Hose:
    """Hose as it is bought by the length.

    Attributes:
        name: as in the catalogue.
        inside, outside: diameters, mm.
        bend_radius: the least of its middle line that does not kink it, mm.
        roughness: of its bore, mm.
        note: said beside it in lists.
    """

    kind: ClassVar[str] = "hose"

    name: str
    inside: float
    outside: float
    bend_radius: float
    roughness: float = SMOOTH
    note: str = ""
