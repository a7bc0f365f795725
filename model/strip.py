"""Panels that follow the hull: straight rulings between two edges in space, laid flat for cutting."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import shapely

from model.develop import Flattening, flatten
from model.flat_arcs import loop_of_ring, polygon_of
from model.geometry import Array
from model.mesh import Faces, Mesh
from parts.outline import CHORD, Loop

if TYPE_CHECKING:
    from model.bends.bend_line import BendLine
    from parts.sheet import Sheet

_SAME = 1e-6


@dataclass(frozen=True, eq=False)
class Strip:
    """A bent piece of sheet between two edges: point i of one is joined to point i of the other.

    Walk along `edge_a` with `edge_b` on the left: the face is what you look down on, and the metal
    lies below it, as deep as the sheet. An edge may be a single point throughout, and the strip may run
    to a point at either end.

    Args:
        name: the strip's name in the boat.
        edge_a: `(n, 3) float`, mm, in the boat.
        edge_b: `(n, 3) float`, mm.
        sheet: what it is cut from.
        role: what it is in the boat.

    Raises:
        ValueError: the edges differ in number of points or have fewer than two, or no area between them.
    """

    name: str
    edge_a: Array
    edge_b: Array
    sheet: Sheet
    role: str = "wall"

    def __post_init__(self) -> None:
        a, b = (np.array(edge, dtype=np.float64) for edge in (self.edge_a, self.edge_b))
        if a.shape != b.shape or a.ndim != 2 or a.shape[1] != 3 or len(a) < 2:
            raise ValueError(f"{self.name}: a strip needs two edges (n, 3), n >= 2, got {a.shape}, {b.shape}")
        if not (np.isfinite(a).all() and np.isfinite(b).all()):
            raise ValueError(f"{self.name}: an edge has a coordinate that is not a finite number")
        inner = np.sqrt(((b - a)[1:-1] ** 2).sum(axis=1))
        if len(inner) and inner.min() < _SAME:
            raise ValueError(f"{self.name}: the edges meet before the ends of the strip")
        object.__setattr__(self, "edge_a", a)
        object.__setattr__(self, "edge_b", b)
        if not len(self.triangulation):
            raise ValueError(f"{self.name}: there is no area between the edges")

    @property
    def holes(self) -> tuple[Loop, ...]:
        """Strips have none."""
        return ()

    @cached_property
    def flattening(self) -> Flattening:
        """Both edges laid flat, and the errors of it."""
        return flatten(self.edge_a, self.edge_b)

    @cached_property
    def outline(self) -> Loop:
        """The flat outline seen on the face, counter-clockwise, its box's low corner at 0, mm.

        It is that of the face; the bend's neutral line lies half a sheet deeper, which matters only for
        bends as tight as a few thicknesses.
        """
        flat = self.flattening
        return loop_of_ring(np.concatenate([flat.a, flat.b[::-1]]))

    @property
    def rulings(self) -> Array:
        """The rulings on the flat outline as `(n, 2, 2) float`: from edge a, to edge b, mm."""
        return np.stack([self.flattening.a, self.flattening.b], axis=1)

    @property
    def bend(self) -> float:
        """Turn of the surface from the first ruling to the last, rad; positive with the face outside."""
        quad = np.cross(self.edge_b[1:] - self.edge_a[:-1], self.edge_b[:-1] - self.edge_a[1:])
        across = (self.edge_b - self.edge_a)[1:-1]
        before, after = quad[:-1], quad[1:]
        size = np.sqrt((across * across).sum(axis=1))
        sine = (np.cross(before, after) * across).sum(axis=1) / size
        return float(np.arctan2(sine, (before * after).sum(axis=1)).sum())

    @property
    def polygon(self) -> shapely.Polygon:
        """The flat outline as a shapely polygon."""
        return polygon_of(self.outline)

    @property
    def cut_outline(self) -> Loop:
        """The outline that is cut from sheet: the flat one."""
        return self.outline

    @property
    def cut_holes(self) -> tuple[Loop, ...]:
        """The holes that are cut."""
        return self.holes

    @property
    def cut_polygon(self) -> shapely.Polygon:
        """What is cut, as a shapely polygon."""
        return self.polygon

    @property
    def cut_extents(self) -> tuple[float, float]:
        """Overall size of what is cut, mm."""
        return self.extents

    @property
    def bend_lines(self) -> tuple[BendLine, ...]:
        """None: it is rolled, along its rulings."""
        return ()

    @property
    def extents(self) -> tuple[float, float]:
        """Overall size of the flat outline along its x and y, mm."""
        low_x, low_y, high_x, high_y = self.outline.bounds
        return high_x - low_x, high_y - low_y

    @property
    def area(self) -> float:
        """Area of the flat outline, mm2."""
        return self.outline.area

    @property
    def volume(self) -> float:
        """Area times thickness, mm3; the bent solid differs by about half a thickness over the radius."""
        return self.area * self.sheet.thickness

    @property
    def mass(self) -> float:
        """Mass, kg."""
        return self.area * self.sheet.mass_per_m2 * 1e-6

    @property
    def centre(self) -> Array:
        """Centre of mass in the boat, `(3,) float`, mm, of the metal behind the face."""
        mesh = self.mesh()
        p, q, r = np.moveaxis(mesh.triangles - mesh.vertices[0], 1, 0)
        six = np.einsum("ij,ij->i", p, np.cross(q, r))
        found: Array = mesh.vertices[0] + (six[:, None] * (p + q + r)).sum(axis=0) / (4 * six.sum())
        return found

    @property
    def box(self) -> Array:
        """Least and greatest corner in the boat, `(2, 3) float`, mm."""
        return self.mesh().box

    @cached_property
    def points(self) -> Array:
        """The corners of `triangulation`: edge a, then edge b, `(2 n, 3) float`, mm."""
        return np.concatenate([self.edge_a, self.edge_b])

    @cached_property
    def triangulation(self) -> Faces:
        """The face as triangles `(m, 3) int64` into `points`, each quad split along its shorter diagonal.

        Points in the same place, one after the other or across, are one point; triangles without area
        are left out.
        """
        n = len(self.edge_a)
        same = self._numbers()
        i = np.arange(n - 1)
        a, a1, b, b1 = same[i], same[i + 1], same[n + i], same[n + i + 1]
        rise = ((self.edge_b[1:] - self.edge_a[:-1]) ** 2).sum(axis=1)
        fall = ((self.edge_a[1:] - self.edge_b[:-1]) ** 2).sum(axis=1)
        over = (fall <= rise * (1 + 1e-9))[:, None]
        first = np.where(over, np.stack([a, a1, b], axis=1), np.stack([a, a1, b1], axis=1))
        second = np.where(over, np.stack([b, a1, b1], axis=1), np.stack([a, b1, b], axis=1))
        found = np.stack([first, second], axis=1).reshape(-1, 3)
        p, q, r = found.T
        whole: Faces = found[(p != q) & (q != r) & (r != p)]
        return whole

    def _numbers(self) -> Faces:
        """For each of `points` the index of the first in the same place it follows on, `(2 n,) int64`."""
        n = len(self.edge_a)
        steps = (np.abs(np.diff(edge, axis=0)).max(axis=1) > _SAME for edge in (self.edge_a, self.edge_b))
        own = [np.maximum.accumulate(np.where(np.concatenate([[True], s]), np.arange(n), 0)) for s in steps]
        numbers = np.concatenate([own[0], own[1] + n])
        for end in (0, n - 1):
            if np.abs(self.edge_a[end] - self.edge_b[end]).max() <= _SAME:
                numbers[numbers == numbers[n + end]] = numbers[end]
        return numbers

    def mesh(self, chord: float = CHORD) -> Mesh:
        """The closed mesh of the metal in the boat: the face, its copy a thickness behind, and the rim.

        Each corner goes back along the mean normal of its triangles, by as much as keeps them at the
        thickness from the face. `chord` is there for likeness with flat panels; a strip has no arcs.
        """
        used, faces = np.unique(self.triangulation, return_inverse=True)
        faces = faces.reshape(-1, 3).astype(np.int64)
        front = self.points[used]
        back = front - self.sheet.thickness * _offsets(front, faces)
        rim = _rim(faces)
        n = len(front)
        u, v = rim.T
        walls = np.concatenate([np.stack([v, u, u + n], axis=1), np.stack([v, u + n, v + n], axis=1)])
        return Mesh(np.concatenate([front, back]), np.concatenate([faces, faces[:, ::-1] + n, walls]))

    def needed_rulings(self, sagitta: float) -> list[int]:
        """The rulings that keep both edges within `sagitta` mm of their lines, the end ones included."""
        kept = {0, len(self.edge_a) - 1}
        spans = [(0, len(self.edge_a) - 1)]
        while spans:
            first, last = spans.pop()
            inner = np.arange(first + 1, last)
            off = [_off_chord(edge[first], edge[last], edge[inner]) for edge in (self.edge_a, self.edge_b)]
            worst = np.maximum(*off)
            if len(inner) and worst.max() > sagitta:
                middle = int(inner[worst.argmax()])
                kept.add(middle)
                spans += [(first, middle), (middle, last)]
        return sorted(kept)

    def thinned(self, sagitta: float) -> Strip:
        """The strip with `needed_rulings` only."""
        rows = self.needed_rulings(sagitta)
        return Strip(self.name, self.edge_a[rows], self.edge_b[rows], self.sheet, self.role)

    def turned_over(self) -> Strip:
        """The strip with the metal on the other side of the same surface."""
        return Strip(self.name, self.edge_b, self.edge_a, self.sheet, self.role)


def _off_chord(start: Array, end: Array, points: Array) -> Array:
    """Distance of points `(k, 3)` from the straight piece between two, `(k,)`, mm."""
    way = end - start
    square = float(way @ way)
    share = np.clip((points - start) @ way / square, 0.0, 1.0) if square > 0 else np.zeros(len(points))
    off = points - start - share[:, None] * way
    found: Array = np.sqrt((off * off).sum(axis=1))
    return found


def _offsets(points: Array, faces: Faces) -> Array:
    """For each point the vector that is one unit high over the triangles about it, on the whole."""
    p, q, r = np.moveaxis(points[faces], 1, 0)
    normal = np.cross(q - p, r - p)
    normal /= np.sqrt((normal * normal).sum(axis=1))[:, None]
    total = np.zeros_like(points)
    for here, left, right in ((p, q, r), (q, r, p), (r, p, q)):
        one, two = left - here, right - here
        sine = np.sqrt((np.cross(one, two) ** 2).sum(axis=1))
        angle = np.arctan2(sine, (one * two).sum(axis=1))
        column = 0 if here is p else 1 if here is q else 2
        np.add.at(total, faces[:, column], angle[:, None] * normal)
    mean = total / np.sqrt((total * total).sum(axis=1))[:, None]
    rise = np.zeros(len(points))
    count = np.zeros(len(points))
    for column in range(3):
        np.add.at(rise, faces[:, column], (mean[faces[:, column]] * normal).sum(axis=1))
        np.add.at(count, faces[:, column], 1.0)
    found: Array = mean / np.maximum(rise / count, 0.5)[:, None]
    return found


def _rim(faces: Faces) -> Faces:
    """The directed edges `(k, 2)` that belong to one triangle only, as that triangle walks them."""
    edges = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    size = int(faces.max()) + 1
    forward, back = edges[:, 0] * size + edges[:, 1], edges[:, 1] * size + edges[:, 0]
    found: Faces = edges[~np.isin(forward, back)]
    return found
