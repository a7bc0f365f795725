"""Closed meshes of members, the bore included, made for all pieces of a section in one step."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
import shapely

from model.drilled_mesh import drilled_mesh
from model.flat_cover import cover
from model.geometry import Array
from model.member import Member
from model.member_table import MemberTable
from model.mesh import Faces, Mesh

if TYPE_CHECKING:
    from parts.outline import Loop
    from parts.section import Section


@dataclass(frozen=True, eq=False, slots=True)
class Cage:
    """The mesh of a section before it has a length.

    `points` `(m, 2) float` are the tessellated outline and bores in (y, z); `faces` `(f, 3) int64` run over
    2 m vertices, the m points on end A followed by the m points on end B.
    """

    points: Array
    faces: Faces


def _sides(start: int, count: int, total: int) -> Faces:
    """Two triangles for each edge of a loop of `count` points beginning at `start`."""
    here = np.arange(start, start + count, dtype=np.int64)
    ahead = np.roll(here, -1)
    lower = np.stack([here, ahead, ahead + total], axis=1)
    upper = np.stack([here, ahead + total, here + total], axis=1)
    return np.concatenate([lower, upper])


def _cap(points: Array, loops: list[Array]) -> Faces:
    """Triangles over the metal between the loops, counter-clockwise, using no points but the loops' own."""
    metal = shapely.Polygon(loops[0], loops[1:])
    return cover(metal, points, range(len(points)))


@lru_cache(maxsize=512)
def cage(section: Section) -> Cage:
    """The section's cage; arcs are tessellated within the outline's own chord tolerance (0.05 mm)."""
    loops: list[Loop] = [section.outer.ccw(), *(hole.cw() for hole in section.holes)]
    lines = [np.asarray(loop.polyline()) for loop in loops]
    points = np.concatenate(lines)
    total, start, faces = len(points), 0, []
    for line in lines:
        faces.append(_sides(start, len(line), total))
        start += len(line)
    cap = _cap(points, lines)
    return Cage(points, np.concatenate([*faces, cap[:, ::-1], cap + total]))


def member_meshes(members: Sequence[Member], table: MemberTable | None = None) -> list[Mesh]:
    """One closed mesh for each member in the boat's frame, in the order given; empty for a piece cut away.

    Args:
        members: any number of members of any sections.
        table: their numbers, when already at hand.
    """
    told = table or MemberTable(members)
    found = [Mesh.empty()] * len(members)
    for places, prisms in told.prisms:
        shape = cage(prisms.section)
        local = prisms.ends_at(shape.points).reshape(len(places), -1, 3)
        boat = local @ told.axes[places] + told.origins[places][:, None, :]
        for row in np.flatnonzero(~prisms.cut_away).tolist():
            found[int(places[row])] = Mesh(boat[row], shape.faces)
    for place, member in enumerate(members):
        if member.holes and len(found[place].faces):
            found[place] = drilled_mesh(member, found[place])
    return found


def member_mesh(member: Member) -> Mesh:
    """The closed mesh of one member; empty when it is cut away."""
    return member_meshes([member])[0]
