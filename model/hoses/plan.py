"""What a boat file says of hoses, as numbers: fittings, hoses, what is asked. All lengths in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, TypeAlias

from model.boatfile.hoses_schema import HoseKind
from model.geometry import Array
from parts.faults import Place
from parts.fittings import Fitting
from parts.plumbing import Hose

Group: TypeAlias = Literal["skin", "well", "open", "fixture", "drain"]
PUMPED: tuple[HoseKind, ...] = ("pumped", "bilge", "aerator")
FALLING: tuple[HoseKind, ...] = ("drain", "overflow")


@dataclass(frozen=True, eq=False)
class End:
    """What a hose may end on.

    Attributes:
        name: as in the file.
        group: through the skin, of a well, open, a fixture, or a drain of `water`.
        at: `(3,)` where water goes in or out: of a skin fitting on the inside of the skin; of a drain its
            place in plan, its height being that of its floor.
        where: side of the skin, or name of the locker, or whole name of the fixture.
        bore: that water passes, mm; None where nothing tells it.
        valve: whether it can be shut.
        part: of the catalogue.
        ports: of a fixture, where hoses are pushed on by `in` and `out`, `(3,)` each.
        place: in the file.
    """

    name: str
    group: Group
    at: Array
    where: str = ""
    bore: float | None = None
    valve: bool = False
    part: Fitting | None = None
    ports: tuple[tuple[str, Array], ...] = ()
    place: Place | None = None

    @property
    def key(self) -> tuple[str, str]:
        """What tells it from all others."""
        return self.group, self.name

    @property
    def is_pump(self) -> bool:
        """Whether it is a pump."""
        return self.part is not None and self.part.kind == "pump"

    def port(self, way: Literal["in", "out"]) -> Array:
        """Where a hose that leads `in` to it or `out` of it is pushed on, `(3,)`."""
        ports = dict(self.ports)
        return ports.get(way, next(iter(ports.values()), self.at))


@dataclass(frozen=True, eq=False)
class HosePlan:
    """A hose of the file; attributes as there.

    Attributes:
        loop: height of its high loop; None by rule, nan for none at all.
    """

    name: str
    start: End
    end: End
    kind: HoseKind
    hose: Hose
    points: tuple[tuple[float, float, float], ...]
    via: tuple[str | tuple[float, float, float], ...]
    loop: float | None
    siphon_break: bool
    elbows: int
    place: Place

    @property
    def wants_no_loop(self) -> bool:
        """Whether the file says that no loop is to be made."""
        return self.loop is not None and math.isnan(self.loop)


@dataclass(frozen=True, eq=False)
class PlumbingPlan:
    """All that a boat file says of hoses.

    Attributes:
        ends: fittings of the file below `hoses`, by name.
        hoses: as the file lists them.
        near_water: a skin fitting no higher over the water wants a valve, mm.
        loop_height: of high loops over the water, mm.
        slope: least fall of drains, a share.
        turnover: longest time in which a well is to be filled anew, seconds; None where none is asked.
    """

    ends: tuple[End, ...]
    hoses: tuple[HosePlan, ...]
    near_water: float
    loop_height: float
    slope: float
    turnover: float | None

    @property
    def places(self) -> dict[str, Place]:
        """Where the file tells of each fitting and hose, by the name it goes by in the boat."""
        found = {f"hoses.{end.name}": end.place for end in self.ends if end.place is not None}
        return found | {f"hoses.{hose.name}": hose.place for hose in self.hoses}
