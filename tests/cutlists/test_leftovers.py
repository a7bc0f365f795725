"""Offcuts lie in the metal that is left, are as wide as asked for, and none is forgotten; shapely judges."""

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cutlists.leftovers import TRUE_TO, leftovers

SHEET = shapely.box(0.0, 0.0, 2438.4, 1219.2)


def test_a_bare_sheet_is_left_whole_and_a_full_one_leaves_nothing():
    assert leftovers(SHEET, [], 6.0, 150.0)[0].equals(SHEET)
    assert leftovers(SHEET, [shapely.box(10.0, 10.0, 2400.0, 1200.0)], 6.0, 150.0) == []


def test_a_lid_opening_and_the_end_of_the_sheet_are_kept_to_their_straight_edges():
    deck = shapely.box(0.0, 0.0, 1500.0, 1219.2) - shapely.box(400.0, 300.0, 1000.0, 800.0)
    end, opening = leftovers(SHEET, [deck], 6.0, 150.0)
    gap = 6.0 + 2 * TRUE_TO
    assert end.bounds == pytest.approx((1500.0 + gap, 0.0, 2438.4, 1219.2))
    assert opening.bounds == pytest.approx((400.0 + gap, 300.0 + gap, 1000.0 - gap, 800.0 - gap))
    assert opening.area == pytest.approx((600.0 - 2 * gap) * (500.0 - 2 * gap))


def test_a_strip_too_narrow_to_keep_is_scrap():
    piece = shapely.box(0.0, 0.0, 2438.4, 1100.0)
    assert leftovers(SHEET, [piece], 6.0, 150.0) == []
    assert len(leftovers(SHEET, [piece], 6.0, 100.0)) == 1


boxes = st.tuples(
    st.floats(0, 2200), st.floats(0, 1000), st.floats(40, 900), st.floats(40, 700), st.booleans()
).map(
    lambda b: (
        shapely.Point(b[0], b[1]).buffer(b[2] / 3)
        if b[4]
        else shapely.box(b[0], b[1], b[0] + b[2], b[1] + b[3])
    )
)


@settings(max_examples=60, deadline=None)
@given(st.lists(boxes, max_size=6), st.sampled_from([60.0, 150.0, 300.0]))
def test_offcuts_keep_off_the_pieces_and_cover_all_that_is_wide_enough(pieces, least):
    found = leftovers(SHEET, pieces, 6.0, least)
    for offcut in found:
        assert offcut.is_valid
        assert SHEET.buffer(1e-6).covers(offcut)
        assert all(offcut.distance(piece) > 6.0 - 1e-6 for piece in pieces)
    free = SHEET.difference(shapely.union_all([piece.buffer(6.0) for piece in pieces]))
    # Where the middle of a disc a little wider than asked for may lie, there is an offcut.
    middles = free.buffer(-least / 2 - 6 * TRUE_TO)
    assert middles.difference(shapely.union_all(found).buffer(1e-6)).area < 1.0
