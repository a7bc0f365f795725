"""Grooves as one family of planes: where they fall on decks, risers and slopes."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from model.geometry import UP, Frame
from model.mat.grooves import Lines, laid
from model.mat.settings import MatSettings

S = MatSettings(pitch=50.0, offset=7.0)


def facing(angle: float, x: float = 900.0, y: float = -120.0) -> Frame:
    """An upright face that looks in a direction in plan (degrees from forward towards port)."""
    out = np.array([math.cos(math.radians(angle)), math.sin(math.radians(angle)), 0.0])
    return Frame(np.array([x, y, 0.0]), np.cross(UP, out), UP, out)


def test_on_a_level_deck_lines_lie_at_their_distance_from_the_centreline():
    frame, lines = laid(Frame.level(400.0, x=300.0, y=20.0), S)
    assert lines is not None
    assert lines.spacing == pytest.approx(50.0)
    # y = 20 + own y; 7 + 50 k
    assert lines.between(-30.0, 90.0) == pytest.approx([-13.0, 37.0, 87.0])
    assert frame.x == pytest.approx([1.0, 0.0, 0.0])


@pytest.mark.parametrize(("looks", "along"), [(180.0, [0, 0, 1]), (0.0, [0, 0, -1])])
def test_walking_forward_leads_up_a_face_that_looks_aft_and_down_one_that_looks_forward(looks, along):
    frame, lines = laid(facing(looks), S)
    assert lines is not None
    assert lines.spacing == pytest.approx(50.0)
    assert frame.x == pytest.approx(along, abs=1e-12)
    assert frame.z == pytest.approx(facing(looks).z)


@settings(max_examples=100, deadline=None)
@given(
    looks=st.floats(-180.0, 180.0),
    x=st.floats(-2000.0, 2000.0),
    y=st.floats(-900.0, 900.0),
    pitch=st.floats(10.0, 120.0),
    offset=st.floats(-200.0, 200.0),
    direction=st.sampled_from(["fore_aft", "athwart"]),
)
def test_every_line_lies_in_a_plane_of_the_family(looks, x, y, pitch, offset, direction):
    wanted = replace(S, pitch=pitch, offset=offset, direction=direction)
    frame, lines = laid(facing(looks, x, y), wanted)
    slope = (
        abs(math.cos(math.radians(looks))) if direction == "fore_aft" else abs(math.sin(math.radians(looks)))
    )
    if lines is None:
        assert slope < 0.5 + 1e-9
        return
    assert lines.spacing == pytest.approx(pitch / slope)
    at = np.array([(u, v) for v in lines.between(-300.0, 300.0) for u in (-80.0, 140.0)])
    across = frame.to_boat(at)[:, 1 if direction == "fore_aft" else 0]
    steps = (across - offset) / pitch
    assert np.abs(steps - np.round(steps)).max() < 1e-6


def test_side_faces_are_plain_or_get_upright_lines_counted_from_the_transom():
    assert laid(facing(90.0), S)[1] is None
    frame, lines = laid(facing(90.0), replace(S, side_faces="upright"))
    assert lines is not None
    x = frame.to_boat(np.array([(0.0, v) for v in lines.between(0.0, 200.0)]))[:, 0]
    assert (x / 50.0) == pytest.approx(np.round(x / 50.0))


def test_on_a_deck_that_rises_forward_fore_and_aft_lines_keep_their_pitch():
    slope = math.radians(8.0)
    rising = Frame.make(
        (0, 0, 300), (math.cos(slope), 0, math.sin(slope)), (-math.sin(slope), 0, math.cos(slope))
    )
    _, lines = laid(rising, S)
    assert lines is not None
    assert (lines.spacing, lines.phase) == pytest.approx((50.0, 7.0))
    _, across = laid(rising, replace(S, direction="athwart", offset=0.0))
    assert across is not None
    # 50 mm in plan are 50 / cos 8 deg along the slope
    assert across.spacing == pytest.approx(50.0 / math.cos(slope))


def test_no_grooves_at_all_where_none_are_wanted():
    assert laid(Frame.level(0.0), replace(S, direction="none"))[1] is None


@settings(max_examples=100, deadline=None)
@given(spacing=st.floats(5.0, 100.0), share=st.floats(0.0, 0.999), y=st.floats(-500.0, 500.0))
def test_distance_from_the_nearest_line(spacing, share, y):
    lines = Lines(spacing, share * spacing)
    off = lines.off(y)
    assert -spacing / 2 - 1e-9 <= off <= spacing / 2 + 1e-9
    near = lines.between(y - spacing, y + spacing)
    assert abs(off) == pytest.approx(np.abs(near - y).min(), abs=1e-6)
