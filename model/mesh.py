"""Triangle meshes: plain arrays that merge, move and weigh themselves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from model.geometry import Array, Vector, vector

Faces = npt.NDArray[np.int64]


@dataclass(frozen=True, eq=False, slots=True)
class Mesh:
    """Triangles in the boat's frame.

    `vertices` is `(n, 3) float64` in mm; `faces` is `(m, 3) int64`, each row counter-clockwise seen from
    outside the metal. A mesh of a piece is closed: every edge is shared by exactly two triangles.
    """

    vertices: Array
    faces: Faces

    @classmethod
    def empty(cls) -> Mesh:
        """A mesh of nothing: shapes `(0, 3)`."""
        return cls(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64))

    @classmethod
    def merge(cls, meshes: Sequence[Mesh]) -> Mesh:
        """All `meshes` as one, in their order; vertices are not welded across pieces."""
        if not meshes:
            return cls.empty()
        counts = np.array([len(mesh.vertices) for mesh in meshes], dtype=np.int64)
        starts = np.concatenate([[0], np.cumsum(counts)[:-1]])
        faces = [mesh.faces + start for mesh, start in zip(meshes, starts, strict=True)]
        return cls(np.concatenate([mesh.vertices for mesh in meshes]), np.concatenate(faces))

    @property
    def triangles(self) -> Array:
        """Corner points of every triangle, `(m, 3, 3) float`, mm."""
        found: Array = self.vertices[self.faces]
        return found

    @property
    def volume(self) -> float:
        """Enclosed volume in mm3 by the divergence theorem; positive when the faces look outward."""
        if not len(self.faces):
            return 0.0
        p, q, r = np.moveaxis(self.triangles - self.vertices[0], 1, 0)
        return float(np.einsum("ij,ij->", p, np.cross(q, r))) / 6.0

    @property
    def area(self) -> float:
        """Total area of the triangles, mm2."""
        p, q, r = np.moveaxis(self.triangles, 1, 0)
        return float(np.linalg.norm(np.cross(q - p, r - p), axis=1).sum()) / 2.0

    @property
    def box(self) -> Array:
        """Least and greatest corner, `(2, 3) float`, mm.

        Raises:
            ValueError: the mesh is empty.
        """
        if not len(self.vertices):
            raise ValueError("an empty mesh has no box")
        return np.stack([self.vertices.min(axis=0), self.vertices.max(axis=0)])

    def transformed(self, matrix: Array, offset: Vector = (0.0, 0.0, 0.0)) -> Mesh:
        """Every vertex v moved to `matrix @ v + offset`; a mirroring `matrix` turns the faces round as well.

        Args:
            matrix: `(3, 3) float`.
            offset: `(3,) float`, mm, added after the matrix.
        """
        faces = self.faces if np.linalg.det(matrix) > 0.0 else self.faces[:, ::-1]
        return Mesh(self.vertices @ np.asarray(matrix).T + vector(offset), faces)
