"""The demo boats as built: no metal in metal, joints closed, ends clear of the skin, decks borne.

Judged by the CAD kernel (common volumes, distances) and by shapely on footprints taken from the members'
meshes, not by what the framing itself reports.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from OCP.BRep import BRep_Tool
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeVertex
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.BRepGProp import BRepGProp
from OCP.gp import gp_Pnt
from OCP.GProp import GProp_GProps
from OCP.TopAbs import TopAbs_FACE, TopAbs_VERTEX
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS
from shapely import MultiPoint
from shapely.geometry.base import BaseGeometry

from model.boat import Boat, Joint, load_boat
from model.geometry import Array, Plane
from model.layout.records import DeckPlan
from model.member import Member
from model.member_mesh import member_meshes
from model.member_solid import member_solid

CONFIGS = Path(__file__).parents[2] / "configs"
BOATS = ("lake16", "flat14", "vee18")

MOST_COMMON = 1.0
"""mm3 two members may share: arithmetic of the kernel, no metal."""

MOST_GAP = 0.5
"""mm an end may stand off what it is welded to."""

MOST_OVERHANG = 63.5
"""mm of sheet beyond the ledger: an inch deep over a bottom of 17 degrees it stands some 2-1/2 in. in."""

each_boat = pytest.mark.parametrize("name", BOATS)


@cache
def boat_of(name: str) -> Boat:
    return load_boat(CONFIGS / f"{name}.yaml")


@cache
def solids_of(name: str) -> dict[str, Any]:
    return {m.name: member_solid(m) for m in boat_of(name).members}


@cache
def corners_of(name: str) -> dict[str, Array]:
    """All corners of each member's mesh, `(n, 3)`."""
    members = boat_of(name).members
    return {m.name: made.vertices for m, made in zip(members, member_meshes(members), strict=True)}


@cache
def members_of(name: str) -> dict[str, Member]:
    return {m.name: m for m in boat_of(name).members}


@each_boat
def test_builds_without_findings(name: str) -> None:
    assert boat_of(name).findings == ()


def test_the_main_demo_has_its_members() -> None:
    assert len(boat_of("lake16").members) >= 120


# --- metal and joints


@each_boat
def test_no_two_members_share_metal(name: str) -> None:
    members, solids = boat_of(name).members, solids_of(name)
    boxes = np.array([m.box for m in members])
    shared = {}
    for i, member in enumerate(members):
        meets = (boxes[i, 0] < boxes[i + 1 :, 1] - 1e-3) & (boxes[i, 1] > boxes[i + 1 :, 0] + 1e-3)
        for j in np.flatnonzero(meets.all(axis=1)) + i + 1:
            common = BRepAlgoAPI_Common(solids[member.name], solids[members[j].name]).Shape()
            volume = GProp_GProps()
            BRepGProp.VolumeProperties_s(common, volume)
            if volume.Mass() >= MOST_COMMON:
                shared[member.name, members[j].name] = volume.Mass()
    assert not shared


@each_boat
def test_every_end_touches_what_it_is_joined_to(name: str) -> None:
    """The kernel's distance from each end's face to the other member, and what of the face lies on it."""
    members, solids = members_of(name), solids_of(name)
    apart, loose = {}, {}
    for joint in boat_of(name).joints:
        if joint.kind not in ("corner", "tee", "post"):
            continue
        assert joint.other is not None
        face, corners = _end_face(solids[joint.member], _end_plane(members[joint.member], joint))
        other = solids[joint.other]
        gap = BRepExtrema_DistShapeShape(face, other).Value()
        if gap >= MOST_GAP:
            apart[joint.member, joint.end] = gap
        on = [BRepExtrema_DistShapeShape(c, other).Value() < MOST_GAP for c in corners]
        if sum(on) < 2 and not _is_on_axis(joint, other):
            loose[joint.member, joint.end] = sum(on)
    assert not apart
    assert not loose


def _end_plane(member: Member, joint: Joint) -> Plane:
    return member.end_a if joint.end == "A" else member.end_b


def _end_face(solid: Any, plane: Plane) -> tuple[Any, list[Any]]:
    """The face of a solid that lies in a plane, and its corners."""
    faces = TopExp_Explorer(solid, TopAbs_FACE)
    while faces.More():
        face = TopoDS.Face_s(faces.Current())
        corners = _vertices(face)
        at = np.array([[p.X(), p.Y(), p.Z()] for p in map(BRep_Tool.Pnt_s, corners)])
        if np.abs(plane.height(at)).max() < 1e-3:
            return face, corners
        faces.Next()
    raise AssertionError("no face lies in the end's plane")


def _vertices(shape: Any) -> list[Any]:
    found, walk = [], TopExp_Explorer(shape, TopAbs_VERTEX)
    while walk.More():
        found.append(TopoDS.Vertex_s(walk.Current()))
        walk.Next()
    return found


def _is_on_axis(joint: Joint, other: Any) -> bool:
    vertex = BRepBuilderAPI_MakeVertex(gp_Pnt(*map(float, joint.point))).Vertex()
    return bool(BRepExtrema_DistShapeShape(vertex, other).Value() < MOST_GAP)


# --- the hull


@each_boat
def test_ends_at_the_hull_clear_it_by_the_fit_gap(name: str) -> None:
    boat, members = boat_of(name), members_of(name)
    ends = [j for j in boat.joints if j.kind == "hull"]
    assert ends
    for joint in ends:
        member = members[joint.member]
        gaps = boat.hull.gap(_end_outline(member, _end_plane(member, joint)))
        assert gaps.min() >= boat.layout.fit_gap - 0.05, joint
        assert joint.gap == pytest.approx(gaps.min(), abs=0.05)
        assert joint.widest == pytest.approx(gaps.max(), abs=0.5)


def _end_outline(member: Member, plane: Plane) -> Array:
    """Points round the end of a tube, 1 mm apart or nearer, by running lines along the tube to the plane."""
    frame = member.frame
    corners = member.section.outer.polyline()
    share = np.linspace(0.0, 1.0, 60, endpoint=False)[:, None, None]
    ring = (corners + share * (np.roll(corners, -1, axis=0) - corners)).reshape(-1, 2)
    start = frame.origin + ring[:, :1] * frame.y + ring[:, 1:] * frame.z
    travel = -plane.height(start) / float(plane.normal @ frame.x)
    found: Array = start + travel[:, None] * frame.x
    return found


@each_boat
def test_the_whole_frame_stands_clear_of_the_skin(name: str) -> None:
    boat = boat_of(name)
    for member, corners in corners_of(name).items():
        below = corners[corners[:, 2] < _gunwale(boat, corners[:, 0])]
        if len(below):
            assert boat.hull.gap(below, ends=True).min() >= boat.layout.fit_gap - 0.1, member


def _gunwale(boat: Boat, x: Array) -> Array:
    top = boat.hull.lines[-1]
    found: Array = np.minimum(*(boat.hull.line(top, x, side)[:, 2] for side in ("port", "starboard")))
    return found


# --- decks and openings


@cache
def footprints_of(name: str, deck: str) -> dict[str, BaseGeometry]:
    """What each member of a deck's frame covers in the deck's plane, by name; posts apart."""
    plan = boat_of(name).layout.decks[deck]
    return {
        member: MultiPoint(plan.frame.to_frame(corners)[:, :2]).convex_hull
        for member, corners in corners_of(name).items()
        if member.startswith(f"{deck}/") and "/post." not in member
    }


def decks_of(name: str) -> list[DeckPlan]:
    return list(boat_of(name).layout.decks.values())


@each_boat
def test_openings_are_clear_of_the_frame_and_framed_all_round(name: str) -> None:
    for deck in decks_of(name):
        feet = footprints_of(name, deck.name)
        frame = shapely.union_all(list(feet.values()))
        for opening in deck.openings:
            for member, foot in feet.items():
                assert opening.clear.intersection(foot).area < 1.0, (opening.name, member)
            ring = np.array(opening.clear.segmentize(10.0).exterior.coords)
            off = shapely.distance(frame, shapely.points(ring))
            assert off.max() <= 2.0 * deck.rules.section.width, (opening.name, off.max())


@each_boat
def test_no_member_stands_in_an_opening_or_its_lid(name: str) -> None:
    """Every member of the boat, seen from above, that reaches within a lid's depth of its deck."""
    for deck in decks_of(name):
        for opening in deck.openings:
            depth = deck.sheet.thickness + (-opening.lid.bottom if opening.lid else 0.0)
            for member, corners in corners_of(name).items():
                local = deck.frame.to_frame(corners)
                if local[:, 2].min() < -0.01 and local[:, 2].max() > -depth:
                    foot = MultiPoint(local[:, :2]).convex_hull
                    assert opening.polygon.intersection(foot).area < 1.0, (opening.name, member)


@each_boat
def test_free_edges_lie_on_members(name: str) -> None:
    """Edges that do not follow the hull lie on a member, or off it by the thickness of the riser below.

    Left out are their last stretches beside a flaring side, where the ledger below stands further in.
    """
    for deck in decks_of(name):
        thick = max((riser.sheet.thickness for riser in deck.risers), default=0.0) / float(deck.frame.x[0])
        lean = (deck.sheet.thickness + deck.rules.section.height) * abs(float(deck.frame.x[2]))
        border = border_of(deck)
        on_free = shapely.distance(free_edges(deck), border) < 1e-3
        beside = shapely.distance(hull_side(deck), border) < MOST_OVERHANG
        off = shapely.distance(frame_of(name, deck), border[on_free & ~beside])
        assert len(off) > 10
        assert off.max() <= 1.5 * thick + lean + 0.1, deck.name  # 1.4 thick at a corner of two risers


@each_boat
def test_edges_along_the_hull_lie_near_a_ledger(name: str) -> None:
    for deck in decks_of(name):
        border = border_of(deck)
        assert shapely.distance(frame_of(name, deck), border).max() <= MOST_OVERHANG, deck.name


@each_boat
def test_seams_lie_on_members(name: str) -> None:
    """Where two sheets of a deck face each other across a seam there is a member below both."""
    boat = boat_of(name)
    for deck in decks_of(name):
        sheets = [p for p in boat.panels if p.name.startswith(f"{deck.name}/sheet.")]
        shapes = [p.outline.to_shapely() for p in sheets]
        borne = frame_of(name, deck).buffer(0.1).union(hull_side(deck).buffer(MOST_OVERHANG))
        for i, shape in enumerate(shapes):
            for other in shapes[i + 1 :]:
                seam = shape.buffer(boat.layout.seam_gap + 0.1).intersection(other)
                assert seam.difference(borne).area < 1.0, deck.name


def frame_of(name: str, deck: DeckPlan) -> Any:
    return shapely.union_all(list(footprints_of(name, deck.name).values()))


def border_of(deck: DeckPlan) -> Any:
    """Points along the outline of a deck's sheet, 10 mm apart or nearer."""
    return shapely.points(np.array(deck.area.segmentize(10.0).exterior.coords))


def free_edges(deck: DeckPlan) -> Any:
    lines = [shapely.LineString(edge.run_on()) for edge in deck.edges.values() if edge.points is not None]
    return shapely.union_all(lines)


def hull_side(deck: DeckPlan) -> Any:
    """The part of a deck's outline that follows the hull."""
    return deck.area.exterior.difference(free_edges(deck).buffer(0.01))


# --- spans


@each_boat
def test_no_patch_of_sheet_spans_further_than_the_rule(name: str) -> None:
    """Through any point the sheet is borne within the rule: fore and aft, athwart, or at 45 degrees."""
    for deck in decks_of(name):
        openings = shapely.union_all([o.polygon for o in deck.openings])
        bare = deck.area.difference(frame_of(name, deck).union(openings))
        bare = bare.buffer(-4.0).buffer(4.0)  # without the rim of sheet over the thickness of a riser
        u0, v0, u1, v1 = bare.bounds
        grid = np.stack(np.meshgrid(np.arange(u0, u1, 60.0), np.arange(v0, v1, 60.0)), -1).reshape(-1, 2)
        for u, v in grid[shapely.contains_xy(bare, grid)]:
            ways = 1e4 * np.array([(1.0, 0.0), (0.0, 1.0), (1.0, 1.0), (1.0, -1.0)])
            lines = (shapely.LineString([(u - x, v - y), (u + x, v + y)]) for x, y in ways)
            spans = [_clear_length(bare, line, shapely.Point(u, v)) for line in lines]
            assert min(spans) <= deck.rules.beam_span + 0.1, (deck.name, u, v)


def _clear_length(shape: Any, line: Any, point: Any) -> float:
    cut = shape.intersection(line)
    parts = getattr(cut, "geoms", [cut])
    return float(min(part.length for part in parts if part.distance(point) < 1e-3))


@each_boat
def test_posts_stand_no_further_apart_than_the_rule(name: str) -> None:
    """Along rims, headers, beams and added members, from end to post to post to end, clear of the ends."""
    members = members_of(name)
    posts = [j for j in boat_of(name).joints if j.kind == "post"]
    for deck in decks_of(name):
        for bar in footprints_of(name, deck.name) if deck.rules.posts else ():
            if bar.rpartition("/")[2].startswith(("ledger", "carling", "frame", "tie")):
                continue
            member = members[bar]
            along = (corners_of(name)[bar] - member.a) @ member.axis
            under = sorted(float((j.point - member.a) @ member.axis) for j in posts if j.other == bar)
            gaps = np.diff([along.min(), *under, along.max()])
            assert gaps.max() <= deck.rules.post_span + 2.0 * member.section.width, bar
