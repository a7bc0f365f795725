"""Members: the record, hand examples, and properties that hold for any piece."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from model.geometry import Plane
from model.member import Member
from model.member_table import MemberTable
from tests.model.member_samples import (
    ANGLE,
    FLAT,
    ROUND,
    SECTIONS,
    TUBE,
    random_member,
    random_members,
    unit_vector,
)


def beam(end_a=None, end_b=None, section=TUBE) -> Member:
    """800 mm along the boat's y at height 300."""
    return Member.along("beam", section, (0, -400, 300), (0, 400, 300), (0, 0, 1), end_a, end_b)


def rotation(rng: np.random.Generator) -> np.ndarray:
    x = unit_vector(rng)
    y = np.cross(unit_vector(rng), x)
    y /= np.linalg.norm(y)
    return np.column_stack([x, y, np.cross(x, y)])


def test_a_square_piece_measures_its_span() -> None:
    member = beam()
    assert member.length == pytest.approx(800.0)
    assert member.short_lengths == pytest.approx((800.0, 800.0))
    assert member.volume == pytest.approx(TUBE.area * 800.0)
    assert member.mass == pytest.approx(TUBE.area * 800.0 * 2700.0e-9)
    np.testing.assert_allclose(member.centre, (0, 0, 300), atol=1e-9)
    np.testing.assert_allclose(member.box, [(-25.4, -400, 287.3), (25.4, 400, 312.7)], atol=1e-9)


def test_roll_zero_stands_the_height_up_and_an_upright_axis_faces_forward() -> None:
    level = Member.along("m", TUBE, (0, 0, 0), (100, 100, 0)).frame
    np.testing.assert_allclose(level.z, (0, 0, 1), atol=1e-15)
    post = Member.along("m", TUBE, (0, 0, 0), (0, 0, 500)).frame
    np.testing.assert_allclose((post.x, post.z), [(0, 0, 1), (1, 0, 0)], atol=1e-15)
    # A post whose top is off by the dust of arithmetic stands no differently.
    dusty = Member.along("m", TUBE, (0, 0, 0), (1e-12, -3e-12, 500)).frame
    np.testing.assert_allclose(dusty.z, post.z, atol=1e-12)


def test_roll_turns_right_handed_about_the_axis() -> None:
    straight, turned = (
        Member("m", TUBE, np.zeros(3), np.array([500.0, 0, 0]), roll, *beam().local_ends).frame
        for roll in (0.0, math.pi / 2)
    )
    np.testing.assert_allclose(turned.y, straight.z, atol=1e-15)
    np.testing.assert_allclose(np.cross(turned.x, turned.y), turned.z, atol=1e-15)


def test_the_height_goes_where_it_is_told_unless_that_is_the_axis() -> None:
    member = Member.along("brace", TUBE, (0, 0, 0), (300, 0, 400), up=(0, 1, 0))
    np.testing.assert_allclose(member.frame.z, (0, 1, 0), atol=1e-15)
    with pytest.raises(ValueError, match="brace: the height cannot point along"):
        Member.along("brace", TUBE, (0, 0, 0), (300, 0, 400), up=(3, 0, 4))


def test_a_45_degree_end_takes_half_the_width_either_side() -> None:
    member = beam(end_b=Plane.through((0, 400, 300), (-1, 1, 0)))
    assert member.length == pytest.approx(800 + 25.4)
    assert member.short_lengths == pytest.approx((825.4, 774.6))
    assert sorted(member.edge_lengths) == pytest.approx([774.6, 774.6, 825.4, 825.4])
    # Both faces of a mitre that does not lean keep their lengths; the metal's volume stays that of the axis.
    assert member.volume == pytest.approx(TUBE.area * 800.0)


def test_a_long_point_on_a_round_corner_lies_within_the_sharp_corner() -> None:
    compound = beam(end_b=Plane.through((0, 400, 300), (1, 1, 1)))
    sharp = 800 + 25.4 + 12.7
    rounded = sharp - 3.0 * (2.0 - math.sqrt(2.0))
    assert compound.edge_lengths.max() == pytest.approx(sharp)
    assert compound.length == pytest.approx(rounded)


def test_an_end_away_from_its_axis_point_counts_from_the_plane() -> None:
    member = beam(end_b=Plane.through((0, 450, 300), (0, 1, 0)))
    assert member.span == 800.0
    assert member.length == pytest.approx(850.0)


def test_an_angles_volume_counts_at_its_centroid_not_on_the_axis() -> None:
    leaning = beam(end_b=Plane.through((0, 400, 300), (0, 1, 1)), section=ANGLE)
    assert leaning.volume == pytest.approx(ANGLE.area * (800.0 - ANGLE.centroid[1]))


@pytest.mark.parametrize(
    "end_b",
    [
        Plane.through((0, -399, 300), (1, 1, 0)),  # crosses end A inside the section
        Plane.through((0, 400, 300), (1, 0, 0)),  # runs along the axis
        Plane.through((0, 400, 300), (0, -1, 0)),  # faces the wrong way
        Plane.through((0, -500, 300), (0, 1, 0)),  # lies behind end A
    ],
)
def test_a_piece_that_cannot_be_is_cut_away_and_measures_nothing(end_b) -> None:
    member = beam(end_b=end_b)
    assert member.is_cut_away
    assert member.least_length <= 0.0
    numbers = (member.length, *member.short_lengths, member.volume, member.mass)
    assert numbers == (0.0,) * 5
    assert np.isfinite(member.box).all()
    assert np.isfinite(member.centre).all()


def test_a_member_without_length_is_cut_away() -> None:
    member = Member.along("dot", ROUND, (1, 2, 3), (1, 2, 3))
    assert member.is_cut_away
    assert np.isfinite(member.box).all()


def test_the_bulk_table_is_the_members_one_by_one() -> None:
    members = [*random_members(40, seed=3), beam(end_b=Plane.through((0, 0, 0), (1, 0, 0)))]
    table = MemberTable(members)
    for name in ("length", "short_lengths", "volume", "mass", "centre", "box"):
        singly = np.array([getattr(member, name) for member in members])
        np.testing.assert_allclose(getattr(table, name), singly, atol=1e-8, rtol=1e-12)
    assert table.cut_away.tolist() == [member.is_cut_away for member in members]
    ends = np.array([[end.normal for end in member.local_ends] for member in members])
    np.testing.assert_allclose(table.end_normals, ends, atol=1e-14)
    assert len(MemberTable([]).box) == 0


def test_faces_look_outward() -> None:
    member = beam(end_b=Plane.through((0, 400, 300), (-1, 1, 0)))
    frame = member.frame
    for side, way in (("top", frame.z), ("bottom", -frame.z), ("left", frame.y), ("right", -frame.y)):
        corners = member.face(side)
        normal = np.cross(corners[1] - corners[0], corners[2] - corners[1])
        np.testing.assert_allclose(normal / np.linalg.norm(normal), way, atol=1e-12)


seeds = st.integers(0, 2**32 - 1)


@given(seed=seeds, kind=st.sampled_from(SECTIONS))
@settings(max_examples=40, deadline=None)
def test_a_moved_piece_keeps_its_numbers(seed, kind) -> None:
    rng = np.random.default_rng(seed)
    member = random_member(rng, kind)
    turn, step = rotation(rng), rng.uniform(-500, 500, 3)
    moved = member.moved(turn, step)
    assert moved.length == pytest.approx(member.length, abs=1e-7)
    assert moved.short_lengths == pytest.approx(member.short_lengths, abs=1e-7)
    np.testing.assert_allclose(moved.centre, turn @ member.centre + step, atol=1e-7)
    np.testing.assert_allclose(moved.corners, member.corners @ turn.T + step, atol=1e-7)


@given(seed=seeds, kind=st.sampled_from(SECTIONS))
@settings(max_examples=40, deadline=None)
def test_the_other_side_of_the_boat_is_the_mirror_image(seed, kind) -> None:
    member = random_member(np.random.default_rng(seed), kind)
    other = member.mirrored("other")
    flip = np.array([1.0, -1.0, 1.0])
    np.testing.assert_allclose(other.centre, member.centre * flip, atol=1e-7)
    box = member.box * flip
    np.testing.assert_allclose(other.box, [box.min(axis=0), box.max(axis=0)], atol=1e-7)
    assert other.short_lengths == pytest.approx(member.short_lengths[::-1], abs=1e-7)


@given(seed=seeds, kind=st.sampled_from(SECTIONS))
@settings(max_examples=40, deadline=None)
def test_cutting_a_piece_in_two_keeps_its_metal(seed, kind) -> None:
    rng = np.random.default_rng(seed)
    whole = random_member(rng, kind)
    middle = (whole.a + whole.b) / 2.0
    cut = Plane.through(middle, whole.axis + 0.2 * unit_vector(rng))
    one, two = whole.with_ends(end_b=cut), whole.with_ends(end_a=cut.flipped())
    if one.is_cut_away or two.is_cut_away:
        return
    assert one.volume + two.volume == pytest.approx(whole.volume, rel=1e-12)
    first = one.volume * one.centre + two.volume * two.centre
    np.testing.assert_allclose(first / whole.volume, whole.centre, atol=1e-7)


def test_flat_bar_has_no_bore_to_take_off() -> None:
    assert beam(section=FLAT).volume == pytest.approx(50.8 * 6.35 * 800.0)
