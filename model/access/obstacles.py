"""What of a boat stands in the way of a thing that is taken out, with lids closed, open or away."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from model.access.box import Swept, Triangles, partings
from model.clearance.bodies import Body
from model.clearance.kinds import ROOM
from model.clearance.lids import HungLid, hung_lids
from model.clearance.solid import Solid
from model.geometry import Array
from model.mesh import Mesh

if TYPE_CHECKING:
    from model.boat import Boat

PLAY = 1.0
"""A thing is lifted by this before it is moved, mm: what it stands on touches it."""

HELD = 0.5
"""What reaches further than this into a thing where it rests, mm, holds it fast: a clash, told elsewhere."""

GIVE = 0.1
"""What stands nearer to a thing at rest than is asked may come nearer by this as it leaves, mm."""


@dataclass(frozen=True, eq=False)
class Surroundings:
    """All bodies of a boat but rooms, and how its lids open.

    Attributes:
        bodies: by name.
        lids: every lid with its hinge and riders.
    """

    bodies: dict[str, Body]
    lids: tuple[HungLid, ...]

    @classmethod
    def of(cls, boat: Boat, bodies: Iterable[Body]) -> Surroundings:
        """Those of a boat."""
        return cls({b.name: b for b in bodies if b.kind != ROOM}, tuple(hung_lids(boat)))

    @cached_property
    def with_lids(self) -> dict[str, HungLid]:
        """The lid that a body goes along with, by the body's name."""
        return {name: lid for lid in self.lids for name in (lid.name, *(r.name for r in lid.riders))}

    @cached_property
    def top(self) -> float:
        """Height over which there is nothing, lids open or not, mm."""
        closed = max(float(s.box[1, 2]) for b in self.bodies.values() for s in b.solids)
        opened = [float(m.vertices[:, 2].max()) for lid in self.lids for m in self._opened(lid)]
        return max([closed, *opened]) + 5.0

    def solids(self, opened: Collection[str], away: Collection[str]) -> tuple[list[Solid], list[str]]:
        """The solids in the way and whose each is.

        Args:
            opened: lids by name that stand open; `none`-hinged ones are away. All others are closed.
            away: bodies by name that are not there.
        """
        found: list[Solid] = []
        names: list[str] = []
        for name, body in self.bodies.items():
            lid = self.with_lids.get(name)
            if name not in away and (lid is None or lid.name not in opened):
                found += body.solids
                names += [name] * len(body.solids)
        for lid in self.lids:
            if lid.name in opened and lid.name not in away:
                meshes = self._opened(lid, away)
                found += [Solid.of_mesh(mesh) for mesh in meshes]
                names += [lid.name] * len(meshes)
        return found, names

    def _opened(self, lid: HungLid, away: Collection[str] = ()) -> list[Mesh]:
        """A lid and what rides on it, fully open; nothing where it is lifted out."""
        motion = None if lid.lifts_out else lid.motion()
        if motion is None:
            return []
        matrix, offset = motion.pose(motion.limit)
        names = [n for n in (lid.name, *(r.name for r in lid.riders)) if n not in away and n in self.bodies]
        return [s.mesh.transformed(matrix, offset) for n in names for s in self.bodies[n].solids]


def triangles_about(solids: Sequence[Solid], box: Array) -> Triangles:
    """The triangles of solids that come into a box `(2, 3)`, nothing asked of them yet."""
    near = [k for k, s in enumerate(solids) if (s.box[0] <= box[1]).all() and (s.box[1] >= box[0]).all()]
    if not near:
        return Triangles.of(np.zeros((0, 3, 3)), np.zeros(0), np.zeros(0))
    corners = np.concatenate([solids[k].mesh.triangles for k in near])
    owner = np.repeat(np.array(near, dtype=np.float64), [len(solids[k].mesh.faces) for k in near])
    return Triangles.of(corners, np.zeros(len(corners)), owner).near(box)


def asking(triangles: Triangles, rest: Swept, gap: float) -> tuple[Triangles, int | None]:
    """The triangles with the gap asked of each, and the solid that holds the box fast where it rests, if any.

    What stands nearer than `gap` where the box rests is only asked to come no nearer.
    """
    asked = np.full(len(triangles), gap)
    near = np.flatnonzero(
        ((triangles.low <= rest.box[1] + gap) & (triangles.high >= rest.box[0] - gap)).all(axis=1)
    )
    if not len(near):
        return Triangles(triangles.corners, asked, triangles.owner, triangles.low, triangles.high), None
    pairs = np.stack([np.zeros_like(near), near], axis=1)
    apart = partings([rest], triangles, pairs)
    asked[near] = np.minimum(gap, apart - GIVE)
    made = Triangles(triangles.corners, asked, triangles.owner, triangles.low, triangles.high)
    worst = int(apart.argmin())
    return made, int(triangles.owner[near[worst]]) if apart[worst] < -HELD else None
