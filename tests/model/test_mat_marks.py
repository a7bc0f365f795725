"""Marks of mat: what can be glued in each other's place shares one, and the grooves' phase counts."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from model.geometry import Frame
from model.mat.build import mat_of
from model.mat.grooves import Lines
from model.mat.piece import MatPiece
from model.mat.sameness import mat_signature
from model.mat.settings import MatSettings
from parts.outline import Loop
from tests.model.mat_boats import BOX_MAT, box_boat, lake_boat

PITCH = 50.0


def piece(outline: Loop, phase: float | None, holes: tuple[Loop, ...] = ()) -> MatPiece:
    lines = None if phase is None else Lines(PITCH, phase % PITCH)
    return MatPiece("p", "s", "deck", Frame.level(0.0), outline, holes, 6.0, lines)


def moved(one: MatPiece, dx: float, dy: float) -> MatPiece:
    assert one.lines is not None
    holes = tuple(hole.moved(dx, dy) for hole in one.holes)
    return piece(one.outline.moved(dx, dy), one.lines.phase + dy, holes)


def turned(one: MatPiece) -> MatPiece:
    """The piece end for end, its grooves with it."""
    assert one.lines is not None
    half = [(-1.0, 0.0), (0.0, -1.0)]
    holes = tuple(hole.transformed(half) for hole in one.holes)
    return piece(one.outline.transformed(half), -one.lines.phase, holes)


LIKE_NO_OTHER = Loop.polygon([(0, 0), (300, 0), (300, 120), (180, 160), (0, 90)])


@settings(max_examples=60, deadline=None)
@given(
    phase=st.floats(0, 49), dx=st.floats(-3000, 3000), dy=st.floats(-900, 900),
    hole=st.floats(5, 60), at=st.floats(80, 200),
)  # fmt: skip
def test_moving_and_turning_end_for_end_keep_the_signature(phase, dx, dy, hole, at):
    one = piece(LIKE_NO_OTHER, phase, (Loop.circle(hole, (at, 60.0)),))
    signatures = {
        mat_signature(p) for p in (one, moved(one, dx, dy), turned(one), turned(moved(one, dx, dy)))
    }
    # a number may fall on the bound between two steps; nudged off it, all agree
    if len(signatures) > 1:
        nudged = piece(LIKE_NO_OTHER, phase + 0.013, (Loop.circle(hole + 0.017, (at + 0.011, 60.007)),))
        signatures = {mat_signature(p) for p in (nudged, moved(nudged, dx, dy), turned(nudged))}
    assert len(signatures) == 1


@pytest.mark.parametrize("shift", [1.0, 12.7, 25.0, 37.0])
def test_a_shift_of_the_grooves_makes_another_piece(shift):
    one = piece(LIKE_NO_OTHER, 3.0)
    assert mat_signature(one) != mat_signature(piece(LIKE_NO_OTHER, 3.0 + shift))
    assert mat_signature(one) == mat_signature(piece(LIKE_NO_OTHER, 3.0 + PITCH))


def test_a_rectangle_with_mirrored_phase_is_the_same_turned_about():
    plate = Loop.rectangle(400, 300)
    assert mat_signature(piece(plate, 12.0)) == mat_signature(piece(plate, -12.0))
    assert mat_signature(piece(plate, 25.0)) == mat_signature(piece(plate, -25.0))
    skew = Loop.polygon([(0, 0), (400, 0), (380, 300), (0, 250)])
    assert mat_signature(piece(skew, 12.0)) != mat_signature(piece(skew, -12.0))


def test_the_mirror_image_differs_and_a_plain_piece_turns_any_way():
    mirrored = LIKE_NO_OTHER.transformed([(1.0, 0.0), (0.0, -1.0)])
    assert mat_signature(piece(LIKE_NO_OTHER, 3.0)) != mat_signature(piece(mirrored, -3.0))
    plain = piece(LIKE_NO_OTHER, None)
    assert mat_signature(plain) == mat_signature(piece(LIKE_NO_OTHER.turned(1.1), None))
    assert mat_signature(plain) != mat_signature(piece(mirrored, None))
    assert mat_signature(plain) != mat_signature(piece(LIKE_NO_OTHER, 3.0))


def test_lids_either_side_share_a_mark_when_their_grooves_fall_alike():
    found = mat_of(lake_boat(), MatSettings())
    mark = {p.surface: found.marks[p.name] for p in found.pieces}
    assert mark["deck.aft/hatch.port/lid"] == mark["deck.aft/hatch.starboard/lid"]
    # lids 9-3/4 pitches off the centreline: grooves 9 mm to port of it fall otherwise on either side
    shifted = mat_of(lake_boat(), replace(MatSettings(), offset=9.0))
    mark = {p.surface: shifted.marks[p.name] for p in shifted.pieces}
    assert mark["deck.aft/hatch.port/lid"] != mark["deck.aft/hatch.starboard/lid"]


def test_marks_are_T_and_stay_from_build_to_build():
    first = mat_of(box_boat(), BOX_MAT)
    assert sorted(set(first.marks.values()), key=lambda m: int(m[1:])) == [
        f"T{i + 1}" for i in range(len(set(first.marks.values())))
    ]
    before = {name: (mark, first.signatures[name]) for name, mark in first.marks.items()}
    # with no mat on the sole's upright faces the front deck's own piece changes, its lids do not
    second = mat_of(box_boat(), replace(BOX_MAT, leave_out=("deck.front/riser",)), before)
    lids = [n for n in second.marks if n.endswith("/lid/mat")]
    assert len(lids) == 3
    assert all(second.marks[n] == first.marks[n] for n in lids)
    changed = second.marks["deck.front/top/mat"]
    assert changed not in first.marks.values()
