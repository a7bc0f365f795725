"""Closed forms of members held against the CAD kernel's own boundary of the same records."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from model import member_solid
from model.end_cut import saw_angles
from model.geometry import Plane
from model.member import Member
from model.member_table import MemberTable
from parts.sections import rect_tube
from tests.model import kernel_measure
from tests.model.member_samples import ALLOY, SECTIONS, TUBE, random_members

COUNT = 1000
LENGTH = 0.01
ANGLE = math.radians(0.01)


@dataclass
class Judged:
    """A member and what the kernel measured of it, in its own axes."""

    member: Member
    box: np.ndarray
    volume: float
    centre: np.ndarray
    faces: list
    ends: tuple


@pytest.fixture(scope="module")
def judged() -> list[Judged]:
    found = []
    for member in random_members(COUNT, seed=1610):
        solid = kernel_measure.in_frame(member_solid.member_solid(member), member.frame)
        faces = kernel_measure.plane_faces(solid)
        volume, centre = kernel_measure.volume_and_centre(solid)
        ends = kernel_measure.end_faces(faces)
        found.append(Judged(member, kernel_measure.box(solid), volume, centre, faces, ends))
    return found


def test_overall_and_short_lengths_are_the_kernels(judged: list[Judged]) -> None:
    for case in judged:
        end_a, end_b = case.ends
        assert case.member.length == pytest.approx(case.box[1, 0] - case.box[0, 0], abs=LENGTH)
        shorts = (end_b.box[1, 0] - end_a.box[1, 0], end_b.box[0, 0] - end_a.box[0, 0])
        assert case.member.short_lengths == pytest.approx(shorts, abs=LENGTH)


def test_mitres_and_bevels_are_those_read_off_the_kernels_edges(judged: list[Judged]) -> None:
    read = 0
    for case in judged:
        for plane, end in zip(case.member.local_ends, case.ends, strict=True):
            for face, down in (("width", (0.0, 0.0, -1.0)), ("height", (0.0, -1.0, 0.0))):
                seen = kernel_measure.saw_setting(case.faces, end, np.array(down))
                if seen is None:
                    continue
                mitre, bevel = saw_angles(plane.normal, face)
                assert abs(mitre) == pytest.approx(abs(seen[0]), abs=ANGLE)
                assert bevel == pytest.approx(seen[1], abs=ANGLE)
                read += 1
    assert read > 2 * COUNT


def test_sign_of_the_mitre_names_the_side_of_the_long_point(judged: list[Judged]) -> None:
    for case in judged:
        if case.member.section is not TUBE:
            continue
        for sense, plane, end in zip((-1.0, 1.0), case.member.local_ends, case.ends, strict=True):
            seen = kernel_measure.saw_setting(case.faces, end, np.array([0.0, 0.0, -1.0]))
            assert seen is not None
            # Seen from outside the bottom, a rise of the edge towards +y puts the long point of B on +y.
            mitre, _ = saw_angles(plane.normal, "width")
            across = np.cross([1.0, 0.0, 0.0], [0.0, 0.0, -1.0])
            assert math.copysign(1.0, seen[0] * across[1] * sense) == -math.copysign(1.0, mitre)


def test_round_tube_mitre_is_the_tilt_of_the_kernels_end_face(judged: list[Judged]) -> None:
    rounds = [case for case in judged if case.member.section.kind == "round"]
    assert len(rounds) > 100
    for case in rounds:
        for plane, end in zip(case.member.local_ends, case.ends, strict=True):
            mitre, bevel = saw_angles(plane.normal, "round")
            assert bevel == 0.0
            assert mitre == pytest.approx(math.acos(abs(float(end.normal[0]))), abs=ANGLE)


def test_volume_and_centre_of_mass_are_the_kernels(judged: list[Judged]) -> None:
    for case in judged:
        member = case.member
        assert member.volume == pytest.approx(case.volume, rel=1e-6)
        np.testing.assert_allclose(member.frame.to_frame(member.centre), case.centre, atol=LENGTH / 2)


def test_box_in_the_boat_is_the_kernels() -> None:
    members = random_members(35, seed=7)
    boxes = MemberTable(members).box
    for member, box in zip(members, boxes, strict=True):
        np.testing.assert_allclose(box, member.box, atol=1e-9)
        np.testing.assert_allclose(box, kernel_measure.box(member_solid.member_solid(member)), atol=LENGTH)


@given(
    section=st.sampled_from(SECTIONS),
    tilts=st.tuples(*[st.floats(-1.3, 1.3)] * 4),
    spare=st.floats(0.5, 800.0),
    roll=st.floats(-3.2, 3.2),
)
@settings(max_examples=40, deadline=None)
def test_short_and_steep_pieces_are_the_kernels_too(section, tilts, spare, roll) -> None:
    """Pieces whose shortest fibre is `spare` mm, up to 1.3 rad from square both ways."""
    slopes = np.tan(np.array(tilts)).reshape(2, 2)
    far = Plane.through((0, 0, 0), (1.0, *slopes[1]))
    member = Member(
        "m",
        section,
        np.zeros(3),
        np.array([1.0, 0, 0]),
        roll,
        Plane.through((0, 0, 0), (-1.0, *slopes[0])),
        far,
    )
    member = member.with_ends(end_b=far.moved((spare - member.least_length) * float(far.normal[0])))
    assert member.least_length == pytest.approx(spare)
    solid = kernel_measure.in_frame(member_solid.member_solid(member), member.frame)
    low, high = kernel_measure.box(solid)
    assert member.length == pytest.approx(high[0] - low[0], abs=LENGTH)
    assert member.volume == pytest.approx(kernel_measure.volume_and_centre(solid)[0], rel=1e-6)


def test_a_piece_cut_away_is_refused_by_name() -> None:
    member = Member.along("rim.2", TUBE, (0, 0, 0), (10, 0, 0), end_b=Plane.through((10, 0, 0), (1, 2, 0)))
    with pytest.raises(ValueError, match=r"rim\.2 is cut away"):
        member_solid.member_solid(member)


def test_arcs_stay_arcs_in_the_solid() -> None:
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.GeomAbs import GeomAbs_Cylinder
    from OCP.TopAbs import TopAbs_FACE
    from OCP.TopoDS import TopoDS

    tube = rect_tube("rounded", 40.0, 20.0, 2.0, ALLOY, radius=4.0)
    solid = member_solid.member_solid(Member.along("beam", tube, (0, 0, 0), (0, 500, 0), up=(0, 0, 1)))
    faces = [BRepAdaptor_Surface(TopoDS.Face_s(face)) for face in kernel_measure._parts(solid, TopAbs_FACE)]
    radii = sorted(face.Cylinder().Radius() for face in faces if face.GetType() == GeomAbs_Cylinder)
    assert radii == pytest.approx([2.0] * 4 + [4.0] * 4)
