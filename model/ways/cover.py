"""Where runs may be at all: below a deck or inside a console, inside the hull, outside of wells."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
import shapely

from model.geometry import Array, Frame
from model.ways.blocks import WATERTIGHT

if TYPE_CHECKING:
    from model.boat import Boat
    from model.panelling.fixtures import Fixture

Flags = npt.NDArray[np.bool_]


EDGE = 250.0
"""So far beyond a deck's edge, mm, runs still lie beside it, where there is no deck to step on."""


@dataclass(frozen=True, eq=False)
class _Roof:
    """A deck's sheet from above, and the plane of its lower face: z = at + slope * x."""

    area: shapely.Polygon
    at: float
    slope: float


@dataclass(frozen=True, eq=False)
class _Case:
    """A console: in its frame, between half widths, within a profile in (x, z)."""

    frame: Frame
    half: float
    profile: shapely.Polygon


@dataclass(frozen=True, eq=False)
class _Well:
    """A room that runs keep out of: an area from one height to another."""

    area: shapely.Polygon
    low: float
    high: float


class Cover:
    """Tells points that are under cover from those in the open or in a well."""

    def __init__(self, boat: Boat) -> None:
        """Reads the decks, consoles and wells of a boat."""
        self._roofs = [_roof(deck) for deck in boat.layout.decks.values()]
        self._cases = [
            _Case(c.frame, c.width / 2.0, shapely.Polygon(c.profile)) for c in boat.layout.consoles
        ]
        self._wells = [
            _Well(plan.area, -np.inf if plan.floor is None else plan.floor, plan.top)
            for plan in boat.layout.lockers.values()
            if plan.kind in WATERTIGHT
        ]
        self._openings = [
            deck.in_plan(opening.polygon) for deck in boat.layout.decks.values() for opening in deck.openings
        ]
        loose = {plan.name for plan in boat.layout.fixtures if plan.removable}
        self._removable = {f.name: _seen_from_above(f) for f in boat.fixtures if f.name in loose}
        self._reaches = [roof.area.buffer(EDGE, quad_segs=2) for roof in self._roofs]
        for area in (*(roof.area for roof in self._roofs), *self._openings, *self._reaches):
            shapely.prepare(area)

    def covered(self, points: Array) -> Flags:
        """Which of `(n, 3)` points are under a deck or in a console."""
        found = np.zeros(len(points), dtype=np.bool_)
        x, y, z = points.T
        for roof in self._roofs:
            below = z < roof.at + roof.slope * x
            ask = np.flatnonzero(below & ~found)
            found[ask] |= shapely.contains_xy(roof.area, x[ask], y[ask])
        for case in self._cases:
            own = case.frame.to_frame(points)
            ask = np.flatnonzero(np.abs(own[:, 1]) < case.half)
            found[ask] |= shapely.contains_xy(case.profile, own[ask, 0], own[ask, 2])
        open_ = np.flatnonzero(~found)
        found[open_] = self._beside(points[open_])
        return found

    def _beside(self, points: Array) -> Flags:
        """Which of `(n, 3)` points lie between a deck's edge and the skin: near and below it, over none."""
        found = np.zeros(len(points), dtype=np.bool_)
        x, y, z = points.T
        over = np.zeros(len(points), dtype=np.bool_)
        for roof in self._roofs:
            above = np.flatnonzero(z >= roof.at + roof.slope * x)
            over[above] |= shapely.intersects_xy(roof.area, x[above], y[above])
        for roof, reach in zip(self._roofs, self._reaches, strict=True):
            ask = np.flatnonzero(~over & ~found & (z < roof.at + roof.slope * x))
            found[ask] = shapely.contains_xy(reach, x[ask], y[ask])
        return found

    def below_opening(self, points: Array) -> Flags:
        """Which of `(n, 3)` points lie below the opening of a deck, where hands and gear go."""
        found = np.zeros(len(points), dtype=np.bool_)
        x, y, _ = points.T
        for area in self._openings:
            found |= shapely.contains_xy(area, x, y)
        return found & self.covered(points)

    def over_removable(self, points: Array) -> dict[str, Flags]:
        """For each thing that is to be taken out, which of `(n, 3)` points lie over it, by its name."""
        return {
            name: (points[:, 2] > top) & shapely.contains_xy(area, points[:, 0], points[:, 1])
            for name, (area, top) in self._removable.items()
        }

    def console_at(self, point: Array) -> int | None:
        """The number of the console that a point `(3,)` is in; None outside of all."""
        for number, case in enumerate(self._cases):
            u, v, w = case.frame.to_frame(point)
            if abs(v) < case.half and shapely.contains_xy(case.profile, u, w):
                return number
        return None

    def in_well(self, points: Array) -> Flags:
        """Which of `(n, 3)` points are in a well, a box or a tray."""
        found = np.zeros(len(points), dtype=np.bool_)
        x, y, z = points.T
        for well in self._wells:
            ask = np.flatnonzero((z > well.low - 1.0) & (z < well.high))
            found[ask] |= shapely.contains_xy(well.area, x[ask], y[ask])
        return found


def _seen_from_above(fixture: Fixture) -> tuple[shapely.Polygon, float]:
    """The outline of a fixture in plan, and how high it reaches."""
    corners = np.concatenate([prism.mesh(1.0).vertices for prism in fixture.prisms])
    area = shapely.Polygon(shapely.get_coordinates(shapely.MultiPoint(corners[:, :2]).convex_hull))
    shapely.prepare(area)
    return area, float(corners[:, 2].max())


def _roof(deck: object) -> _Roof:
    """The lower face of a deck's sheet."""
    from model.layout.records import DeckPlan

    assert isinstance(deck, DeckPlan)
    at = deck.height_at(0.0) - deck.sheet.thickness
    return _Roof(deck.plan_area(), at, float(deck.frame.x[2] / deck.frame.x[0]))
