"""Surfaces larger than a sheet: parted along grooves, the joint in place of one of them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import box

from model.mat.grooves import Lines
from model.mat.settings import MatSettings, MatSheet
from model.mat.split import MatSplitError, parted

SHEET = MatSheet("s", 2000.0, 1000.0, turns="half")
S = MatSettings(sheets=(SHEET,), margin=10.0, groove_width=3.0, pitch=50.0)
LINES = Lines(50.0, 20.0)


def test_what_fits_stays_whole():
    shape = box(0, 0, 1980, 980)
    assert parted(shape, LINES, S) == [shape]


def test_the_joint_takes_the_place_of_the_groove_nearest_the_middle():
    low, high = parted(box(0, 0, 1500, 1600), LINES, S)
    # grooves at 20 + 50 k: 820 is nearest to 800; half of 3 mm is taken off either side
    assert low.bounds == pytest.approx((0, 0, 1500, 818.5))
    assert high.bounds == pytest.approx((0, 821.5, 1500, 1600))


def test_lengths_are_parted_evenly_across_the_grooves():
    parts = parted(box(0, 0, 4200, 500), LINES, S)
    assert [round(part.bounds[2] - part.bounds[0]) for part in parts] == [1398, 1397, 1398]


def test_a_plain_sheet_that_turns_by_quarters_saves_a_joint():
    tall = box(0, 0, 900, 1900)
    assert len(parted(tall, LINES, S)) == 2
    assert len(parted(tall, LINES, replace(S, sheets=(replace(SHEET, turns="quarter"),)))) == 1
    grooved = replace(SHEET, turns="quarter", grooved=True)
    assert len(parted(tall, LINES, replace(S, sheets=(grooved,)))) == 2


def test_grooves_further_apart_than_any_sheet_are_refused():
    narrow = replace(S, sheets=(MatSheet("strip", 2000.0, 140.0, turns="half"),))
    with pytest.raises(MatSplitError, match="wider sheet or a smaller pitch"):
        parted(box(0, 0, 1000, 900), Lines(150.0, 0.0), narrow)
    with pytest.raises(MatSplitError, match="smaller margin"):
        parted(box(0, 0, 1000, 900), None, replace(S, margin=500.0))


@settings(max_examples=100, deadline=None)
@given(
    wide=st.floats(100.0, 6000.0),
    tall=st.floats(100.0, 5000.0),
    spacing=st.floats(20.0, 300.0),
    phase=st.floats(0.0, 0.99),
    low=st.floats(-900.0, 900.0),
)
def test_every_part_fits_a_sheet_and_ends_half_a_groove_from_one(wide, tall, spacing, phase, low):
    lines = Lines(spacing, phase * spacing)
    whole = box(0, low, wide, low + tall)
    parts = parted(whole, lines, S)
    assert all(
        np.ptp(part.bounds[0::2]) <= 1980 + 1e-3 and np.ptp(part.bounds[1::2]) <= 980 + 1e-3 for part in parts
    )
    inner = {round(y, 4) for part in parts for y in part.bounds[1::2]} - {round(low, 4), round(low + tall, 4)}
    assert all(abs(abs(lines.off(y)) - 1.5) < 1e-3 for y in inner)
    joints = sum(part.area for part in parts)
    assert whole.area - joints <= 3.0 * (wide * len(inner) / 2 + tall * len(parts)) + 1e-3
    apart = [a.distance(b) for i, a in enumerate(parts) for b in parts[i + 1 :]]
    assert min(apart, default=3.0) == pytest.approx(3.0)
    assert shapely.union_all(parts).difference(whole.buffer(1e-6)).is_empty
