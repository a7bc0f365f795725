"""Every hole through the skin: where it is, how high over the water, what shuts it, what it serves."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from model.geometry import Array
from model.hoses.gravity import inrush
from model.hoses.plan import PlumbingPlan
from model.hoses.waters import EMPTY, Waters
from model.water.settings import HULL, OVERBOARD
from parts.plumbing import ThroughHull, Valve

if TYPE_CHECKING:
    from model.boat import Boat
    from model.layout.records import FixturePlan

Shut = Literal["valve", "plug", ""]
Wants = Literal["must", "should", "need not"]

SOURCE = (
    "a valve on every hole below the water in any state of trim and heel: ABYC H-27; up to 6 in over the "
    "deepest load line on vessels that carry passengers: 46 CFR 171.119(b)"
)
"""What the list of skin fittings is held against."""

RAISED = 10.0
"""What stands higher over the skin than this, mm, does not go through it."""

SHUTS: dict[str, Shut] = {"valve": "valve", "through-hull": "", "drain": "plug"}
"""Kinds of fixtures that go through the skin where they stand on it, and what they are shut by."""


@dataclass(frozen=True, eq=False)
class SkinFitting:
    """A hole through the skin.

    Attributes:
        name: as in the file.
        side: transom, bottom, port, starboard.
        at: `(3,)` on the inside of the skin, mm.
        bore: that water passes, mm; None where nothing tells it.
        shut: by what it can be shut.
        over: height over the water by load case, mm: of the empty boat and of the heaviest case.
        least: the least height over the water in any case, mm, and which; None where she was not floated.
        wants: whether it must have a valve, should have one, or need not.
        serves: hoses that end there.
        part: of the catalogue, by name.
    """

    name: str
    side: str
    at: Array
    bore: float | None
    shut: Shut
    over: Mapping[str, float]
    least: tuple[float, str] | None
    wants: Wants
    serves: tuple[str, ...]
    part: str

    @property
    def lets_in(self) -> float | None:
        """What it lets in if it breaks off, at its deepest, mm3/s; None where that is not known."""
        return None if self.least is None or self.bore is None else inrush(self.bore, -self.least[0])

    @property
    def empty(self) -> float | None:
        """Height over the water of the empty boat, mm."""
        return self.over.get(EMPTY)


def skins_of(boat: Boat, asked: PlumbingPlan, waters: Waters) -> tuple[SkinFitting, ...]:
    """All holes through the skin that the file tells of, those deepest in the water first."""
    skins = _Skins(boat, asked, waters)
    found = [*skins.fittings(), *skins.fixtures(), *skins.plugs()]
    return tuple(sorted(found, key=lambda one: np.inf if one.least is None else one.least[0]))


@dataclass(frozen=True, eq=False)
class _Skins:
    """Gathers the holes of a boat."""

    boat: Boat
    asked: PlumbingPlan
    waters: Waters

    def fittings(self) -> Iterator[SkinFitting]:
        """Those that are told of below `hoses`."""
        for end in self.asked.ends:
            if end.group == "skin":
                part = end.part.name if end.part is not None else ""
                bore = end.bore or self._hose_bore(end.name)
                yield self._made(end.name, end.where, end.at, bore, "valve" if end.valve else "", part)

    def fixtures(self) -> Iterator[SkinFitting]:
        """Valves, skin fittings and drain plugs that stand on the hull go through it."""
        for plan in self.boat.layout.fixtures:
            if plan.on != HULL or plan.kind not in SHUTS or not self._in_the_skin(plan):
                continue
            name, part = plan.name.removeprefix("fixture."), plan.part
            own = part.bore if isinstance(part, Valve | ThroughHull) else None
            bore = own or self._hose_bore(name)
            yield self._made(name, "bottom", plan.frame.origin, bore, SHUTS[plan.kind], part.name)

    def _in_the_skin(self, plan: FixturePlan) -> bool:
        """Whether what stands on the hull goes through it: not if it is raised, or joins two hoses."""
        x, y, z = plan.frame.origin.tolist()
        if z - float(self.boat.hull.bottom(x, y)) > RAISED:
            return False
        into = any(hose.end.where == plan.name for hose in self.asked.hoses)
        return not (into and any(hose.start.where == plan.name for hose in self.asked.hoses))

    def plugs(self) -> Iterator[SkinFitting]:
        """Drains of the hull itself, which are closed by a plug while she is afloat."""
        for drain in self.boat.water.drains:
            if drain.of == HULL and drain.to == OVERBOARD:
                at = np.array([*drain.at, float(self.boat.hull.bottom(*drain.at))])
                yield self._made(drain.name, "bottom", at, drain.diameter, "plug", "")

    def _hose_bore(self, name: str) -> float | None:
        inside = [h.hose.inside for h in self.asked.hoses if name in (h.start.name, h.end.name)]
        return inside[0] if inside else None

    def _made(
        self, name: str, side: str, at: Array, bore: float | None, shut: Shut, part: str
    ) -> SkinFitting:
        waters, least = self.waters, self.waters.least(at)
        wants: Wants = "need not"
        if least is not None and least[0] <= self.asked.near_water:
            wants = "must" if least[0] < 0.0 else "should"
        over = {case: float(plane.height(at)) for case, plane in waters.told.items()} if waters.known else {}
        serves = tuple(h.name for h in self.asked.hoses if name in (h.start.name, h.end.name))
        return SkinFitting(name, side, at, bore, shut, over, least, wants, serves, part)
