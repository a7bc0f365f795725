"""Areas of faces in boats that are square all over, by hand and by trimesh."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
import trimesh

from model.coverings.areas import face_areas
from model.coverings.painted import coverings_of
from model.mat.build import mat_of
from model.member_mesh import member_meshes
from parts.faults import BadInput
from tests.model.boats import DECK, DEPTH, FLARE, FLARED, HALF, LENGTH, build

HOLE = {"aft": 1300, "length": 400, "starboard": -200, "port": 200, "lid": {"flange": 20}}
SYSTEM = {"paint": {"tops": {"on": ["deck.main"], "faces": "front"}}}


def painted_boat(finish=None, mat=None, **sections):
    deck = {**DECK, "openings": {"hole": HOLE}}
    more = {} if mat is None else {"mat": mat}
    return build(decks={"main": deck}, finish=SYSTEM if finish is None else finish, **more, **sections)


@pytest.fixture(scope="module")
def boat():
    return painted_boat(mat={})


def faces(boat, piece, face):
    return next(f for f in face_areas(boat) if (f.piece, f.face) == (piece, face))


def test_hull_inside_by_hand():
    # a box: bottom, two sides, transom and bow are flat; the ends belong to no skin between stations
    found = faces(build(decks={"main": DECK}), "hull", "all")
    assert found.whole == pytest.approx(LENGTH * (2 * HALF + 2 * DEPTH), rel=1e-6)
    leaned = faces(build(hull=FLARED, decks={"main": DECK}), "hull", "all")
    side = DEPTH * np.hypot(1.0, FLARE)
    assert leaned.whole == pytest.approx(LENGTH * (2 * 500.0 + 2 * side), rel=1e-6)


def test_what_of_the_hull_lies_above_the_deck():
    above = faces(build(decks={"main": DECK}), "hull.above", "all")
    sides = 2 * (2800.0 - 200.0) * (DEPTH - 300.0)
    ends = (LENGTH - 2600.0) * (2 * HALF + 2 * DEPTH)
    # told by rows of the skin 60 mm apart: the last row along each end of the deck may count either way
    assert above.whole == pytest.approx(sides + ends, rel=0.12)


def test_tube_all_round_against_its_mesh(boat):
    whole = [m for m in boat.members if not m.is_cut_away]
    filled = [replace(m, section=replace(m.section, holes=())) for m in whole]
    for member, mesh in zip(whole, member_meshes(filled), strict=True):
        body = trimesh.Trimesh(mesh.vertices, mesh.faces)
        ends = np.zeros(len(body.faces), dtype=bool)
        for end in (member.end_a, member.end_b):
            ends |= np.abs(body.face_normals @ end.normal) > 1.0 - 1e-9
        along = float(body.area_faces[~ends].sum())
        assert faces(boat, member.name, "all").whole == pytest.approx(along, rel=2e-3)


def test_frame_under_a_deck_is_hidden_where_it_touches(boat):
    # the tops of all members that lie at the underside of the sheet, from their own footprints
    names = [p.name for p in boat.panels if p.role == "deck"]
    back = sum(faces(boat, name, "back").hidden for name in names)
    tops = []
    for member in boat.members:
        box = trimesh.Trimesh(*mesh_of(member)).bounds
        if abs(box[1, 2] - 298.0) < 0.3 and np.ptp(box[:, 2]) < 60.0:
            flat = mesh_of(member)[0]
            top = flat[flat[:, 2] > 297.9]
            tops.append(shapely.MultiPoint(top[:, :2]).convex_hull)
    sheet = shapely.union_all([
        shapely.Polygon(p.frame.to_boat(p.outline.polyline(0.05))[:, :2],
                        [p.frame.to_boat(h.polyline(0.05))[:, :2] for h in p.holes])
        for p in boat.panels if p.role == "deck"
    ])  # fmt: skip
    wanted = shapely.union_all(tops).intersection(sheet).area
    # corners of the tubes are round here: 0.6 mm down their side counts as touching
    assert back == pytest.approx(wanted, rel=0.12)


def mesh_of(member):
    (mesh,) = member_meshes([replace(member, section=replace(member.section, holes=()))])
    return mesh.vertices, mesh.faces


def test_mat_is_taken_off_the_front_only(boat):
    pieces = mat_of(boat, boat.mat).pieces
    deck = sum(piece.area for piece in pieces if piece.kind == "deck")
    names = [p.name for p in boat.panels if p.role == "deck"]
    front = [faces(boat, name, "front") for name in names]
    assert sum(face.matted for face in front) == pytest.approx(deck, rel=1e-3)
    assert all(faces(boat, name, "back").matted == 0.0 for name in names)
    for face in front:
        assert face.bare == pytest.approx(face.whole - face.matted - face.hidden)
    assert coverings_of(boat).mat == pytest.approx(sum(piece.area for piece in pieces))
    lid = faces(boat, "deck.main/hole/lid", "front")
    assert lid.whole == pytest.approx(440.0 * 440.0, rel=1e-6)
    assert lid.matted == pytest.approx(sum(p.area for p in pieces if p.kind == "lid"), rel=1e-9)


def test_what_is_painted_follows_names_and_faces():
    plain = painted_boat({"paint": {"a": {"on": ["sheet"]}, "b": {"on": ["sheet"], "faces": "back"}}})
    both, back = coverings_of(plain).painted
    assert back.area == pytest.approx(
        sum(f.bare for f in face_areas(plain) if f.face == "back" and f.kind == "sheet")
    )
    assert both.area > back.area > 0.0
    some = painted_boat({"paint": {"a": {"on": ["frame", "lids"], "leave_out": ["deck.main/hole"]}}})
    kinds = {face.kind for face in coverings_of(some).painted[0].faces}
    assert kinds == {"frame"}
    assert not any(face.piece.startswith("deck.main/hole") for face in coverings_of(some).painted[0].faces)
    whole = painted_boat({"paint": {"a": {"on": ["hull", "hull.above"]}}})
    assert [face.piece for face in coverings_of(whole).painted[0].faces] == ["hull"]


def test_nothing_is_painted_unless_asked():
    found = coverings_of(build(decks={"main": DECK}))
    assert (found.painted, found.mat, found.adhesive) == ((), 0.0, "")


@pytest.mark.parametrize(
    ("finish", "key", "told"),
    [
        ({"paint": {"a": {"on": ["deck.mane"]}}}, "finish.paint.a.on", "there is no surface 'deck.mane'"),
        ({"paint": {"a": {"on": ["sheet"], "paint": ""}}}, "finish.paint.a", "painted with nothing"),
        ({"adhesive": "contact"}, "finish.adhesive", "there is no mat to glue"),
        ({"paint": {"a": {"on": []}}}, "finish.paint.a.on", ""),
        ({"paint": {"a": {"on": ["sheet"], "coats": 0}}}, "finish.paint.a.coats", ""),
    ],
)
def test_bad_input_is_told(finish, key, told):
    with pytest.raises(BadInput) as error:
        painted_boat(finish)
    fault = next(fault for fault in error.value.faults if fault.place.key.startswith(key))
    assert told in fault.wrong
