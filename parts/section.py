"""The cross-section of a straight piece, and what follows from its outline."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal, TypeAlias

import numpy as np

from parts.alloy import Alloy
from parts.outline import Array, Loop

Kind: TypeAlias = Literal["rect", "round", "angle", "flat", "hat"]

_SAME_PLACE = 1e-6
_QUARTER_TURNS = tuple(
    np.array([(c, -s), (s, c)], dtype=np.float64) for c, s in ((1, 0), (0, 1), (-1, 0), (0, -1))
)
_MIRRORS = tuple(
    np.array(m, dtype=np.float64)
    for m in (((-1, 0), (0, 1)), ((1, 0), (0, -1)), ((0, 1), (1, 0)), ((0, -1), (-1, 0)))
)


@dataclass(frozen=True, eq=False)
class Section:
    """A cross-section, drawn in its own axes: y across the width, z across the height.

    The origin is the centre of the width x height box, which is not the centre of area of an angle
    or a hat. Make one with the functions in `parts.sections`. A section is equal to itself only.

    Attributes:
        name: as in the catalogue.
        kind: its family; a square tube is a `rect`.
        width: outside size along y, mm.
        height: outside size along z, mm.
        wall: thickness of the metal, mm.
        radius: outside corner (or bend) radius, mm; 0 is sharp, the habit of extruded tube.
        alloy: what it is made of.
        outer: outside outline, counter-clockwise.
        holes: the bore of a tube, counter-clockwise too.
        torsion: torsion constant, mm4; its convention is told at the maker of the family.
        stock_name: the section it is bought as, where it only lies another way; else empty.
    """

    name: str
    kind: Kind
    width: float
    height: float
    wall: float
    radius: float
    alloy: Alloy
    outer: Loop
    holes: tuple[Loop, ...]
    torsion: float
    stock_name: str = ""

    @property
    def stock(self) -> str:
        """The name it is bought under."""
        return self.stock_name or self.name

    @cached_property
    def _totals(self) -> tuple[float, Array, tuple[float, float, float]]:
        """Area, centroid and (iy, iz, iyz) about it, bore taken off."""
        # A hole walked backwards has negative area and moments, so that everything simply adds up.
        loops = (self.outer.ccw(), *(hole.cw() for hole in self.holes))
        area = sum(loop.area for loop in loops)
        centroid = sum((loop.area * loop.centroid for loop in loops), np.zeros(2)) / area
        iy = iz = iyz = 0.0
        for loop in loops:
            (dy, dz), (own_y, own_z, own_yz) = loop.centroid - centroid, loop.second_moments()
            iy += own_y + loop.area * dz * dz
            iz += own_z + loop.area * dy * dy
            iyz += own_yz + loop.area * dy * dz
        return area, centroid, (float(iy), float(iz), float(iyz))

    @property
    def area(self) -> float:
        """Area of metal, mm2."""
        return self._totals[0]

    @property
    def centroid(self) -> Array:
        """Centre of the metal in section axes, `(2,) float`, mm."""
        return self._totals[1]

    @property
    def iy(self) -> float:
        """Second moment about the axis through the centroid along y, mm4: it resists bending in z."""
        return self._totals[2][0]

    @property
    def iz(self) -> float:
        """Second moment about the axis through the centroid along z, mm4: it resists bending in y."""
        return self._totals[2][1]

    @property
    def iyz(self) -> float:
        """Product moment, the integral of y z about the centroid, mm4."""
        return self._totals[2][2]

    @property
    def mass_per_m(self) -> float:
        """Mass of one metre, kg."""
        return self.area * self.alloy.density * 1e-6

    @property
    def modulus_y(self) -> float:
        """Least elastic section modulus for bending in z, mm3."""
        return self.iy / self._reach(np.array([0.0, 1.0]))

    @property
    def modulus_z(self) -> float:
        """Least elastic section modulus for bending in y, mm3."""
        return self.iz / self._reach(np.array([1.0, 0.0]))

    def _reach(self, direction: Array) -> float:
        """The furthest fibre from the centroid along `direction` either way, mm."""
        ways = np.stack([direction, -direction])
        return float((self.outer.support(ways) - ways @ self.centroid).max())

    @cached_property
    def principal(self) -> tuple[float, float, Array]:
        """Greatest and least second moment, mm4, and the `(2,)` unit axis that the greatest is about."""
        values, vectors = np.linalg.eigh(np.array([(self.iy, -self.iyz), (-self.iyz, self.iz)]))
        return float(values[1]), float(values[0]), vectors[:, 1]

    @property
    def strong_gyration(self) -> float:
        """Radius of gyration about the strong principal axis, mm."""
        return float(np.sqrt(self.principal[0] / self.area))

    @property
    def weak_gyration(self) -> float:
        """Radius of gyration about the weak principal axis, mm: the one a post buckles about."""
        return float(np.sqrt(self.principal[1] / self.area))

    @property
    def strong_modulus(self) -> float:
        """Least elastic modulus about the strong principal axis, mm3."""
        along = self.principal[2]
        return self.principal[0] / self._reach(np.array([-along[1], along[0]]))

    @property
    def weak_modulus(self) -> float:
        """Least elastic modulus about the weak principal axis, mm3."""
        return self.principal[1] / self._reach(self.principal[2])

    @property
    def flats(self) -> tuple[float, float]:
        """Half the flat part of the faces across the width and across the height, mm; 0 for round tube."""
        if self.is_round:
            return 0.0, 0.0
        return self.width / 2 - self.radius, self.height / 2 - self.radius

    @property
    def is_round(self) -> bool:
        """Whether every turn about the axis maps the section on itself."""
        return self.kind == "round"

    @cached_property
    def symmetries(self) -> tuple[Array, ...]:
        """Turns in the y-z plane that map the section on itself, `(2, 2)` each, the identity first.

        Quarter turns are all that is asked; of a round tube any turn would do (`is_round`).
        """
        return tuple(m for m in _QUARTER_TURNS if self.is_round or self._maps(m))

    @cached_property
    def reflections(self) -> tuple[Array, ...]:
        """Mirrors in the y-z plane, across an axis or a diagonal, that map the section on itself."""
        return tuple(m for m in _MIRRORS if self.is_round or self._maps(m))

    @cached_property
    def _turns(self) -> Array:
        blocks = [(1.0, m) for m in self.symmetries] + [(-1.0, m) for m in self.reflections]
        found = np.zeros((len(blocks), 3, 3))
        for k, (along, m) in enumerate(blocks):
            found[k, 0, 0] = along
            found[k, 1:, 1:] = m
        found.flags.writeable = False
        return found

    def turns(self) -> Array:
        """Rotations in member axes that map the endless prism on itself, `(k, 3, 3) float`, identity first.

        Those that keep +x are the section's own turns about x. A piece turned end for end is turned
        180 degrees about a line in the y-z plane: along that line nothing changes, x and the direction
        square to the line change sign, so within the plane the turn acts as the mirror across the line.
        Therefore the prism has one end-for-end turn for each of the section's reflections and no other;
        its matrix is that reflection with -1 along x. For round tube the list holds the quarter turns
        only; `is_round` says that any further turn about x is allowed too.
        """
        return self._turns

    def _maps(self, matrix: Array) -> bool:
        """Whether the corners and arc middles of every loop land on corners and middles again."""
        for loop in (self.outer, *self.holes):
            for marks in (loop.points, loop.apexes):
                moved = marks @ matrix.T
                off = np.abs(moved[:, None, :] - marks[None, :, :]).max(axis=2)
                if off.min(axis=1).max() > _SAME_PLACE:
                    return False
        return True
