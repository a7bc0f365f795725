"""A flat piece with flanges: folded as it stands in the boat, and laid flat as it is cut."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from model.bends.bend_line import BendLine
from model.bends.made import CornerCut, Fold
from model.flat_arcs import polygon_of
from model.geometry import Array
from model.mesh import Mesh
from model.panel import Panel
from model.prism import Prism
from model.prism_mesh import meshes
from parts.outline import CHORD, Loop


@dataclass(frozen=True, eq=False, slots=True)
class FoldedPanel(Panel):
    """A panel with bent edges. Its outline and holes are those of its face to the outside of the bends.

    Attributes:
        base: outline of the part that stays flat.
        base_holes: holes in it.
        folds: bends with their legs.
        flat_outline: of the flat pattern, in the frame's x, y.
        flat_holes: holes in it.
        steps: when each bend of each fold is made, from 1; empty where the order does not matter.
    """

    base: Loop
    base_holes: tuple[Loop, ...]
    folds: tuple[Fold, ...]
    flat_outline: Loop
    flat_holes: tuple[Loop, ...]
    steps: tuple[tuple[int, ...], ...] = ()

    @property
    def prisms(self) -> tuple[Prism, ...]:
        """The solid metal: the flat part, then each bend with its leg; they touch and do not overlap."""
        plate = Prism(self.frame, self.base, self.base_holes, -self.sheet.thickness, 0.0)
        return (plate, *(prism for fold in self.folds for prism in fold.prisms(self.frame)))

    @property
    def area(self) -> float:
        """Area of the face as if the metal, bends and all, were spread at its thickness, mm2."""
        return self.volume / self.sheet.thickness

    @property
    def volume(self) -> float:
        """Volume of the metal, mm3."""
        return sum(prism.volume for prism in self.prisms)

    @property
    def centre(self) -> Array:
        """Centre of mass in the boat, `(3,) float`, mm."""
        prisms = self.prisms
        volumes = np.array([prism.volume for prism in prisms])
        found: Array = volumes @ np.array([prism.centre for prism in prisms]) / volumes.sum()
        return found

    @property
    def box(self) -> Array:
        """Least and greatest corner in the boat, `(2, 3) float`, mm."""
        boxes = np.array([prism.box for prism in self.prisms])
        return np.stack([boxes[:, 0].min(axis=0), boxes[:, 1].max(axis=0)])

    @property
    def cut_outline(self) -> Loop:
        """The outline that is cut from sheet, in the frame's x, y."""
        return self.flat_outline

    @property
    def cut_holes(self) -> tuple[Loop, ...]:
        """The holes that are cut."""
        return self.flat_holes

    @property
    def cut_polygon(self) -> shapely.Polygon:
        """The flat pattern as a shapely polygon, arcs tessellated."""
        return polygon_of(self.flat_outline, self.flat_holes)

    @property
    def bend_lines(self) -> tuple[BendLine, ...]:
        """Where the flat pattern is bent."""
        told = self.steps or ((),) * len(self.folds)
        return tuple(line for fold, steps in zip(self.folds, told, strict=True) for line in fold.lines(steps))

    @property
    def corner_cuts(self) -> tuple[CornerCut, ...]:
        """Ends of legs cut off square at mitred corners."""
        return tuple(cut for fold in self.folds for cut in fold.corner_cuts())

    def mesh(self, chord: float = CHORD) -> Mesh:
        """The closed meshes of the metal in the boat, as one."""
        return Mesh.merge(meshes(list(self.prisms), chord))
