"""Drilled tube: numbers, mesh, kernel solid, marks and saw list tell of the same piece."""

import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh

from cutlists.saw_list import drill_marks, saw_list
from cutlists.saw_tables import records, saw_text
from cutlists.twins import motion_between, twins
from model.geometry import Array, Plane
from model.hole import Hole
from model.marks import assign_marks
from model.member import Member
from model.member_mesh import member_mesh
from model.member_table import MemberTable
from model.mesh import Faces, Mesh
from model.sameness import forms, read_form, signatures
from parts.catalogue import starter
from parts.section import Section

SECTIONS = starter().sections
TUBE, SQUARE = SECTIONS["rect-1x2x0.125"], SECTIONS["square-1x1x0.125"]
LOW = Hole(120.0, -12.0, "width", 19.05)
DOWN = Hole(300.0, 2.0, "height", 10.0)


def tube(
    name: str = "beam",
    holes: tuple[Hole, ...] = (LOW, DOWN),
    section: Section = TUBE,
    turn: float = 0.3,
    skew: float = 0.35,
) -> Member:
    direction = np.array([math.cos(turn), math.sin(turn), 0.15])
    a = np.array([200.0, -150.0, 80.0])
    b = a + 480.0 * direction
    end = Plane.through(b, direction + skew * np.array([0.0, 0.6, 0.5]))
    return replace(Member.along(name, section, a, b, end_b=end), holes=tuple(holes))


def _parts(mesh: Mesh) -> tuple[Array, Faces]:
    return mesh.vertices, mesh.faces


def test_mesh_of_a_drilled_tube_is_closed_and_weighs_what_the_closed_forms_say() -> None:
    # trimesh judges; its area of a round hole lies within that of a polygon of 0.05 mm sagitta
    member = tube()
    mesh = member_mesh(member)
    judged = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    assert judged.is_watertight
    assert judged.is_winding_consistent
    plain = member_mesh(tube(holes=())).volume
    assert judged.volume < plain
    assert plain - judged.volume == pytest.approx(member.drilled_out, rel=0.02)
    assert judged.center_mass == pytest.approx(member.centre, abs=0.05)


def test_kernel_takes_the_same_metal_out() -> None:
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    from model.member_solid import member_solid

    for section in (TUBE, SQUARE):
        hole = Hole(120.0, -section.height / 2 + section.wall + 6.45, "width", 12.7)
        member = tube(section=section, holes=(hole,))
        props = GProp_GProps()
        BRepGProp.VolumeProperties_s(member_solid(member), props)
        assert props.Mass() == pytest.approx(member.volume, rel=1e-6)
        centre = props.CentreOfMass()
        assert (centre.X(), centre.Y(), centre.Z()) == pytest.approx(tuple(member.centre), abs=1e-4)


def test_tables_of_many_agree_with_each_piece() -> None:
    members = [tube("a"), tube("b", holes=()), tube("c", holes=(LOW,), section=TUBE, turn=1.1)]
    table = MemberTable(members)
    assert table.mass == pytest.approx([m.mass for m in members])
    assert table.volume == pytest.approx([m.volume for m in members])
    assert table.centre == pytest.approx(np.array([m.centre for m in members]))
    assert members[0].mass < members[1].mass


def test_pieces_that_differ_by_holes_only_have_marks_of_their_own() -> None:
    turned = tube("turned").moved(np.array([[0.0, -1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]]), (5, 6, 7))
    members = [
        tube("plain", holes=()),
        tube("drilled"),
        replace(turned, name="turned"),
        tube("moved", holes=(replace(LOW, along=121.0), DOWN)),
        tube("wide", holes=(replace(LOW, diameter=20.0), DOWN)),
    ]
    told = signatures(members)
    marks = assign_marks(told, "F")
    assert marks["drilled"] == marks["turned"]
    assert len({marks[m.name] for m in members}) == 4


def test_a_square_end_tube_end_for_end_and_on_its_next_face_is_one_piece() -> None:
    a, b = (0.0, 0.0, 0.0), (500.0, 0.0, 0.0)
    one = replace(Member.along("one", SQUARE, a, b), holes=(Hole(100.0, -3.0, "width", 12.0),))
    other = replace(Member.along("other", SQUARE, a, b), holes=(Hole(400.0, 3.0, "height", 12.0),))
    third = replace(Member.along("third", SQUARE, a, b), holes=(Hole(180.0, -3.0, "width", 12.0),))
    told = signatures([one, other, third])
    assert told["one"] == told["other"] != told["third"]
    motion = motion_between(one, other)
    assert motion is not None
    carried = motion.carried(one.frame.to_boat(one.holes[0].middle))
    assert carried == pytest.approx(other.frame.to_boat(other.holes[0].middle))
    assert motion_between(one, third) is None
    marks = assign_marks(told, "F")
    assert [first.name for _, first, _ in twins([one, other, third], marks)] == ["one", "one", "third"]


def test_the_mirror_image_carries_its_holes() -> None:
    member = tube()
    image = member.mirrored("image")
    flip = np.array([1.0, -1.0, 1.0])
    for hole, twin in zip(member.holes, image.holes, strict=True):
        assert image.frame.to_boat(twin.middle) == pytest.approx(flip * member.frame.to_boat(hole.middle))
    assert forms([image])[0].is_same(forms([member])[0].mirrored)
    assert not forms([image])[0].is_same(forms([member])[0])
    # square ends are their own mirror image only while no hole tells the ends apart and lies off the middle
    straight = replace(Member.along("s", TUBE, (0, 0, 0), (400, 0, 0)), holes=(LOW, DOWN))
    assert not forms([straight])[0].is_own_mirror
    assert forms([replace(straight, holes=(LOW,))])[0].is_own_mirror


def test_signature_of_a_drilled_piece_is_read_back() -> None:
    form = forms([tube()])[0]
    back = read_form(form.text, SECTIONS)
    assert back is not None
    assert back.is_same(form)
    assert len(back.holes) == 2
    told = signatures([tube()], known=[form.text])
    assert told["beam"] == form.text
    for text in (f"{form.text};1,2", f"{form.text};a,b,c,d,e,f", form.text.replace(";", "|", 1)):
        assert read_form(text, SECTIONS) is None


def test_holes_past_the_flats_are_refused() -> None:
    assert LOW.fits(TUBE)
    assert DOWN.fits(TUBE)
    assert not Hole(100.0, -16.0, "width", 19.05).fits(TUBE)
    low = -TUBE.height / 2 + TUBE.wall + 5.0
    assert not Hole(100.0, low, "width", 10.0).fits(TUBE)  # it would touch the wall below
    near = tube(holes=(Hole(100.0, low + 0.06, "width", 10.0),))
    assert trimesh.Trimesh(*_parts(member_mesh(near)), process=False).is_watertight
    with pytest.raises(ValueError, match="flats"):
        member_mesh(tube(holes=(Hole(100.0, -16.0, "width", 19.05),)))


def test_saw_list_tells_where_to_drill() -> None:
    member = tube()
    saw = saw_list([member], {"beam": "F1"})
    marks = drill_marks(member)
    start = float(member.prism.near_long[0])
    assert [m.from_a for m in marks] == pytest.approx([120.0 - start, 300.0 - start])
    assert marks[0].edge == "bottom"
    assert marks[0].from_edge == pytest.approx(25.4 - 12.0)
    assert marks[1].edge == "right"
    assert marks[1].from_edge == pytest.approx(12.7 + 2.0)
    row = records(saw)[0]
    assert row["holes"].count("from A") == 2
    assert '3/4"' in row["holes"]
    text = "\n".join(line.plain for line in saw_text(saw))
    assert "drill" in text
    assert max(map(len, text.splitlines())) <= 100


def test_holes_are_drawn_where_they_are_and_never_broken_out() -> None:
    from cutlists.piece_drawing import SIDE_ROOM, WIDTH, piece_svg
    from cutlists.piece_views import Stretch

    long = replace(Member.along("long", TUBE, (0, 0, 0), (2400, 0, 0)), holes=(replace(LOW, along=1300.0),))
    row = saw_list([long], {"long": "F1"}).rows[0]
    stretch = Stretch.of(row, SIDE_ROOM, WIDTH - SIDE_ROOM)
    assert len(stretch.cuts) == 2
    assert all(not a < 1300.0 < b for a, b in stretch.cuts)
    assert stretch.page(0.0) == pytest.approx(SIDE_ROOM)
    assert stretch.page(2400.0) == pytest.approx(WIDTH - SIDE_ROOM)
    places = [stretch.page(x) for x in np.linspace(0.0, 2400.0, 97)]
    assert places == sorted(places)
    told = piece_svg(row)
    assert told.count('class="drilled"') == 1
    assert told.count('class="hidden"') == 2
    assert 'drill 3/4" at 51-3/16" from A' in told
