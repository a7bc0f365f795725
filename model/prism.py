"""Prisms: a flat outline with holes, pushed straight through a thickness; exact numbers and a closed mesh."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from model.geometry import Array, Frame
from model.mesh import Mesh
from parts.outline import CHORD, Loop
from parts.shape import Block


@dataclass(frozen=True, eq=False, slots=True)
class Prism:
    """The solid over `outline` less `holes`, from z0 to z1 of `frame`, mm.

    Outline and holes lie in the frame's x, y; either may be walked in either sense. Holes lie inside
    the outline and clear of each other. All numbers are closed forms over the true arcs.

    Example:
        >>> Prism(Frame.level(0.0), Loop.circle(100.0), (), 0.0, 10.0).volume  # pi 50^2 10
        78539.81633974482

    Raises:
        ValueError: z1 is not above z0.
    """

    frame: Frame
    outline: Loop
    holes: tuple[Loop, ...] = ()
    z0: float = 0.0
    z1: float = 1.0

    def __post_init__(self) -> None:
        if not self.z1 > self.z0:
            raise ValueError(f"a prism needs z1 above z0, got z0 {self.z0:g} and z1 {self.z1:g} mm")

    @classmethod
    def of_block(cls, frame: Frame, block: Block) -> Prism:
        """A block of a fitting, standing in `frame`."""
        return cls(frame, block.outline, block.holes, block.z0, block.z1)

    @property
    def thickness(self) -> float:
        """Height of the prism along the frame's z, mm."""
        return self.z1 - self.z0

    @property
    def area(self) -> float:
        """Area of one face, holes taken out, mm2."""
        return abs(self.outline.area) - sum(abs(hole.area) for hole in self.holes)

    @property
    def volume(self) -> float:
        """Volume, mm3."""
        return self.area * self.thickness

    @property
    def surface_area(self) -> float:
        """Area of both faces and every wall, mm2."""
        round_about = self.outline.perimeter + sum(hole.perimeter for hole in self.holes)
        return 2.0 * self.area + round_about * self.thickness

    @property
    def centroid(self) -> Array:
        """Centre of the face's area in the frame's x, y, `(2,) float`, mm."""
        first = abs(self.outline.area) * self.outline.centroid
        for hole in self.holes:
            first = first - abs(hole.area) * hole.centroid
        found: Array = first / self.area
        return found

    @property
    def centre(self) -> Array:
        """Centre of mass in the boat, `(3,) float`, mm."""
        return self.frame.to_boat(np.append(self.centroid, (self.z0 + self.z1) / 2.0))

    @property
    def box(self) -> Array:
        """Least and greatest corner in the boat, arcs included, `(2, 3) float`, mm."""
        flat = np.stack([self.frame.x, self.frame.y], axis=1)
        rise = np.stack([self.z0 * self.frame.z, self.z1 * self.frame.z])
        high = self.frame.origin + self.outline.support(flat) + rise.max(axis=0)
        low = self.frame.origin - self.outline.support(-flat) + rise.min(axis=0)
        return np.stack([low, high])

    def mesh(self, chord: float = CHORD) -> Mesh:
        """The closed mesh, arcs tessellated to `chord` mm; many at once: `model.prism_mesh.meshes`."""
        from model.prism_mesh import meshes

        return meshes([self], chord)[0]
