"""The water about the boat at rest, in each load case: how high a place lies over it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from model.geometry import Array, Plane
from model.hydrostatics.afloat import Floating
from model.hydrostatics.cases import case_load
from model.hydrostatics.plan import Case
from model.hydrostatics.usual import usual_cases
from model.mass.weigh import weigh

if TYPE_CHECKING:
    from model.boat import Boat

EMPTY = "empty"


@dataclass(frozen=True, eq=False)
class Waters:
    """Planes of the water in the boat, their heights above it positive.

    Attributes:
        planes: of each load case in which she comes to rest, by its name; empty where she has no mass.
        heaviest: name of the case with the most mass; empty without any.
        level: through the baseline, square to the vertical of a boat at rest as the file tells it.
        underway: likewise of a boat under way.
    """

    planes: Mapping[str, Plane]
    heaviest: str
    level: Plane
    underway: Plane

    @property
    def known(self) -> bool:
        """Whether she was set afloat."""
        return bool(self.planes)

    @property
    def told(self) -> Mapping[str, Plane]:
        """Those of the empty boat and of the heaviest case; the level one where none is known."""
        names = dict.fromkeys((EMPTY, self.heaviest))
        return {n: self.planes[n] for n in names if n in self.planes} or {"level": self.level}

    def over(self, point: Array, case: str) -> float | None:
        """Height of a point `(3,)` over the water in a case, mm; None where she does not rest in it."""
        plane = self.planes.get(case)
        return None if plane is None else float(plane.height(point))

    def least(self, point: Array) -> tuple[float, str] | None:
        """The least height of a point over the water in any case, mm, and which; None if none is known."""
        if not self.planes:
            return None
        return min((float(plane.height(point)), name) for name, plane in self.planes.items())

    def most(self, point: Array) -> tuple[float, str] | None:
        """The greatest height of a point over the water in any case, mm, and which; None if none is known."""
        if not self.planes:
            return None
        return max((float(plane.height(point)), name) for name, plane in self.planes.items())


def waters_of(boat: Boat) -> Waters:
    """The water in every load case of the file, or the usual ones, and of the empty boat."""
    cases, loads = boat.afloat.cases, boat.weights.loads
    if not cases:
        cases, loads = usual_cases(boat)
    if not any(case.name == EMPTY for case in cases):
        cases = (Case(EMPTY), *cases)
    lumps = weigh(boat).lumps
    floating = Floating.of(boat)
    planes: dict[str, Plane] = {}
    masses: dict[str, float] = {}
    for case in cases:
        loaded = case_load(boat, lumps, case, loads)
        rest = floating.case(loaded, with_curve=False).rest
        if rest is not None:
            planes[case.name], masses[case.name] = rest.plane, loaded.load.mass
    heaviest = max(masses, key=lambda name: masses[name], default="")
    level, underway = (Plane.through(np.zeros(3), lies.up) for lies in boat.water.attitudes[:2])
    return Waters(planes, heaviest, level, underway)
