"""What the water carries: one mass with its centre, and liquids whose surface stays level."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from model.geometry import Array

FULL = 0.999
"""A tank filled this much has no free surface."""


@dataclass(frozen=True, eq=False)
class Liquid:
    """Liquid in an upright-sided tank or well.

    Attributes:
        name: of what holds it.
        mass: kg.
        centre: in the upright boat, `(3,) float`, mm.
        spread: second moments of its surface in plan over its volume, `(2, 2) float`, mm: xx, xy; yx, yy.
            Zeros where it is full and has no free surface.
    """

    name: str
    mass: float
    centre: Array
    spread: Array

    @classmethod
    def filling(
        cls, name: str, area: shapely.Polygon, floor: float, top: float, filled: float, density: float
    ) -> Liquid:
        """The liquid that fills an upright tank of plan `area` (mm) from `floor` to a part of its height.

        Args:
            name: of the tank.
            area: its inside in plan, x and y of the boat.
            floor: height of its floor, mm.
            top: height to which it can be filled, mm.
            filled: share of the height, 0 to 1.
            density: kg/m3.
        """
        depth = filled * (top - floor)
        centroid = area.centroid
        centre = np.array([centroid.x, centroid.y, floor + depth / 2.0])
        mass = density * 1e-9 * area.area * depth
        moments = np.zeros((2, 2))
        if depth > 0.0 and filled < FULL:
            moments = second_moments(area) / (area.area * depth)
        return cls(name, mass, centre, moments)

    def centre_at(self, normal: Array) -> Array:
        """Its centre where the water's surface has the unit `normal` in the boat, `(3,) float`, mm.

        Exact until its surface meets its floor or lid: the wedge that runs across has the moment of the
        surface's second moments times its slope, and half that times the slope again upward.
        """
        slope = -normal[:2] / normal[2]
        shift = self.spread @ slope
        found: Array = self.centre + np.array([shift[0], shift[1], float(slope @ shift) / 2.0])
        return found


@dataclass(frozen=True, eq=False)
class Load:
    """Everything that is carried.

    Attributes:
        mass: all of it, liquids too, kg.
        fixed: mass that stays in its place, kg.
        centre: of that, `(3,) float`, mm.
        liquids: what moves.
    """

    mass: float
    fixed: float
    centre: Array
    liquids: tuple[Liquid, ...] = ()

    @classmethod
    def of(cls, fixed: float, centre: Array, liquids: Sequence[Liquid] = ()) -> Load:
        """A fixed mass at a centre, and liquids."""
        return cls(fixed + sum(liquid.mass for liquid in liquids), fixed, centre, tuple(liquids))

    def centre_at(self, normal: Array) -> Array:
        """Centre of mass where the water's surface has the unit `normal` in the boat, `(3,) float`, mm."""
        moment = self.fixed * self.centre
        for liquid in self.liquids:
            moment = moment + liquid.mass * liquid.centre_at(normal)
        found: Array = moment / self.mass
        return found

    @property
    def loss(self) -> Array:
        """What free surfaces take from the metacentric heights, `(2, 2) float`, mm: lengthwise, athwart."""
        found = np.zeros((2, 2))
        for liquid in self.liquids:
            found = found + liquid.mass / self.mass * liquid.spread
        return found


def second_moments(area: shapely.Polygon) -> Array:
    """Second moments of a polygon about its own centroid, `(2, 2) float`: integrals of xx, xy; yx, yy.

    Green's theorem edge by edge; holes count as taken out.
    """
    middle = np.array([area.centroid.x, area.centroid.y])
    found = np.zeros((2, 2))
    for sign, ring in [(1.0, area.exterior), *((-1.0, hole) for hole in area.interiors)]:
        points = np.asarray(ring.coords)[:, :2] - middle
        p, q = points[:-1], points[1:]
        cross = p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]
        xx, yy = ((cross * (p * p + p * q + q * q)[:, i].T).sum() / 12.0 for i in (0, 1))
        mixed = 2.0 * p[:, 0] * p[:, 1] + p[:, 0] * q[:, 1] + q[:, 0] * p[:, 1] + 2.0 * q[:, 0] * q[:, 1]
        xy = (cross * mixed).sum() / 24.0
        turned = sign * np.sign(cross.sum())
        found += turned * np.array([[xx, xy], [xy, yy]])
    return found
