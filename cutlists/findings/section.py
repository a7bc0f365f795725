"""The boat cut through the place of a finding: what is cut in full colour, what lies beyond in thin lines."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import manifold3d
import numpy as np
import shapely

from cutlists.findings.paper import COLOURS, Panel, area, mesh_of, ring, scale_bar, seen, strokes
from cutlists.findings.solids import Concerned, Drawn
from cutlists.view_camera import Camera, View
from model.geometry import Array

VIEWS = (
    View.looking("across", "Cut across the boat, seen from aft", eye=(-1.0, 0.0, 0.0)),
    View.looking("along", "Cut along the boat, seen from starboard", eye=(0.0, -1.0, 0.0)),
    View.looking("level", "Cut level, seen from above", eye=(0.0, 0.0, 1.0), up=(0.0, 1.0, 0.0)),
)
BEYOND = 450.0
"""What lies further behind the cut, mm, is left out."""

NARROW = ("gap", "overlap", "room")
"""Kinds of findings that are looked at closely."""

LEAST, CLOSE = 60.0, 240.0
"""Half the width of what is looked at closely, mm, at least and at most."""

WIDE, MOST = 240.0, 520.0
"""Half the width of what is not, mm, at least and at most."""

SLENDER = 8.0
"""What is shown and is so many times longer than it is thick is cut along its length."""

LONGEST = 1000.0
"""Half the width of a cut along something slender, mm, at most."""

TIMES = 40.0
"""What is lacking between two pieces is to take up about this part of half the width."""

SPARE = 1.15
"""Room about what is concerned, as a factor."""


@dataclass(frozen=True, eq=False)
class Cut:
    """A plane through a place with what it cuts of what a finding is about.

    Attributes:
        view: looked at along the plane's normal.
        where: the place in the boat `(3,)`.
        sections: role and area in view coordinates (right, up), mm.
        most: half the width to be shown, mm, at most.
    """

    view: View
    where: Array
    sections: tuple[tuple[str, manifold3d.CrossSection], ...]
    most: float = MOST

    @property
    def at(self) -> float:
        """How far toward the viewer the plane lies, mm from the boat's origin."""
        return float(self.view.axes[2] @ self.where)

    @property
    def roles(self) -> set[str]:
        """What is cut at all."""
        return {role for role, section in self.sections if not section.is_empty()}

    def size(self) -> float:
        """How much is cut of what is concerned: the product of the areas, mm2 each."""
        areas = [section.area() for _, section in self.sections if not section.is_empty()]
        return float(np.prod(np.array(areas) / 1e3)) if areas else float("inf")

    def apart(self) -> float:
        """Distance on the plane between the first and the nearest of the others, mm."""
        areas = {
            role: [_shape(s) for r, s in self.sections if r == role and not s.is_empty()] for role in COLOURS
        }
        first = areas.pop("first")
        others = [shape for own in areas.values() for shape in own]
        if not first or not others:
            return float("inf")
        return float(shapely.union_all(first).distance(shapely.union_all(others)))


def best_cut(about: Concerned, where: Array, upright: bool = False) -> Cut | None:
    """The plane through a place, square to an axis, that shows best what is concerned; None if none cuts it.

    First comes how many it cuts, then how near to each other they show, then how little it cuts of them, so
    that a sheet is cut across and not laid bare. What is shown moved, such as a lid where it stops, is looked
    at square to the way it moves. What is slender, such as a rod, is cut along its length.

    Args:
        about: what the finding is about.
        where: the place.
        upright: only upright planes.
    """
    slender = _along_the_slender(about)
    if slender is not None:
        return slender
    cuts = [_cut(view, about, where) for view in (VIEWS[:2] if upright else VIEWS)]
    still = _still_axis(about)
    ranked = sorted(
        range(len(cuts)),
        key=lambda k: (-len(cuts[k].roles), k != still, round(cuts[k].apart(), 1), cuts[k].size()),
    )
    best = cuts[ranked[0]]
    return best if best.roles else None


def _along_the_slender(about: Concerned) -> Cut | None:
    """The upright plane along something slender that is shown; None where nothing is."""
    for role, solid in about.solids:
        if role != "shown":
            continue
        points = solid.mesh.vertices
        middle = points.mean(axis=0)
        _, sizes, ways = np.linalg.svd(points - middle, full_matrices=False)
        if sizes[0] > SLENDER * sizes[1] and np.hypot(*ways[0, :2]) > 0.5:
            forward = ways[0] * (1.0 if ways[0, 0] >= 0.0 else -1.0)
            view = View.looking("slender", f"Cut along {solid.name}", eye=(forward[1], -forward[0], 0.0))
            return replace(_cut(view, about, middle), most=LONGEST)
    return None


def _still_axis(about: Concerned) -> int | None:
    """The axis along which what is shown moved least from the piece it is of; None where nothing is."""
    shown = [solid for role, solid in about.solids if role == "shown"]
    first = [solid for role, solid in about.solids if role == "first"]
    if not shown or not first:
        return None
    step = shown[0].box.mean(axis=0) - first[0].box.mean(axis=0)
    return int(np.argmin(np.abs(step)))


def _cut(view: View, about: Concerned, where: Array) -> Cut:
    at = float(view.axes[2] @ where)
    sections = tuple((role, _section(solid, view, at)) for role, solid in about.solids)
    return Cut(view, where, sections)


def _section(solid: Drawn, view: View, at: float) -> manifold3d.CrossSection:
    ends = solid.mesh.vertices @ view.axes[2]
    if not ends.min() <= at <= ends.max():
        return manifold3d.CrossSection()
    turned = solid.body.transform(np.column_stack([view.axes, np.zeros(3)]))
    # just beyond the plane: exactly on a face nothing would be cut
    for off in (0.0, -0.05, 0.05):
        found = turned.slice(at + off)
        if not found.is_empty():
            return found
    return manifold3d.CrossSection()


def _shape(section: manifold3d.CrossSection) -> shapely.Geometry:
    rings = [shapely.Polygon(np.asarray(ring)) for ring in section.to_polygons() if len(ring) > 2]
    return shapely.union_all([ring.buffer(0.0) for ring in rings])


class Section:
    """The picture of one cut in a panel; `short`, mm, is what is lacking, where it is looked at closely."""

    def __init__(
        self, cut: Cut, about: Concerned, panel: Panel, units: str, short: float | None = None
    ) -> None:
        self.cut, self.about, self.panel, self.units = cut, about, panel, units
        self.middle, self.half = _window(cut, panel, short)
        scale = panel.width / (2.0 * self.half[0])
        corner = (float(self.middle[0]) - self.half[0], float(self.middle[1]) + self.half[1])
        self.camera = Camera(cut.view, corner[0], corner[1], scale, panel.width, panel.height)

    @property
    def corners(self) -> Array:
        """Corners of what is shown, in the boat, `(4, 3)`."""
        u, v = self.half
        flat = np.array([(-u, -v), (u, -v), (u, v), (-u, v)])
        away = np.column_stack([flat + self.middle, np.full(4, self.cut.at)])
        found: Array = away @ self.cut.view.axes
        return found

    def drawn(self, mark: Array) -> str:
        """The panel, with a ring about a point of the boat."""
        beyond = list(self._beyond())
        found = [strokes([mesh_of(body) for _, body in beyond], self.camera, "#9aa6af", 0.7)]
        for role, body in beyond:
            if role:
                seen_area = seen(body, self.camera).project()
                found.append(area(seen_area, self.camera, f'fill="{COLOURS[role]}" fill-opacity="0.22"'))
        grey = 'fill="#ccd3d8" stroke="#7f8a92" stroke-width="0.7"'
        found += [
            area(_section(solid, self.cut.view, self.cut.at), self.camera, grey)
            for solid in self._near(self.about.rest)
        ]
        for role, section in self.cut.sections:
            style = f'fill="{COLOURS[role]}" fill-opacity="0.85" stroke="{COLOURS[role]}" stroke-width="1"'
            found.append(area(section, self.camera, style))
        found += [ring(self._place(mark)), scale_bar(self.camera, self.units)]
        return self.panel.framed("".join(found), self.cut.view.title)

    def _place(self, mark: Array) -> Array:
        found: Array = self.camera.to_paper(self.camera.to_view(mark[None]))[0]
        return found

    def _room(self) -> Array:
        """Least and greatest corner of what is looked at, in view coordinates `(2, 3)`."""
        u, v = (half + 20.0 for half in self.half)
        low = [self.middle[0] - u, self.middle[1] - v, self.cut.at - BEYOND]
        return np.array([low, [self.middle[0] + u, self.middle[1] + v, self.cut.at]])

    def _near(self, solids: tuple[Drawn, ...]) -> Iterator[Drawn]:
        """The solids whose boxes reach into the room."""
        low, high = self._room()
        corners = np.array(np.meshgrid(*np.stack([low, high], axis=1))).reshape(3, -1).T
        ends = corners @ self.cut.view.axes
        low, high = ends.min(axis=0), ends.max(axis=0)
        for solid in solids:
            if (solid.box[0] <= high).all() and (solid.box[1] >= low).all():
                yield solid

    def _beyond(self) -> Iterator[tuple[str, manifold3d.Manifold]]:
        """Role (none for the rest) and what of each solid lies in the room behind the cut."""
        low, high = self._room()
        cube = manifold3d.Manifold.cube(list(high - low)).translate(list(low))
        room = cube.transform(np.column_stack([self.cut.view.axes.T, np.zeros(3)]))
        named = [(role, solid) for role, solid in self.about.solids]
        rest = [("", solid) for solid in self._near(self.about.rest)]
        for role, solid in (*rest, *named):
            inside = solid.body ^ room
            if not inside.is_empty():
                yield role, inside


def _window(cut: Cut, panel: Panel, short: float | None) -> tuple[Array, tuple[float, float]]:
    """Middle and half sizes of what is shown, in view coordinates, mm.

    It holds what is cut of the pieces, as far as that lies near the place; where a gap is too small
    it is so close that it is seen.
    """
    place = (cut.view.axes @ cut.where)[:2]
    most = cut.most if short is None else float(np.clip(TIMES * short, LEAST, CLOSE))
    least = WIDE if short is None else LEAST
    bounds = [place, place]
    for role, section in cut.sections:
        if not section.is_empty() and role != "other":
            corners = np.array(section.bounds()).reshape(2, 2)
            bounds += list(np.clip(corners, place - most, place + most))
    low, high = np.min(bounds, axis=0), np.max(bounds, axis=0)
    shape = panel.height / panel.width
    reach = SPARE * (high - low) / 2.0
    half = float(np.clip(max(reach[0], reach[1] / shape), least, most))
    return (low + high) / 2.0, (half, half * shape)
