"""Demand over what is allowed for a piece of tube under many loads at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from model.geometry import Array
from model.hole import Hole
from model.strength.allowable import SHEAR, allowed, buckling, resistance, soft_share, wall_factor
from model.strength.network import Ids, Network
from model.strength.settings import StrengthSettings
from model.strength.stiffness import Elements
from parts.section import Section


@dataclass(frozen=True, eq=False)
class Limits:
    """What elements may bear at both ends.

    Attributes:
        allowed: stress, N/mm2, `(e, 2)`.
        post: stress of compression, no more than `allowed`, `(e, 2)`.
        soft: within the softened zone of a weld, `(e, 2)`.
        moduli: of bending about y and z, mm3; area; areas for shear along y and z, mm2; torque over shear
            stress, mm3; `(e, 6)`.
    """

    allowed: Array
    post: Array
    soft: npt.NDArray[np.bool_]
    moduli: Array

    def chosen(self, rows: Ids) -> Limits:
        """Those of some elements."""
        return Limits(self.allowed[rows], self.post[rows], self.soft[rows], self.moduli[rows])

    def end(self, row: int, end: int) -> Limits:
        """Those of one end of one element, as of an element with one end."""
        one = slice(row, row + 1), slice(end, end + 1)
        return Limits(self.allowed[one], self.post[one], self.soft[one], self.moduli[row : row + 1])


def limits(net: Network, elements: Elements, settings: StrengthSettings) -> Limits:
    """What every element of the network may bear."""
    count = len(elements.member)
    stress, post, moduli = np.zeros((count, 2)), np.zeros((count, 2)), np.zeros((count, 6))
    soft = np.zeros((count, 2), dtype=np.bool_)
    for k, (member, line) in enumerate(zip(net.members, net.lines, strict=True)):
        own = np.flatnonzero(elements.member == k)
        section, step = member.section, elements.step[own]
        known = allowed(section.alloy, settings)
        marks = np.union1d(np.flatnonzero(line.held), [0, len(line.at) - 1])
        longest = float(np.diff(line.at[marks]).max())
        soft[own] = np.stack([line.soft[step], line.soft[step + 1]], axis=1)
        between = known.partly(soft_share(member, settings)) * wall_factor(section)
        stress[own] = np.where(soft[own], known.beside, between)
        post[own] = np.minimum(stress[own], buckling(section, longest, section.alloy.e))
        r = resistance(section)
        moduli[own] = (r.bend_y, r.bend_z, r.area, r.shear_y, r.shear_z, r.twist)
        for hole in member.holes:
            drilled = own[(line.at[step] <= hole.along) & (hole.along <= line.at[step + 1])]
            moduli[drilled] *= left_by(hole, section)
    return Limits(stress, post, soft, moduli)


def left_by(hole: Hole, section: Section) -> Array:
    """What a hole through both walls leaves of the moduli, in the order of `Limits.moduli`, `(6,)`.

    Of bending across its walls I - 2 (t d^3 / 12 + t d off^2) over I; of bending along them, of the area and
    of torsion the metal's share; of the shear that its walls carry their depth's.
    """
    d, t = hole.diameter, section.wall
    gone, flat = t * d**3 / 6 + 2 * t * d * hole.off**2, max(1 - 2 * t * d / section.area, 0.0)
    runs_across = hole.runs == "width"
    depth, inertia = (section.height, section.iy) if runs_across else (section.width, section.iz)
    bend, shear = max(1 - gone / inertia, 0.0), max(1 - d / depth, 0.0)
    if runs_across:
        return np.array((bend, flat, flat, 1.0, shear, flat))
    return np.array((flat, bend, flat, shear, 1.0, flat))


def uses(forces: Array, own: Limits) -> Array:
    """Use of elements at their ends.

    Stress along the member: |N| / A F + |My| / Sy F + |Mz| / Sz F; shear and torsion over F / sqrt 3; the two
    together as the root of their squares (von Mises).

    Args:
        forces: `(e, 2, 6, p)`: N, Vy, Vz, T, My, Mz about the principal axes; N and Nmm.
        own: of the elements.

    Returns:
        `(e, 2, p)`.
    """
    along, sy, sz, twist, my, mz = np.moveaxis(forces, 2, 0)
    bend_y, bend_z, area, shear_y, shear_z, turn = own.moduli.T[:, :, None, None]
    stress, post = own.allowed[..., None], own.post[..., None]
    pressed = np.where(along < 0, post, stress)
    normal = np.abs(along) / (area * pressed) + (np.abs(my) / bend_y + np.abs(mz) / bend_z) / stress
    shear = np.hypot(sy / shear_y, sz / shear_z) + np.abs(twist) / turn
    found: Array = np.hypot(normal, shear / (SHEAR * stress))
    return found
