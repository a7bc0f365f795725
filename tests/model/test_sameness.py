"""Which pieces are the same: the turns allowed, mirror images told apart, tolerance without surprises."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from model.geometry import Plane
from model.member import Member
from model.sameness import forms, mirror_pairs, read_form, signatures
from tests.model.member_samples import (
    ANGLE,
    EQUAL_ANGLE,
    FLAT,
    HAT,
    ROUND,
    SECTIONS,
    SHARP,
    SQUARE,
    TUBE,
    random_member,
    random_members,
    unit_vector,
)
from tests.model.test_member import rotation

BY_NAME = {section.name: section for section in (*SECTIONS, EQUAL_ANGLE)}
seeds = st.integers(0, 2**32 - 1)


def same(one: Member, two: Member) -> bool:
    texts = signatures([replace(one, name="one"), replace(two, name="two")])
    return texts["one"] == texts["two"]


def rolled(member: Member, angle: float) -> Member:
    """The same end planes with the section turned by `angle` about the axis."""
    return replace(member, roll=member.roll + angle)


def reversed_ends(member: Member, up: np.ndarray) -> Member:
    """The same end planes told from the other end, height towards `up`."""
    ends = member.end_b, member.end_a
    return Member.along(member.name, member.section, member.b, member.a, up, *ends)


def other_tellings(member: Member) -> list[Member]:
    """The same metal told differently, by what one knows of each family's shape."""
    frame, section = member.frame, member.section
    if section is ROUND:
        return [rolled(member, 1.2345), reversed_ends(member, frame.y + 0.3 * frame.z)]
    if section is SQUARE:
        turned = [rolled(member, k * math.pi / 2) for k in (1, 2, 3)]
        return [*turned, *(reversed_ends(member, way) for way in (frame.y, frame.z, -frame.y, -frame.z))]
    if section is HAT:
        return [reversed_ends(member, frame.z)]
    if section is EQUAL_ANGLE:
        # Told from the other end, y is mirrored; the legs change places when the height goes along old y.
        return [reversed_ends(member, frame.y)]
    if section is ANGLE:
        return []
    return [rolled(member, math.pi), reversed_ends(member, frame.z), reversed_ends(member, -frame.z)]


@given(seed=seeds, section=st.sampled_from((*SECTIONS, EQUAL_ANGLE)))
@settings(max_examples=60, deadline=None)
def test_a_piece_is_itself_however_it_is_told_and_carried(seed, section) -> None:
    rng = np.random.default_rng(seed)
    member = random_member(rng, section)
    for told in (member, *other_tellings(member)):
        # The other telling is the same metal to begin with.
        assert told.volume == pytest.approx(member.volume, rel=1e-9)
        np.testing.assert_allclose(told.centre, member.centre, atol=1e-6)
        np.testing.assert_allclose(told.box, member.box, atol=1e-6)
        assert same(member, told.moved(rotation(rng), rng.uniform(-900, 900, 3)))


@given(seed=seeds, section=st.sampled_from((TUBE, SHARP, FLAT, HAT, ANGLE, EQUAL_ANGLE)))
@settings(max_examples=40, deadline=None)
def test_a_turn_the_section_does_not_allow_makes_another_piece(seed, section) -> None:
    rng = np.random.default_rng(seed)
    member = random_member(rng, section)
    if min(math.acos(min(1.0, abs(float(end.normal[0])))) for end in member.local_ends) < 0.05:
        return
    assert not same(member, rolled(member, math.pi / 2))
    if section in (ANGLE, HAT, EQUAL_ANGLE):
        assert not same(member, rolled(member, math.pi))


def carried_onto(one: np.ndarray, two: np.ndarray) -> bool:
    """Whether a rotation carries the points `one` `(8, 3)` on the points `two` in some order.

    Tries every order that keeps all distances, then looks at the sign of the best-fit orthogonal matrix.
    Knows nothing of sections or turns.
    """
    gaps = [np.linalg.norm(points[:, None] - points[None], axis=2) for points in (one, two)]
    orders: list[list[int]] = [[]]
    for k in range(len(one)):
        orders = [
            [*order, j]
            for order in orders
            for j in set(range(len(two))) - set(order)
            if all(abs(gaps[0][k, i] - gaps[1][j, order[i]]) < 1e-3 for i in range(k))
        ]
    for order in orders:
        left, _, right = np.linalg.svd((one - one.mean(0)).T @ (two[order] - two.mean(0)))
        if np.linalg.det(left @ right) > 0.0:
            return True
    return False


def chance_piece(rng: np.random.Generator, section) -> Member:
    """Ends square, plain, leaning or compound by chance, so that every kind of likeness turns up."""
    choices = np.radians([0.0, 0.0, 30.0, -30.0])
    ends = []
    for at, sense in ((0.0, -1.0), (600.0, 1.0)):
        mitre, lean = rng.choice(choices, 2)
        ends.append(Plane.through((at, 0, 0), (sense, math.tan(mitre), math.tan(lean))))
    return Member.along("piece", section, (0, 0, 0), (600, 0, 0), (0, 0, 1), *ends)


@pytest.mark.parametrize("section", [SHARP, FLAT])
def test_sameness_and_hand_are_those_of_the_corner_points(section) -> None:
    rng = np.random.default_rng(4)
    pieces = [chance_piece(rng, section) for _ in range(16)]
    told = forms(pieces)
    clouds = [piece.corners.reshape(8, 3) for piece in pieces]
    flip = np.array([1.0, -1.0, 1.0])
    hands = 0
    for i in range(len(pieces)):
        assert told[i].is_own_mirror == carried_onto(clouds[i], clouds[i] * flip)
        hands += not told[i].is_own_mirror
        for j in range(i):
            assert told[i].is_same(told[j]) == carried_onto(clouds[i], clouds[j])
    assert 0 < hands < len(pieces)


def test_port_and_starboard_of_a_chiral_piece_are_a_pair() -> None:
    rng = np.random.default_rng(8)
    for section in SECTIONS:
        port = replace(random_member(rng, section), name="port")
        starboard = port.mirrored("starboard")
        texts = signatures([port, starboard])
        assert texts["port"] != texts["starboard"]
        pairs = mirror_pairs(texts.values(), BY_NAME)
        assert pairs == {texts["port"]: texts["starboard"], texts["starboard"]: texts["port"]}


@pytest.mark.parametrize("section", [TUBE, SQUARE, ROUND, FLAT, HAT, ANGLE, EQUAL_ANGLE])
def test_square_cut_pieces_have_no_hand(section) -> None:
    port = Member.along("port", section, (0, 100, 0), (0, 700, 200), up=(1, 0, 0.2))
    texts = signatures([port, port.mirrored("starboard")])
    assert texts["port"] == texts["starboard"]
    assert mirror_pairs(texts.values(), BY_NAME) == {}


def test_plain_mitres_have_no_hand_but_screwed_and_compound_ones_have() -> None:
    def piece(end_a, end_b) -> Member:
        ends = Plane.through((0, 0, 0), end_a), Plane.through((500, 0, 0), end_b)
        return Member.along("piece", TUBE, (0, 0, 0), (500, 0, 0), (0, 0, 1), *ends)

    assert forms([piece((-1, 1, 0), (1, -1, 0))])[0].is_own_mirror
    for plain in (piece((-1, 1, 0), (1, 1, 0)), piece((-1, 0, 0), (1, 0, 0.4))):
        assert forms([plain])[0].is_own_mirror
    # A quarter turn between the mitres is a screw, right-handed or left; so is one compound end.
    assert not forms([piece((-1, 1, 0), (1, 0, 1))])[0].is_own_mirror
    assert not forms([piece((-1, 1, 0.5), (1, 0, 0))])[0].is_own_mirror


@pytest.mark.parametrize("section", [TUBE, ROUND, ANGLE])
def test_the_tolerance_is_kept_on_both_sides(section) -> None:
    member = random_member(np.random.default_rng(2), section)

    def longer(by: float) -> Member:
        return member.with_ends(end_b=member.end_b.moved(by * float(member.end_b.normal @ member.axis)))

    def leaning(by: float) -> Member:
        across = np.cross(member.end_b.normal, member.axis)
        tilted = member.end_b.normal + math.tan(by) * across / np.linalg.norm(across)
        # Kept at the same overall length, so that the angle alone differs.
        found = member.with_ends(end_b=Plane.through(member.b, tilted))
        gap = member.length - found.length
        return found.with_ends(end_b=found.end_b.moved(gap * float(found.end_b.normal @ member.axis)))

    assert same(member, longer(0.049))
    assert not same(member, longer(0.051))
    if section is not ROUND:
        assert same(member, leaning(math.radians(0.0099)))
        assert not same(member, leaning(math.radians(0.0101)))


def test_grouping_does_not_depend_on_the_order_and_does_not_chain() -> None:
    steps = [
        Member.along(f"m{k:03d}", TUBE, (0, 0, 0), (500.0 + 0.04 * k, 0, 0), up=(0, 0, 1)) for k in range(40)
    ]
    texts = signatures(steps)
    backwards = signatures(steps[::-1])
    assert texts == backwards
    groups: dict[str, list[float]] = {}
    for member in steps:
        groups.setdefault(texts[member.name], []).append(member.length)
    assert all(max(lengths) - min(lengths) <= 0.05 for lengths in groups.values())
    assert len(groups) == 20


def test_known_signatures_are_kept() -> None:
    was = Member.along("beam", TUBE, (0, 0, 0), (500.0, 0, 0), up=(0, 0, 1))
    now = Member.along("beam", TUBE, (0, 0, 0), (500.03, 0, 0), up=(0, 0, 1))
    shorter = Member.along("a.shorter", TUBE, (0, 0, 0), (499.99, 0, 0), up=(0, 0, 1))
    old = signatures([was])["beam"]
    assert signatures([now, shorter], known=[old]) == {"beam": old, "a.shorter": old}
    assert signatures([now])["beam"] != old


def test_a_signature_reads_back_and_rubbish_does_not() -> None:
    for member in random_members(14, seed=21):
        form = forms([member])[0]
        back = read_form(form.text, BY_NAME)
        assert back is not None
        assert form.is_same(back)
    for text in (
        "",
        "panel|1|2",
        f"{TUBE.name}|x|1,0,0|1,0,0",
        f"{TUBE.name}|5|1,0|1,0,0",
        "gone|5|1,0,0|1,0,0",
    ):
        assert read_form(text, BY_NAME) is None


def test_round_tube_counts_only_the_turn_between_its_ends() -> None:
    def piece(turn: float) -> Member:
        ends = (
            Plane.through((0, 0, 0), (-1, 0.5, 0)),
            Plane.through((400, 0, 0), (1, 0.5 * math.cos(turn), 0.5 * math.sin(turn))),
        )
        return Member.along("piece", ROUND, (0, 0, 0), (400, 0, 0), (0, 0, 1), *ends)

    assert same(piece(0.7), piece(0.7).moved(rotation(np.random.default_rng(1))))
    assert not same(piece(0.7), piece(0.8))
    assert not same(piece(0.7), piece(-0.7))
    assert forms([piece(math.pi)])[0].is_own_mirror


def test_different_sections_are_never_the_same_piece() -> None:
    axis = unit_vector(np.random.default_rng(5)) * 500.0
    pieces = [Member.along(section.name, section, (0, 0, 0), axis) for section in SECTIONS]
    assert len(set(signatures(pieces).values())) == len(SECTIONS)
