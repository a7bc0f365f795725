"""Closed forms of a tube cut by a plane at each end, for many tubes of one section at once.

Member axes: x along the tube, y across the width, z across the height, origin on the tube's axis line.
A cut plane n . p = d meets the fibre at (y, z) at x = (d - n_y y - n_z z) / n_x, which is linear in (y, z).
So extents are the support function of the outline, the volume is the area times the length of the fibre at
the centroid, and the centre of mass follows from the second moments of area.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from model.geometry import Array

if TYPE_CHECKING:
    from parts.section import Section

LEAST_FACING = 1e-6
"""Least cosine between an end plane's normal and the axis; below it the saw runs along the tube."""


def cut_line(normals: Array, offsets: Array, facing: float) -> Array:
    """Coefficients `(k, 3)` of x = c0 + c1 y + c2 z on each end plane; nan where it does not face `facing`.

    Args:
        normals: `(k, 3) float`, unit, in member axes, out of the metal.
        offsets: `(k,) float`, mm, in member axes.
        facing: +1 for the far end, -1 for the near end.
    """
    along = normals[:, 0]
    sound = along * facing > LEAST_FACING
    safe = np.where(sound, along, 1.0)
    line = np.stack([offsets / safe, -normals[:, 1] / safe, -normals[:, 2] / safe], axis=1)
    return np.where(sound[:, None], line, np.nan)


@dataclass(frozen=True, eq=False)
class CutPrisms:
    """Tubes of one `section`; `near` and `far` are the cut lines of ends A and B, `(k, 3) float`.

    Every answer is an array over the k tubes, mm. A tube that is cut away (its planes cross inside the
    outline or do not face outward) measures 0 in all but `least`.
    """

    section: Section
    near: Array
    far: Array

    @classmethod
    def between(cls, section: Section, near: tuple[Array, Array], far: tuple[Array, Array]) -> CutPrisms:
        """Tubes from (normals `(k, 3)`, offsets `(k,)`) of their end planes in member axes."""
        return cls(section, cut_line(*near, facing=-1.0), cut_line(*far, facing=1.0))

    def _reach(self, line: Array, sense: float) -> Array:
        """Greatest (`sense` +1) or least (-1) x of a cut over the outline, `(k,)`, nan where unsound."""
        slope = np.nan_to_num(line[:, 1:])
        return np.asarray(line[:, 0] + sense * self.section.outer.support(sense * slope))

    @cached_property
    def least(self) -> Array:
        """Length of the shortest fibre over the outline; -inf where a plane does not face outward."""
        shortest = self._reach(self.far - self.near, -1.0)
        return np.where(np.isnan(shortest), -np.inf, shortest)

    @cached_property
    def cut_away(self) -> npt.NDArray[np.bool_]:
        """Whether the two planes leave no whole fibre somewhere in the section, `(k,) bool`."""
        return np.asarray(self.least <= 0.0)

    def _told(self, values: Array) -> Array:
        return np.where(self.cut_away, 0.0, values)

    @cached_property
    def near_long(self) -> Array:
        """Position x of the long point of end A."""
        return self._told(self._reach(self.near, -1.0))

    @cached_property
    def near_short(self) -> Array:
        """Position x of the short point of end A."""
        return self._told(self._reach(self.near, 1.0))

    @cached_property
    def far_long(self) -> Array:
        """Position x of the long point of end B."""
        return self._told(self._reach(self.far, 1.0))

    @cached_property
    def far_short(self) -> Array:
        """Position x of the short point of end B."""
        return self._told(self._reach(self.far, -1.0))

    @cached_property
    def mean_length(self) -> Array:
        """Length of the fibre at the centroid: volume over area."""
        y, z = self.section.centroid
        line = self.far - self.near
        return self._told(line[:, 0] + line[:, 1] * y + line[:, 2] * z)

    @cached_property
    def volume(self) -> Array:
        """Volume of metal, mm3."""
        return np.asarray(self.section.area * self.mean_length)

    @cached_property
    def mass(self) -> Array:
        """Mass, kg."""
        return np.asarray(self.section.mass_per_m * self.mean_length / 1000.0)

    @cached_property
    def centre(self) -> Array:
        """Centre of mass in member axes, `(k, 3) float`."""
        section = self.section
        y, z = section.centroid
        moments = np.array([[section.iz, section.iyz], [section.iyz, section.iy]])
        near, far = (line[:, 0] + line[:, 1] * y + line[:, 2] * z for line in (self.near, self.far))
        bent = [np.einsum("ki,ij,kj->k", c, moments, c) for c in (self.near[:, 1:], self.far[:, 1:])]
        metal = np.where(self.cut_away, 1.0, section.area * (far - near))
        x = (section.area * (far**2 - near**2) + bent[1] - bent[0]) / 2.0
        across = (self.far - self.near)[:, 1:] @ moments
        first = np.stack([x, metal * y + across[:, 0], metal * z + across[:, 1]], axis=1)
        return np.asarray(np.where(self.cut_away[:, None], 0.0, first / metal[:, None]))

    def x_at(self, line: Array, points: Array) -> Array:
        """Where a cut (`near` or `far`) meets the fibres at `(m, 2)` points, `(k, m)`; 0 where cut away."""
        found = line[:, :1] + line[:, 1:] @ points.T
        return np.where(self.cut_away[:, None], 0.0, found)

    def ends_at(self, points: Array) -> Array:
        """The fibres at `(m, 2)` points from end A to end B: `(k, 2, m, 3) float` in member axes."""
        x = np.stack([self.x_at(self.near, points), self.x_at(self.far, points)], axis=1)
        across = np.broadcast_to(points, (*x.shape, 2))
        return np.concatenate([x[..., None], across], axis=-1)

    def reach(self, directions: Array) -> Array:
        """Greatest p . d over each tube for its own `directions` `(k, j, 3)` in member axes, `(k, j)`."""
        found = []
        for line in (self.near, self.far):
            safe = np.where(self.cut_away[:, None], 0.0, line)[:, None, :]
            slope = directions[..., 1:] + directions[..., :1] * safe[..., 1:]
            support = self.section.outer.support(slope.reshape(-1, 2)).reshape(slope.shape[:2])
            found.append(directions[..., 0] * safe[..., 0] + support)
        return np.maximum(found[0], found[1])
