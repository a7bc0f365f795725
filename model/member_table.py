"""Many members measured at once: the closed forms of each section's pieces, gathered in list order."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from model.cut_prism import CutPrisms
from model.geometry import Array
from model.member import Member, by_section, member_axes

Places = npt.NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class MemberTable:
    """The numbers of `members` as arrays, one row a member in the order given; mm, kg, rad.

    Example:
        table = MemberTable(boat.members)
        table.mass.sum()
    """

    members: Sequence[Member]

    @cached_property
    def origins(self) -> Array:
        """Axis points a, `(n, 3) float`."""
        return np.array([member.a for member in self.members]).reshape(-1, 3)

    @cached_property
    def axes(self) -> Array:
        """Rows x, y, z of each member's axes in the boat, `(n, 3, 3) float`."""
        b = np.array([member.b for member in self.members]).reshape(-1, 3)
        return member_axes(self.origins, b, np.array([member.roll for member in self.members]))

    @cached_property
    def end_normals(self) -> Array:
        """Unit normals of ends A and B in member axes, out of the metal, `(n, 2, 3) float`."""
        boat = np.array([(member.end_a.normal, member.end_b.normal) for member in self.members])
        return np.asarray(np.einsum("nij,nej->nei", self.axes, boat.reshape(-1, 2, 3)))

    @cached_property
    def end_offsets(self) -> Array:
        """Offsets of ends A and B in member axes, `(n, 2) float`."""
        boat = np.array([(member.end_a.offset, member.end_b.offset) for member in self.members]).reshape(
            -1, 2
        )
        at_origin = np.einsum("nij,nj->ni", self.axes, self.origins)
        return np.asarray(boat - np.einsum("nei,ni->ne", self.end_normals, at_origin))

    @cached_property
    def prisms(self) -> list[tuple[Places, CutPrisms]]:
        """For each section: the places of its members in the list, and their closed forms."""
        normals, offsets = self.end_normals, self.end_offsets
        found = []
        for members in by_section(self.members).values():
            at = np.array(members, dtype=np.int64)
            ends = [(normals[at, end], offsets[at, end]) for end in (0, 1)]
            found.append((at, CutPrisms.between(self.members[members[0]].section, *ends)))
        return found

    def _gather(self, ask: Callable[[CutPrisms], Array], shape: tuple[int, ...] = ()) -> Array:
        found = np.zeros((len(self.members), *shape))
        for places, prisms in self.prisms:
            found[places] = ask(prisms)
        return found

    @cached_property
    def cut_away(self) -> npt.NDArray[np.bool_]:
        """Whether there is no such piece, `(n,) bool`; its other numbers are then 0."""
        return self._gather(lambda prisms: prisms.cut_away.astype(np.float64)) > 0.0

    @cached_property
    def length(self) -> Array:
        """Long point to long point, `(n,) float`."""
        return self._gather(lambda prisms: prisms.far_long - prisms.near_long)

    @cached_property
    def short_lengths(self) -> Array:
        """From the short point of end A, then of end B, to the other end's long point, `(n, 2) float`."""
        a = self._gather(lambda prisms: prisms.far_long - prisms.near_short)
        b = self._gather(lambda prisms: prisms.far_short - prisms.near_long)
        return np.stack([a, b], axis=1)

    @cached_property
    def volume(self) -> Array:
        """Metal, mm3, `(n,) float`."""
        found = self._gather(lambda prisms: prisms.volume)
        for i in self._drilled:
            found[i] -= self.members[i].drilled_out
        return found

    @cached_property
    def _drilled(self) -> list[int]:
        """The members with holes."""
        return [i for i, member in enumerate(self.members) if member.holes]

    @cached_property
    def mass(self) -> Array:
        """Mass, kg, `(n,) float`."""
        found = self._gather(lambda prisms: prisms.mass)
        for i in self._drilled:
            found[i] = self.members[i].mass
        return found

    @cached_property
    def centre(self) -> Array:
        """Centres of mass in the boat, `(n, 3) float`."""
        local = self._gather(lambda prisms: prisms.centre, (3,))
        for i in self._drilled:
            local[i] = self.members[i].drilled_centre(local[i])
        return np.asarray(self.origins + np.einsum("ni,nij->nj", local, self.axes))

    @cached_property
    def box(self) -> Array:
        """Least and greatest corner of each member in the boat, `(n, 2, 3) float`."""
        reach = np.zeros((len(self.members), 6))
        toward = self.axes.transpose(0, 2, 1)
        directions = np.concatenate([-toward, toward], axis=1)
        for places, prisms in self.prisms:
            reach[places] = prisms.reach(directions[places])
        return np.stack([self.origins - reach[:, :3], self.origins + reach[:, 3:]], axis=1)

    @cached_property
    def tilts(self) -> Array:
        """Angle of ends A and B from square, rad, `(n, 2) float`."""
        normals = self.end_normals
        return np.arctan2(np.hypot(normals[..., 1], normals[..., 2]), np.abs(normals[..., 0]))

    @cached_property
    def saw_angles(self) -> Array:
        """Mitre and bevel of each end, width face then height face down, `(n, 2, 2, 2) float`."""
        x, y, z = np.moveaxis(self.end_normals, -1, 0)
        facing, y, z = np.abs(x), np.clip(y, -1.0, 1.0), np.clip(z, -1.0, 1.0)
        width = np.stack([np.arctan2(y, facing), np.arcsin(z)], axis=-1)
        height = np.stack([np.arctan2(z, facing), np.arcsin(y)], axis=-1)
        return np.stack([width, height], axis=2)
