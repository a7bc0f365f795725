"""Closed meshes in the hands of the collision library: least gaps and the metal two solids share.

The library (manifold3d) measures gaps between whole meshes, hollow or not, and cuts them exactly, faces that
lie in one plane included.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import manifold3d
import numpy as np

from model.geometry import Array
from model.mesh import Faces, Mesh

TOUCH = 1e-3
"""Gaps below this, mm, count as none: the two are tried for metal they share."""

MOST_SIDES = 10
"""So many faces of a solid are tried as planes that part it from another."""

NO_METAL = 1e-2
"""Shared metal of less than this, mm3, is the rounding of faces that touch."""


@dataclass(frozen=True, eq=False)
class Solid:
    """A closed mesh in the boat with its box `(2, 3)`, ready to be measured against others."""

    mesh: Mesh
    box: Array
    body: manifold3d.Manifold

    @classmethod
    def of_mesh(cls, mesh: Mesh) -> Solid:
        """The solid of a closed mesh.

        Raises:
            ValueError: the mesh is empty, not closed, or inside out.
        """
        if not len(mesh.faces):
            raise ValueError("an empty mesh has no solid")
        vertices = np.ascontiguousarray(mesh.vertices)
        body = manifold3d.Manifold(manifold3d.Mesh64(vertices, mesh.faces.astype(np.uint64)))
        if body.status() != manifold3d.Error.NoError:
            raise ValueError(f"the mesh bounds no solid: {body.status().name}")
        return cls(mesh, mesh.box, body)

    @classmethod
    def of_body(cls, body: manifold3d.Manifold) -> Solid:
        """The solid of a body of the library, which is not empty."""
        mesh = body.to_mesh64()
        vertices = np.asarray(mesh.vert_properties, dtype=np.float64)[:, :3]
        made = Mesh(vertices, np.asarray(mesh.tri_verts).astype(np.int64))
        return cls(made, made.box, body)

    def gap(self, other: Solid, reach: float) -> float:
        """Least distance to another solid, mm, `reach` where it is more; 0 where they touch or overlap."""
        # The larger mesh asks: the library sorts it once and keeps it.
        first, second = (self, other) if len(self.mesh.faces) >= len(other.mesh.faces) else (other, self)
        return float(first.body.min_gap(second.body, reach))

    @cached_property
    def sides(self) -> tuple[Array, Array]:
        """Outward normals of the largest faces `(k, 3)`, and how far along each the solid reaches `(k,)`."""
        p, q, r = np.moveaxis(self.mesh.triangles, 1, 0)
        cross = np.cross(q - p, r - p)
        size = np.sqrt((cross**2).sum(axis=1))
        kept = size > 1e-9
        normals, group = np.unique(np.round(cross[kept] / size[kept, None], 6), axis=0, return_inverse=True)
        area = np.bincount(group.ravel(), weights=size[kept])
        main = normals[np.argsort(-area)[:MOST_SIDES]]
        return main, (self.mesh.vertices @ main.T).max(axis=0)

    def parted_from(self, other: Solid) -> bool:
        """Whether a face of either parts the two: all of the other lies on or beyond its plane.

        Where it does they share no metal; where it does not they may.
        """
        return self._beyond(other) or other._beyond(self)

    def _beyond(self, other: Solid) -> bool:
        normals, reach = self.sides
        return bool(((other.mesh.vertices @ normals.T).min(axis=0) > reach - TOUCH).any())

    def shared_with(self, other: Solid) -> Shared | None:
        """The metal that both fill; None where they only touch or are apart."""
        both = self.body ^ other.body
        volume = float(both.volume())
        if volume < NO_METAL:
            return None
        pieces = [points_of(piece) for piece in both.decompose()]
        widths = [least_width(points) for points in pieces]
        worst = max(range(len(pieces)), key=lambda k: widths[k][0])
        return Shared(volume, *widths[worst], pieces[worst])


@dataclass(frozen=True, eq=False)
class Shared:
    """Metal that two solids both fill.

    Attributes:
        volume: mm3, of all pieces.
        depth: least width of the thickest piece, mm: how far one lies in the other, or where it passes
            right through, how thick the metal is that it passes through.
        way: unit vector `(3,)` along that width.
        points: corners of that piece, `(n, 3) float`.
    """

    volume: float
    depth: float
    way: Array
    points: Array

    @property
    def middle(self) -> Array:
        """The middle of the piece's box, `(3,) float`."""
        found: Array = (self.points.min(axis=0) + self.points.max(axis=0)) / 2.0
        return found


def points_of(body: manifold3d.Manifold) -> Array:
    """Corners of a body, `(n, 3) float`."""
    return np.asarray(body.to_mesh64().vert_properties, dtype=np.float64)[:, :3]


def least_width(points: Array) -> tuple[float, Array]:
    """Least distance between two parallel planes that hold all points `(n, 3)`, mm, and the way between them.

    There one plane lies on a face of the points' hull, or each on an edge of it. The way is a unit vector
    `(3,)`.
    """
    from scipy.spatial import ConvexHull, QhullError

    try:
        hull = ConvexHull(points)
    except QhullError:
        return 0.0, np.array([0.0, 0.0, 1.0])  # all in one plane
    corners = points[hull.vertices]
    normals = np.unique(np.round(hull.equations[:, :3], 9), axis=0)
    ways = _edge_ways(
        points, hull.simplices.astype(np.int64), hull.equations[:, :3], hull.neighbors.astype(np.int64)
    )
    crossed = np.cross(ways[:, None], ways[None]).reshape(-1, 3)
    size = np.sqrt((crossed**2).sum(axis=1))
    tried = np.concatenate([normals, crossed[size > 1e-6] / size[size > 1e-6, None]])
    along = corners @ tried.T
    widths = along.max(axis=0) - along.min(axis=0)
    least = int(widths.argmin())
    return float(widths[least]), tried[least]


def _edge_ways(points: Array, faces: Faces, normals: Array, neighbours: Faces) -> Array:
    """Directions of the hull's true edges, those between faces that differ in normal, `(k, 3)`, unit."""
    found = []
    for column in range(3):
        # qhull's neighbour k of a triangle lies across the edge that misses its corner k
        turned = (normals * normals[neighbours[:, column]]).sum(axis=1) < 1.0 - 1e-9
        edge = faces[turned][:, [c for c in range(3) if c != column]]
        found.append(points[edge[:, 1]] - points[edge[:, 0]])
    ways = np.concatenate(found)
    length = np.sqrt((ways**2).sum(axis=1))
    ways = ways[length > 1e-9] / length[length > 1e-9, None]
    lead = np.take_along_axis(ways, np.argmax(np.abs(ways), axis=1)[:, None], 1)
    return np.unique(np.round(ways * np.sign(lead), 6), axis=0)
