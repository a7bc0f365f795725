"""How a boat floats in each of its load cases."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

import numpy as np

from model.geometry import Array
from model.hull import Hull
from model.hull_outside import outer_shell
from model.hydrostatics.balance import NoRestError, Rest, settle
from model.hydrostatics.body import Body
from model.hydrostatics.cases import CaseLoad, case_load
from model.hydrostatics.load import Load
from model.hydrostatics.plan import Case
from model.hydrostatics.righting import RightingCurve, righting_curve
from model.hydrostatics.rim import Rim
from model.hydrostatics.usual import usual_cases
from model.mass.weigh import Weights, weigh
from model.water.settings import OVERBOARD

if TYPE_CHECKING:
    from model.boat import Boat

FORWARD_STATION = 0.75
"""Part of the length at which the forward draft is told; the keel of a small boat is under water there."""
WEIGHTLESS = "nothing in her has a mass"


@dataclass(frozen=True, eq=False)
class CaseFound:
    """A load case afloat.

    Attributes:
        loaded: what it is.
        rest: where the boat comes to rest; None where she would sink or turn over.
        freeboard: the least, mm; below zero where water is over the side.
        lowest: where that is, `(3,) float`, and its name.
        freeboard_aft: at the top of the transom, mm.
        freeboard_forward: at the stem, mm.
        draft_aft: of the skin at the transom, mm.
        draft_forward: of the skin at three quarters of the length, mm.
        drains: height over water of each hole through the skin by name, mm.
        curve: righting arms to flooding; None where she is under already.
        why: she does not come to rest, in words.
    """

    loaded: CaseLoad
    rest: Rest | None
    freeboard: float = 0.0
    lowest: tuple[Array, str] = (np.zeros(3), "")
    freeboard_aft: float = 0.0
    freeboard_forward: float = 0.0
    draft_aft: float = 0.0
    draft_forward: float = 0.0
    drains: Mapping[str, float] | None = None
    curve: RightingCurve | None = None
    why: str = ""

    @property
    def case(self) -> Case:
        """The case of the file."""
        return self.loaded.case


def _body(hull: Hull) -> Body:
    """The outside of a hull; of one that stays while a boat is changed made once."""
    if hull not in _BODIES:
        _BODIES[hull] = Body.of(outer_shell(hull))
    return _BODIES[hull]


_BODIES: WeakKeyDictionary[Hull, Body] = WeakKeyDictionary()


@dataclass(frozen=True, eq=False)
class Floating:
    """The hull as the water sees it, made once for all cases of a boat.

    Attributes:
        boat: the boat.
        body: the outside of her hull.
        rim: where water can come in.
        drains: holes through the skin by name, `(3,) float` each.
    """

    boat: Boat
    body: Body
    rim: Rim
    drains: Mapping[str, Array]

    @classmethod
    def of(cls, boat: Boat) -> Floating:
        """A boat made ready to be floated."""
        return cls(boat, _body(boat.hull), Rim.of(boat.hull, boat.afloat.floods), _drains(boat))

    def case(self, loaded: CaseLoad, with_curve: bool = True) -> CaseFound:
        """A load case afloat."""
        density = self.boat.afloat.density
        if not loaded.load.mass > 0.0:
            return CaseFound(loaded, None, why=WEIGHTLESS)
        try:
            rest = settle(self.body, loaded.load, density)
        except NoRestError as error:
            return CaseFound(loaded, None, -1.0, why=str(error))
        freeboard, where, name = self.rim.lowest(rest.plane)
        curve = None
        if with_curve and freeboard > 0.0:
            curve = righting_curve(self.body, self.rim, loaded.load, rest, density)
        aft, forward = (float(rest.plane.height(point)) for point in (self.rim.transom, self.rim.stem))
        drains = {key: float(rest.plane.height(point)) for key, point in self.drains.items()}
        draft_aft, draft_forward = (float(rest.depth(point)) for point in self._keel_points())
        return CaseFound(
            loaded, rest, freeboard, (where, name), aft, forward, draft_aft, draft_forward, drains, curve
        )

    def _keel_points(self) -> tuple[Array, Array]:
        """The outside of the keel at the transom and at three quarters of the length."""
        hull = self.boat.hull
        low, high = hull.span
        points = []
        for x in (low, low + FORWARD_STATION * (high - low)):
            point = hull.line(hull.lines[0], x)
            if x == low:
                # the keel's own end on the leaning transom
                n = hull.transom.normal
                for _ in range(20):
                    point = hull.line(hull.lines[0], float((hull.transom.offset - n[1:] @ point[1:]) / n[0]))
            points.append(point - np.array([0.0, 0.0, hull.thickness]))
        return points[0], points[1]


def all_cases(boat: Boat, weights: Weights, floating: Floating) -> tuple[CaseFound, ...]:
    """Every load case of the boat file, or the usual ones where it has none, afloat."""
    cases, loads = boat.afloat.cases, boat.weights.loads
    if not cases:
        cases, loads = usual_cases(boat)
    lumps = weights.lumps
    return tuple(floating.case(case_load(boat, lumps, case, loads)) for case in cases)


@dataclass(frozen=True, eq=False)
class Live:
    """What is shown while a boat is being changed.

    Attributes:
        weights: of the boat with nobody aboard.
        found: that boat afloat, without its righting arms.
    """

    weights: Weights
    found: CaseFound


def weight_and_trim(boat: Boat, case: str | None = None) -> Live:
    """Weight and one equilibrium, quick enough to follow a slider.

    Args:
        boat: the boat.
        case: name of a load case of its file; empty unless given.

    Raises:
        KeyError: the file has no such case.
    """
    weights = weigh(boat)
    wanted = Case("empty")
    if case is not None:
        wanted = {own.name: own for own in boat.afloat.cases}[case]
    loaded = case_load(boat, weights.lumps, wanted, boat.weights.loads)
    return Live(weights, Floating.of(boat).case(loaded, with_curve=False))


def before_refit(boat: Boat, weights: Weights, floating: Floating) -> CaseFound:
    """The boat as she was weighed, with nobody aboard."""
    before = weights.before
    load = Load.of(before.mass, before.centre)
    return floating.case(CaseLoad(Case("before the refit"), load, 0.0, 0))


def _drains(boat: Boat) -> dict[str, Array]:
    """Holes that should lie above the water: those the file names, and drains of decks that lead overboard.

    Plugs and drains of wells have stoppers and valves, and are not looked at.
    """
    found = dict(boat.afloat.drains)
    for drain in boat.water.drains:
        for deck in boat.layout.decks.values():
            if drain.to == OVERBOARD and drain.of in (deck.base, deck.name.partition(".")[2]):
                x, y = drain.at
                found[f"drain {drain.name}"] = np.array([x, y, deck.height_at(x)])
    return found
