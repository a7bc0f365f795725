"""Every piece of a boat as a solid that can be cut and looked at, and those that a finding is about."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import manifold3d
import numpy as np

from model.clearance.skin_bodies import skin_bodies
from model.geometry import Array
from model.mesh import Mesh

if TYPE_CHECKING:
    from cutlists.scene import Scene
    from model.boat import Boat
    from model.findings import Finding

ROLES = ("first", "second", "other", "shown")
"""What a piece is to a finding; the rest has no role."""


@dataclass(frozen=True, eq=False)
class Drawn:
    """A named solid to draw: one closed mesh `(n, 3)` of vertices in the boat, mm."""

    name: str
    mesh: Mesh

    @cached_property
    def box(self) -> Array:
        """Least and greatest corner, `(2, 3)`."""
        return self.mesh.box

    @cached_property
    def body(self) -> manifold3d.Manifold:
        """For the cutting; empty where the mesh bounds no solid even with its corners joined."""
        for mesh in (self.mesh, _joined(self.mesh)):
            vertices = np.ascontiguousarray(mesh.vertices)
            body = manifold3d.Manifold(manifold3d.Mesh64(vertices, mesh.faces.astype(np.uint64)))
            if body.status() == manifold3d.Error.NoError:
                return body
        return manifold3d.Manifold()


@dataclass(frozen=True, eq=False)
class Concerned:
    """What one finding is about, in its own order, and the rest of the boat.

    Attributes:
        named: each name that is told with its role and the solids it stands for.
        rest: all other solids.
    """

    named: tuple[tuple[str, str, tuple[Drawn, ...]], ...]
    rest: tuple[Drawn, ...]

    @property
    def solids(self) -> list[tuple[str, Drawn]]:
        """Role and solid of all that is concerned."""
        return [(role, solid) for _, role, own in self.named for solid in own]


def _joined(mesh: Mesh) -> Mesh:
    """The mesh with corners in one place made one, for triangles that come one by one."""
    places, number = np.unique(np.round(mesh.vertices, 4), axis=0, return_inverse=True)
    faces = number.ravel()[mesh.faces]
    whole = (faces != np.roll(faces, 1, axis=1)).all(axis=1)
    return Mesh(places, faces[whole].astype(np.int64))


def drawn_solids(boat: Boat, scene: Scene) -> list[Drawn]:
    """All pieces of the boat; of the hull the stretches of its skin, its ribs and stringers."""
    pieces = [Drawn(p.name, p.plain) for p in scene.pieces if p.group != "hull" and len(p.plain.faces)]
    skin = [Drawn(body.name, solid.mesh) for body in skin_bodies(boat.hull) for solid in body.solids]
    return [*pieces, *skin]


def concerned(finding: Finding, solids: Sequence[Drawn]) -> Concerned:
    """Sorts the solids by what they are to a finding."""
    named: list[tuple[str, str, tuple[Drawn, ...]]] = []
    taken: set[int] = set()
    for k, name in enumerate(finding.pieces):
        own = _called(name, solids)
        taken |= {id(solid) for solid in own}
        named.append((name, ROLES[min(k, 2)], tuple(own)))
    named += [(one.name, "shown", (Drawn(one.name, one.mesh),)) for one in finding.shown]
    return Concerned(tuple(named), tuple(solid for solid in solids if id(solid) not in taken))


def _called(name: str, solids: Sequence[Drawn]) -> list[Drawn]:
    """The solids of a name: of a piece itself; of a deck, locker or console its sheet, or else all of it."""
    own = [solid for solid in solids if solid.name == name]
    own = own or [s for s in solids if s.name.startswith((f"{name}/sheet", f"{name}/floor"))]
    return own or [s for s in solids if s.name.startswith((f"{name}/", f"{name}."))]
