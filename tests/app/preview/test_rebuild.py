"""What is built again is what a fresh build gives, and only what changed travels."""

import json
from dataclasses import replace

import numpy as np
import pytest

from app.preview.pieces import shape_of, shown_pieces
from app.preview.rebuild import Rebuilder, read_source
from app.preview.wire import Known, Shown, whole
from cutlists.scene import items, scene_of
from model.boat import load_boat
from parts.faults import BadInput
from tests.app.preview.live import lake, pond


@pytest.fixture(scope="module")
def path(tmp_path_factory):
    return lake(tmp_path_factory.mktemp("lake"))


@pytest.fixture(scope="module")
def first(path):
    rebuilder = Rebuilder(read_source(path))
    boat = rebuilder.build({})
    rebuilder.keep_marks(boat)
    return rebuilder, boat, shown_pieces(boat, {}, rebuilder.hull_key)


def unpacked(data):
    """A block read by the words in the head of wire.py, not by the code that wrote it."""
    length = int.from_bytes(data[:4], "little")
    head, at = json.loads(data[4 : 4 + length]), 4 + length
    assert at % 4 == 0
    meshes = {}
    for row in head["pieces"]:
        if row["counts"]:
            points, faces = row["counts"]
            vertices = np.frombuffer(data, "<f4", points * 3, at).reshape(-1, 3)
            at += points * 12
            meshes[row["name"]] = vertices, np.frombuffer(data, "<u4", faces * 3, at).reshape(-1, 3)
            at += faces * 12
    assert at == len(data)
    return head, meshes


def test_a_rebuilt_boat_is_the_boat_of_a_fresh_build(first, path, tmp_path):
    rebuilder, _, before = first
    rebuilt = rebuilder.build({"front_deck": "21-1/4", "rod_face": "130"})
    again = lake(tmp_path)
    again.write_text(
        path.read_text().replace("front_deck: {value: 22,", "front_deck: {value: 21-1/4,")
        .replace("rod_face: {value: 135,", "rod_face: {value: 130,")
    )  # fmt: skip
    fresh = load_boat(again)
    assert rebuilt.signatures == fresh.signatures
    ours = shown_pieces(rebuilt, before, rebuilder.hull_key)
    theirs = {piece.name: piece.mesh for piece in scene_of(fresh).pieces}
    assert list(ours) == list(theirs)
    for name, mesh in theirs.items():
        if name == "hull":  # drawn by its inside
            continue
        mass_box = np.frombuffer(ours[name].mesh, "<f4", ours[name].counts[0] * 3).reshape(-1, 3)
        assert np.abs(mass_box.min(axis=0) - mesh.box[0]).max() < 0.5, name
        assert np.abs(mass_box.max(axis=0) - mesh.box[1]).max() < 0.5, name


MOVES = (
    {"sole": "11-1/4"},
    {"sole": "11-1/4", "aft_deck": "18"},
    {"rod_face": "128", "aft_deck": "18"},
    {"cockpit_aft": "35", "front_deck": "22-1/2"},
    {"side_deck": "16-1/2", "rod_turn": "62"},
    {"cockpit_forward": "110"},
    {"cockpit_forward": "113", "rod_edge": "13", "rod_back": "25-1/2"},
    {},
)


def test_a_row_of_rebuilds_gives_what_fresh_builds_give(path):
    """What decks and hulls remember from one boat to the next changes nothing in any of them."""
    source = read_source(path)
    rebuilder = Rebuilder(source)
    for values in MOVES:
        again = rebuilder.build(values)
        fresh = Rebuilder(source).build(values)
        assert again.signatures == fresh.signatures
        assert [str(finding) for finding in again.findings] == [str(finding) for finding in fresh.findings]
        for ours, theirs in zip(again.members, fresh.members, strict=True):
            assert ours.name == theirs.name
            assert np.abs(ours.a - theirs.a).max() < 1e-9
            assert np.abs(ours.b - theirs.b).max() < 1e-9
        assert [f"{j.member} {j.end} {j.gap:.6f}" for j in again.joints] == [
            f"{j.member} {j.end} {j.gap:.6f}" for j in fresh.joints
        ]
        for one, other in zip((*again.panels, *again.strips), (*fresh.panels, *fresh.strips), strict=True):
            assert one.name == other.name
            assert abs(one.mass - other.mass) < 1e-9
            assert np.abs(one.mesh().vertices - other.mesh().vertices).max() < 1e-9


def test_faults_of_a_deck_are_told_each_time(tmp_path):
    path = pond(tmp_path)
    rebuilder = Rebuilder(read_source(path))
    rebuilder.build({})
    told = []
    for _ in range(2):
        with pytest.raises(BadInput) as refused:
            rebuilder.build({"deck_aft": "129-1/2"})
        told.append(str(refused.value))
    assert told[0] == told[1]
    assert rebuilder.build({}).signatures


def test_the_hull_is_kept_until_something_it_is_made_from_changes(first, path):
    rebuilder, _boat, _ = first
    assert rebuilder.build({"sole": "11"}).hull is rebuilder.build({"front_deck": "21-1/2"}).hull
    other = Rebuilder(read_source(path))
    hull = other.build({}).hull
    survey = path.with_name("lake16-survey.csv")
    survey.write_text(survey.read_text() + "\n")
    other.source = read_source(path)
    assert other.build({}).hull is not hull


def test_a_hull_that_follows_a_dimension_is_made_anew(tmp_path):
    path = pond(tmp_path)
    path.write_text(path.read_text().replace("thickness: 0.1", "thickness: deck / 130"))
    rebuilder = Rebuilder(read_source(path))
    assert rebuilder.build({}).hull.thickness == pytest.approx(2.54)
    assert rebuilder.build({"deck": "12"}).hull.thickness == pytest.approx(12 / 130 * 25.4)


def test_a_page_is_sent_everything_once_and_then_only_what_changed(first):
    rebuilder, _boat, before = first
    known = Known()
    head, meshes = unpacked(known.missing(Shown(before, {"boat": '{"title":"x"}'})))
    assert set(meshes) == set(before)
    assert head["sections"] == {"boat": {"title": "x"}}
    assert known.missing(Shown(before, {"boat": '{"title":"x"}'})) is None

    moved = rebuilder.build({"aft_deck": "19"})
    after = shown_pieces(moved, before, rebuilder.hull_key)
    head, meshes = unpacked(known.missing(Shown(after, {"boat": '{"title":"x"}'})))
    assert head["sections"] == {}
    assert "hull" not in meshes
    # The front deck does not hang on the height of the aft deck.
    assert {name.split("/")[0] for name in meshes}.isdisjoint({"deck.front", "deck.sole", "console.helm"})
    assert any(name.startswith("deck.aft/") for name in meshes)
    for name, (vertices, faces) in meshes.items():
        assert np.isfinite(vertices).all()
        assert faces.max() < len(vertices), name


def test_marks_of_what_did_not_change_stay(first):
    rebuilder, boat, _ = first
    moved = rebuilder.build({"aft_deck": "19"})
    stayed = [name for name in boat.marks if boat.signatures[name] == moved.signatures.get(name)]
    assert len(stayed) > 50
    assert all(boat.marks[name] == moved.marks[name] for name in stayed)
    gone = {m for n, m in boat.marks.items() if n not in stayed} - {boat.marks[n] for n in stayed}
    new = {moved.marks[n] for n in moved.marks if n not in stayed}
    assert not (gone & new)


def test_a_page_that_lacks_all_gets_what_a_fresh_one_gets(first):
    _, _, before = first
    _head, meshes = unpacked(whole(Shown(before, {})))
    assert set(meshes) == set(before)


@pytest.mark.parametrize("name", ["lake16-survey.csv", "shop.yaml"])
def test_a_file_that_links_out_of_the_folder_is_refused(tmp_path, name):
    away = tmp_path / "away"
    away.mkdir()
    (away / "secret").write_text("station,side,line,half_breadth,height\n")
    inside = tmp_path / "inside"
    inside.mkdir()
    path = lake(inside)
    (inside / name).unlink()
    (inside / name).symlink_to(away / "secret")
    with pytest.raises(BadInput, match="leads away"):
        read_source(path)


def test_a_hole_that_is_drilled_elsewhere_makes_the_member_travel(first):
    """Holes are no part of a member's cuts; a page must see them all the same."""
    _, boat, _ = first
    drilled = next(member for member in boat.members if member.holes)
    item = next(item for item in items(boat) if item.name == drilled.name)
    (hole, *rest) = drilled.holes
    moved = replace(drilled, holes=(replace(hole, along=hole.along + 5.0), *rest))
    assert shape_of(replace(item, record=moved), "") != shape_of(item, "")
    assert shape_of(replace(item, record=replace(drilled)), "") == shape_of(item, "")
