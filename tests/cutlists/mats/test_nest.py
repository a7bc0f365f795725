"""Nests of mat: nothing overlaps or is lost, grooves keep their direction and their place."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutlists.mats.nest import nest_mats
from cutlists.mats.turned import PHASE, allowed_turns, keeps_phase
from model.geometry import Frame
from model.mat.build import Matting
from model.mat.grooves import Lines
from model.mat.piece import MatPiece
from model.mat.settings import MatSettings, MatSheet
from parts.outline import Loop
from tests.cutlists.mats.nest_check import faults, lake_nest

PITCH = 50.0
PLAIN = MatSheet("plain", 2000.0, 1000.0)
GROOVED = MatSheet("grooved", 2000.0, 1000.0, grooved=True, first=17.0, turns="half")
S = MatSettings(pitch=PITCH, margin=6.0, spacing=4.0, groove_width=3.0)


def matting(pieces: list[MatPiece], *sheets: MatSheet) -> Matting:
    marks = {piece.name: f"T{i + 1}" for i, piece in enumerate(pieces)}
    return Matting(tuple(pieces), marks, dict(marks), (), replace(S, sheets=sheets))


def piece(
    name: str, outline: Loop, phase: float | None, holes: tuple[Loop, ...] = (), spacing=PITCH
) -> MatPiece:
    lines = None if phase is None else Lines(spacing, phase % spacing)
    return MatPiece(name, name, "deck", Frame.level(0.0), outline, holes, 6.0, lines)


def plate(name: str, wide: float, tall: float, phase: float | None = 0.0) -> MatPiece:
    return piece(name, Loop.rectangle(wide, tall), phase)


SHEETS = {
    "plain": (PLAIN,),
    "plain with a nap": (replace(PLAIN, turns="none"),),
    "grooved": (GROOVED,),
    "grooved with a pattern": (replace(GROOVED, turns="none"),),
    "two sizes": (GROOVED, replace(GROOVED, name="small", length=1300.0, width=700.0)),
}


@settings(max_examples=12, deadline=None)
@given(
    sizes=st.lists(
        st.tuples(
            st.floats(60, 900), st.floats(60, 480), st.one_of(st.none(), st.floats(0, 49)), st.booleans()
        ),
        min_size=1,
        max_size=9,
    ),
    on=st.sampled_from(sorted(SHEETS)),
)
def test_any_pieces_are_laid_without_a_fault(sizes, on):
    pieces = []
    for i, (wide, tall, phase, notched) in enumerate(sizes):
        w, h = wide, tall
        notch = [(0, 0), (w, 0), (w, h / 2), (w / 2, h / 2), (w / 3, h), (0, h)]
        outline = Loop.polygon(notch) if notched else Loop.rectangle(w, h, radius=min(w, h) / 6)
        pieces.append(piece(f"p{i}", outline, phase))
    laid = matting(pieces, *SHEETS[on])
    nest = nest_mats(laid)
    assert not nest.left_over
    assert faults(nest, laid) == []


@pytest.mark.parametrize("kind", ["plain", "grooved"])
def test_the_demo_boat_is_laid_without_a_fault(kind):
    mat, nest = lake_nest(kind)
    assert not nest.left_over
    assert faults(nest, mat) == []
    assert mat.area / nest.bought > (0.6 if kind == "plain" else 0.5)


def test_lids_are_cut_from_the_hole_of_their_deck():
    _, nest = lake_nest("plain")
    where = {laid.piece.name: (i, laid) for i, one in enumerate(nest.sheets) for laid in one.laid}
    sheet, deck = where["deck.aft/top/mat"]
    for lid in ("livewell", "hatch.port", "hatch.starboard"):
        other, laid = where[f"deck.aft/{lid}/lid/mat"]
        assert other == sheet
        # moved and turned as its deck is: it lies there as on the boat
        assert (laid.quarters, laid.dx, laid.dy) == pytest.approx((deck.quarters, deck.dx, deck.dy))


def test_a_face_at_an_angle_cannot_keep_the_phase_of_a_grooved_sheet():
    _, nest = lake_nest("grooved")
    assert nest.loose_phase == ("deck.rods/riser.starboard.1/mat",)


def test_phase_is_kept_where_the_spacing_allows_it_over_the_whole_width():
    near = piece("a", Loop.rectangle(300, 900), 3.0, spacing=50.02)
    assert keeps_phase(near, GROOVED, PITCH)  # 18 lines, 9 each way of the middle: 0.18 mm
    far = piece("b", Loop.rectangle(300, 900), 3.0, spacing=50.1)
    assert not keeps_phase(far, GROOVED, PITCH)  # 0.9 mm
    assert not keeps_phase(near, PLAIN, PITCH)
    assert PHASE == 0.5


def test_a_little_more_than_the_pitch_is_shared_out_from_the_middle_of_the_piece():
    # 4 m from where its lines are counted they have run 1.6 mm off the pitch, within the piece 0.18 mm
    far = piece("far", Loop.rectangle(300, 900, centre=(0.0, 4000.0)), 3.0, spacing=50.02)
    laid = matting([far], GROOVED)
    nest = nest_mats(laid)
    assert nest.loose_phase == ()
    assert faults(nest, laid) == []


def test_turns_that_a_sheet_allows():
    grooved, plain = plate("a", 100, 50), plate("b", 100, 50, None)
    assert allowed_turns(grooved, PLAIN) == (0, 1, 2, 3)
    assert allowed_turns(grooved, replace(PLAIN, turns="half")) == (0, 2)
    assert allowed_turns(plain, GROOVED) == (0, 2)
    assert allowed_turns(grooved, replace(GROOVED, turns="quarter")) == (0, 2)
    assert allowed_turns(plain, replace(PLAIN, turns="none")) == (0,)


def test_four_plates_fill_one_sheet_where_they_just_fit():
    # across 2 x 492 + 4 between + 2 x 6 at the edges is 1000; along 2 x 992 + 4 + 12 is 2000
    sheet = replace(PLAIN, turns="half")
    fits = matting([plate(f"p{i}", 992, 492) for i in range(4)], sheet)
    nest = nest_mats(fits)
    assert len(nest.sheets) == 1
    assert faults(nest, fits) == []
    assert len(nest_mats(matting([plate(f"p{i}", 992, 492.1) for i in range(4)], sheet)).sheets) == 2


def test_the_cheapest_sheets_are_taken_and_the_last_may_be_smaller():
    small = MatSheet("small", 1000.0, 500.0, price=40.0)
    pieces = [plate("big", 1900, 900), plate("little", 300, 200)]
    nest = nest_mats(matting(pieces, replace(PLAIN, price=100.0), small))
    assert sorted(one.sheet.name for one in nest.sheets) == ["plain", "small"]
    assert nest.cost == pytest.approx(140.0)
    dear = nest_mats(matting([plate(f"p{i}", 400, 300) for i in range(6)], PLAIN, replace(small, price=None)))
    assert dear.cost == pytest.approx(dear.bought * 1e-6)


def test_what_fits_no_sheet_is_told_with_its_size():
    nest = nest_mats(matting([plate("long", 2400, 300), plate("ok", 300, 200)], replace(PLAIN, turns="half")))
    assert list(nest.left_over) == ["long"]
    assert "2400 mm along its grooves" in nest.left_over["long"]
    assert "1988 by 988 mm" in nest.left_over["long"]
    assert [laid.piece.name for one in nest.sheets for laid in one.laid] == ["ok"]


def test_the_judge_sees_what_is_wrong():
    pieces = matting([plate("a", 300, 200), plate("b", 300, 200)], GROOVED)
    nest = nest_mats(pieces)
    (sheet,) = nest.sheets
    a, b = sheet.laid
    spoilt = [
        (replace(b, dx=a.dx + 10, dy=a.dy), "too near"),
        (replace(b, dy=b.dy + 0.6), "off the sheet's"),
        (replace(b, quarters=1, dy=b.dy + 17), "across the way"),
        (replace(b, dx=b.dx + 5000), "leaves sheet"),
    ]
    for wrong, said in spoilt:
        bad = replace(nest, sheets=(replace(sheet, laid=(a, wrong)),))
        assert any(said in fault for fault in faults(bad, pieces)), said
    lost = replace(nest, sheets=(replace(sheet, laid=(a,)),))
    assert "pieces are lost or cut twice" in faults(lost, pieces)
