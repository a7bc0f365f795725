"""The geometry of one picture: triangles in view coordinates, and rays that ask what hides what."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from cutlists.scene import ScenePiece
from cutlists.view_camera import Camera
from model.geometry import Array
from model.mesh import Mesh

Ids = npt.NDArray[np.int32]
Flags = npt.NDArray[np.bool_]

BATCH = 1_000_000
"""Rays cast at a time, to bound memory."""


@dataclass(frozen=True, eq=False)
class Shapes:
    """Pieces as one set of triangles in view coordinates (right, up, toward the viewer), mm.

    `vertices` `(n, 3) float`, `faces` `(m, 3) int`, and `piece` `(m,) int`, the place of each triangle's
    piece in `pieces`.
    """

    pieces: tuple[ScenePiece, ...]
    vertices: Array
    faces: npt.NDArray[np.int64]
    piece: npt.NDArray[np.int64]

    @classmethod
    def seen(cls, pieces: Sequence[ScenePiece], camera: Camera) -> Shapes:
        """The `pieces` as `camera` sees them; triangles without area are left out."""
        merged = Mesh.merge([piece.plain for piece in pieces])
        counts = [len(piece.plain.faces) for piece in pieces]
        owner = np.repeat(np.arange(len(pieces)), counts)
        vertices = camera.to_view(merged.vertices)
        p, q, r = np.moveaxis(vertices[merged.faces], 1, 0)
        solid = np.linalg.norm(np.cross(q - p, r - p), axis=1) > 1e-6
        return cls(tuple(pieces), vertices, merged.faces[solid], owner[solid])

    @cached_property
    def normals(self) -> Array:
        """Unit normal of every triangle in view coordinates, `(m, 3) float`."""
        p, q, r = np.moveaxis(self.vertices[self.faces], 1, 0)
        across = np.cross(q - p, r - p)
        found: Array = across / np.linalg.norm(across, axis=1, keepdims=True)
        return found

    @cached_property
    def _caster(self) -> Any:
        # Rays are cast in view coordinates, which begin at the picture's corner: single precision is then
        # good to a thousandth of a millimetre on any small boat.
        from embreex.mesh_construction import TriangleMesh
        from embreex.rtcore_scene import EmbreeScene

        scene = EmbreeScene()
        if len(self.faces):
            TriangleMesh(scene, self.vertices.astype(np.float32), self.faces.astype(np.int32))
        return scene

    def first_hits(self, flat: Array, from_behind: bool = False) -> Ids:
        """The triangle seen at each place of the paper, -1 for none.

        Args:
            flat: `(k, 2) float` view coordinates (right, up), mm.
            from_behind: look along +toward from behind everything instead, so that the farthest is met.

        Returns:
            `(k,) int32` places in `faces`.
        """
        found = np.full(len(flat), -1, dtype=np.int32)
        if not len(self.faces):
            return found
        ends = self.vertices[:, 2]
        start = float(ends.min()) - 10.0 if from_behind else float(ends.max()) + 10.0
        for k in range(0, len(flat), BATCH):
            part = flat[k : k + BATCH]
            origins = np.empty((len(part), 3), dtype=np.float32)
            origins[:, :2], origins[:, 2] = part, start
            rays = np.zeros_like(origins)
            rays[:, 2] = 1.0 if from_behind else -1.0
            found[k : k + BATCH] = self._caster.run(origins, rays, query="INTERSECT")
        return found

    def hidden(self, points: Array, directions: Array | None = None, reach: float = 1e6) -> Flags:
        """Whether a ray from each of the `(k, 3)` view points meets metal within `reach` mm.

        Args:
            points: where the rays begin, `(k, 3) float`.
            directions: `(k, 3) float` unit directions; None looks toward the viewer.
            reach: how far metal counts, mm.
        """
        found = np.zeros(len(points), dtype=np.bool_)
        if not len(self.faces):
            return found
        for k in range(0, len(points), BATCH):
            origins = points[k : k + BATCH].astype(np.float32)
            if directions is None:
                rays = np.zeros_like(origins)
                rays[:, 2] = 1.0
            else:
                rays = directions[k : k + BATCH].astype(np.float32)
            far = np.full(len(origins), reach, dtype=np.float32)
            found[k : k + BATCH] = self._caster.run(origins, rays, dists=far, query="OCCLUDED") == 0
        return found

    def depth(self, flat: Array, face: Ids) -> Array:
        """Distance toward the viewer of the place on triangle `face` above `flat` `(k, 2)`, mm; `(k,)`.

        Triangles seen exactly on edge give the height of their first corner.
        """
        corner, normal = self.vertices[self.faces[face, 0]], self.normals[face]
        slope = np.where(np.abs(normal[:, 2]) > 1e-6, normal[:, 2], np.inf)
        found: Array = corner[:, 2] - ((flat - corner[:, :2]) * normal[:, :2]).sum(axis=1) / slope
        return found
