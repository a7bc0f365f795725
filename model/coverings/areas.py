"""True areas of every face of a boat that a brush can reach: sheet, tube, hull; contact and mat taken off."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

import numpy as np
import shapely
from shapely import affinity

from model.clearance.bodies import Body, boat_bodies
from model.coverings.contact import on_face
from model.hull_grid import skin_grid
from model.mat.build import mat_of
from model.mat.piece import MatPiece
from model.shadow import areas_of

if TYPE_CHECKING:
    from model.boat import Boat
    from model.panel import Panel

SAME_PLANE = 0.6
"""Mat this near to a face's plane, mm, lies on it."""
SPACING = 60.0
"""Rows of places on the skin at which it is asked whether a deck lies over them, mm apart."""


@dataclass(frozen=True)
class FaceArea:
    """One face of one piece.

    Attributes:
        piece: its name; `hull` or `hull.above` for the hull's inside.
        kind: `sheet`, `frame`, `hull` or `lid`.
        face: `front`, `back` or `all`.
        whole: its area, holes taken out, mm2.
        hidden: under pieces that lie on it, mm2.
        matted: under mat, mm2.
    """

    piece: str
    kind: str
    face: str
    whole: float
    hidden: float = 0.0
    matted: float = 0.0

    @property
    def bare(self) -> float:
        """What is left to paint, mm2."""
        return max(self.whole - self.hidden - self.matted, 0.0)


_MADE: WeakKeyDictionary[Boat, tuple[FaceArea, ...]] = WeakKeyDictionary()
"""Faces of the boats that are still in use."""


def face_areas(boat: Boat) -> tuple[FaceArea, ...]:
    """Every face: sheet front and back, tube all round, the hull's inside, lids made to order.

    Edges of sheet and the insides of tubes are not counted.
    """
    if boat not in _MADE:
        mats = () if boat.mat is None else mat_of(boat, boat.mat).pieces
        sheets = list(_sheets(boat, mats))
        tubes, lids = _tubes(boat, sheets), _lids(boat, mats)
        _MADE[boat] = (*(face for face, _ in sheets), *tubes, *lids, *_hull(boat))
    return _MADE[boat]


def _sheets(boat: Boat, mats: Sequence[MatPiece]) -> Iterator[tuple[FaceArea, float]]:
    """Each face of sheet, with what of it members lie on, mm2."""
    bodies = [body for body in boat_bodies(boat) if body.kind in ("member", "sheet")]
    for panel in boat.panels:
        near = _near(panel, bodies)
        for face in ("front", "back"):
            polygon = panel.polygon
            hidden = areas_of(on_face(panel, face == "front", near).intersection(polygon))
            mat = _mat_on(panel, mats) if face == "front" else shapely.Polygon()
            matted = areas_of(mat.intersection(polygon)).difference(hidden)
            members = [body for body in near if body.kind == "member"]
            metal = on_face(panel, face == "front", members).intersection(polygon)
            yield (
                FaceArea(panel.name, "sheet", face, panel.area, float(hidden.area), float(matted.area)),
                float(metal.area),
            )
    for strip in boat.strips:
        for face in ("front", "back"):
            yield FaceArea(strip.name, "sheet", face, strip.area), 0.0


def _near(panel: Panel, bodies: Sequence[Body]) -> list[Body]:
    low, high = panel.box
    return [
        body
        for body in bodies
        if body.name != panel.name
        and any((s.box[0] <= high + 1.0).all() and (s.box[1] >= low - 1.0).all() for s in body.solids)
    ]


def _mat_on(panel: Panel, mats: Sequence[MatPiece]) -> shapely.geometry.base.BaseGeometry:
    """Mat on the front of a panel, in the panel's x, y."""
    frame = panel.frame
    found = []
    for piece in mats:
        own = piece.frame
        if (
            float(own.z @ frame.z) < 1.0 - 1e-6
            or abs(float(frame.z @ (own.origin - frame.origin))) > SAME_PLANE
        ):
            continue
        turn = np.array([[own.x @ frame.x, own.y @ frame.x], [own.x @ frame.y, own.y @ frame.y]])
        step = frame.to_frame(own.origin)[:2]
        found.append(affinity.affine_transform(piece.polygon, [*turn.ravel(), *step]))
    return shapely.union_all(found) if found else shapely.Polygon()


def _tubes(boat: Boat, sheets: Sequence[tuple[FaceArea, float]]) -> Iterator[FaceArea]:
    """Tube all round: its girth times its length, less ends of others and sheet that lie on it.

    A member cut by slanting planes has the area of one cut square at the middle of its ends, as it has the
    volume. What sheet hides of all members together is shared among those of its deck or locker by length.
    """
    hidden: dict[str, float] = defaultdict(float)
    for joint in boat.joints:
        if joint.other is not None:
            member = next((m for m in boat.members if m.name == joint.member), None)
            if member is not None:
                hidden[joint.other] += member.section.width * member.section.height
    whole = [m for m in boat.members if not m.is_cut_away]
    lengths = {m.name: m.volume / m.section.area for m in whole}
    total = sum(lengths.values())
    metal = sum(area for _, area in sheets)
    for member in whole:
        area = member.section.outer.perimeter * lengths[member.name]
        under = hidden[member.name] + metal * lengths[member.name] / total
        yield FaceArea(member.name, "frame", "all", area, min(under, area))


def _lids(boat: Boat, mats: Sequence[MatPiece]) -> Iterator[FaceArea]:
    """Lids made of sheet: their plate on both sides, mat on top taken off."""
    for fixture in boat.fixtures:
        if fixture.kind == "lid" and fixture.part is None:
            plate = fixture.prisms[0]
            matted = sum(piece.area for piece in mats if piece.surface == fixture.name)
            yield FaceArea(fixture.name, "lid", "front", plate.area, 0.0, matted)
            yield FaceArea(fixture.name, "lid", "back", plate.area)


def _hull(boat: Boat) -> Iterator[FaceArea]:
    """The inside of the skin, and of it what lies above the decks."""
    points = skin_grid(boat.hull, SPACING).points
    a, b, c, d = points[:-1, :-1], points[1:, :-1], points[1:, 1:], points[:-1, 1:]
    triangles = np.concatenate([np.stack(t, axis=2).reshape(-1, 3, 3) for t in ((a, b, c), (a, c, d))])
    p, q, r = np.moveaxis(triangles, 1, 0)
    area = np.sqrt((np.cross(q - p, r - p) ** 2).sum(axis=1)) / 2.0
    x, y, z = triangles.mean(axis=1).T
    below = np.zeros(len(area), dtype=np.bool_)
    for deck in boat.layout.decks.values():
        if deck.name.startswith("deck."):
            top = deck.frame.origin[2] + x * deck.frame.x[2] / deck.frame.x[0]
            # a deck stops a gap short of the skin
            wide = deck.plan_area().buffer(deck.hull_gap + SPACING / 2.0)
            below |= shapely.contains_xy(wide, x, y) & (z < top)
    yield FaceArea("hull", "hull", "all", float(area.sum()))
    yield FaceArea("hull.above", "hull", "all", float(area[~below].sum()))
