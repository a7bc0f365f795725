"""Bars in a deck's plane: footprints, turning, and where a bar that sets out must end."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely import Polygon

from model.geometry import Frame
from model.skeleton.bar_members import member_of
from model.skeleton.plan_bar import Bar, Cut, Faces, cross, left_of
from model.skeleton.strips import (
    band_extent,
    chords,
    ends,
    less,
    overlap,
    reach,
    straight,
    swap_bar,
    swap_polygon,
)
from parts.sections import rect_tube
from tests.model.member_samples import ALLOY

TUBE = rect_tube("25 x 50", 25.0, 50.0, 3.0, ALLOY)
ALONG = np.array([1.0, 0.0])


def bar(p=(0, 0), q=(400, 0), name="bar") -> Bar:
    return straight(name, "beam", TUBE, p, q)


def test_the_footprint_of_a_square_bar():
    np.testing.assert_allclose(bar().corners(), [(0, -12.5), (400, -12.5), (400, 12.5), (0, 12.5)])
    assert bar().half == 12.5
    assert bar().depth == 50
    assert bar().shortest() == 400


def test_a_slanted_cut_shortens_one_side():
    """Cut at 45 degrees through the axis at 400: 12.5 mm longer on one side, shorter on the other."""
    slanted = Bar(
        "bar",
        "rim",
        TUBE,
        np.zeros(2),
        np.array([400.0, 0]),
        Cut.through(np.zeros(2), -ALONG),
        Cut.through(np.array([400.0, 0]), np.array([1.0, 1.0])),
    )
    np.testing.assert_allclose(slanted.corners()[1:3, 0], (412.5, 387.5))
    assert slanted.shortest() == pytest.approx(387.5)
    crossed = Bar(
        "bar",
        "rim",
        TUBE,
        np.zeros(2),
        np.array([10.0, 0]),
        Cut.through(np.zeros(2), -ALONG),
        Cut.through(np.array([10.0, 0]), np.array([1.0, 1.0])),
    )
    assert crossed.shortest() < 0


@pytest.mark.parametrize(
    ("keep", "low", "high"), [(None, -25, 25), (True, -12.5, 37.5), (False, -37.5, 12.5)]
)
def test_turned_flat_about_its_axis_or_a_face(keep, low, high):
    flat = bar().turned(math.pi / 2, keep)
    assert (flat.half, flat.depth) == pytest.approx((25, 25))
    corners = flat.corners()
    assert (corners[:, 1].min(), corners[:, 1].max()) == pytest.approx((low, high))


def test_turned_half_way_it_takes_up_its_diagonal():
    turned = bar().turned(math.pi / 4)
    assert turned.half == pytest.approx((25 + 50) / 2 * math.sqrt(0.5))
    assert turned.depth == pytest.approx((25 + 50) * math.sqrt(0.5))


@pytest.mark.parametrize("roll", [0.0, math.pi / 2, 0.4])
def test_the_member_of_a_bar_hangs_from_the_top_of_the_frame(roll):
    frame = Frame.level(300.0)
    member = member_of(bar().turned(roll), frame, -2.0)
    assert member.box[1, 2] == pytest.approx(298, abs=0.01)
    assert member.box[0, 2] == pytest.approx(298 - bar().turned(roll).depth, abs=0.01)
    np.testing.assert_allclose(member.box[:, 0], (0, 400), atol=1e-9)
    assert member.length == pytest.approx(400)


def test_vectors():
    np.testing.assert_allclose(left_of(ALONG), (0, 1))
    assert cross(ALONG, np.array([0.0, 1.0])) == 1
    cut = Cut.through(np.array([5.0, 0]), ALONG * 3)
    assert cut.along(np.zeros(2), ALONG) == 5
    assert math.isinf(cut.along(np.zeros(2), np.array([0.0, 1.0])))


# --- stops


def stop(*obstacles, origin=(0, 0), way=(1, 0), half=12.5, ignore=None):
    faces = Faces()
    for name, corners in obstacles:
        faces.add_polygon(np.array(corners, dtype=float), name)
    return faces.stop(np.array(origin, dtype=float), np.array(way, dtype=float), half, ignore)


def square(x0, y0, x1, y1):
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


def test_a_bar_ends_on_the_nearest_face():
    cut, whole = stop(("near", square(100, -50, 120, 50)), ("far", square(300, -50, 320, 50)))
    assert (cut.kind, cut.meets, whole) == ("tee", "near", True)
    assert cut.along(np.zeros(2), ALONG) == pytest.approx(100)


def test_nothing_ahead_does_not_stop_it():
    assert stop(("behind", square(-100, -50, -80, 50))) is None
    assert stop() is None
    assert stop(("beside", square(100, 20, 120, 50))) is None
    assert stop(("flush", square(100, 12.5, 120, 50))) is None
    assert stop(("itself", square(100, -50, 120, 50)), ignore="itself") is None


def test_a_slanted_face_is_followed():
    cut, whole = stop(("face", [(100, -50), (140, -50), (200, 50), (160, 50)]))
    assert whole
    assert cut.along(np.zeros(2), ALONG) == pytest.approx(130)
    assert float(cut.normal @ ALONG) < 1


def test_a_corner_in_its_way_holds_the_whole_end_back():
    """Only the upper half of the end would land on the block: the cut clears its corner, and says so."""
    cut, whole = stop(("block", square(100, 0, 150, 50)))
    assert not whole
    for y in (-12, 0, 12):
        assert cut.along(np.array([0.0, y]), ALONG) <= 100 + 1e-3


def test_a_face_met_at_a_glance_is_no_landing():
    cut, _ = stop(("wedge", [(100, -12), (400, 5), (400, -60), (100, -60)]))
    assert float(cut.normal @ ALONG) > 0.9


# --- intervals


def test_intervals():
    shape = Polygon([(0, 0), (10, 0), (10, 30), (6, 30), (6, 10), (4, 10), (4, 30), (0, 30)])
    assert chords(shape, 5.0) == [(0.0, 10.0)]
    assert chords(shape, 20.0) == []
    assert less([(0, 10), (20, 30)], [(5, 25)]) == [(0, 5), (25, 30)]
    assert less([(0, 10)], [(0, 10)]) == []
    corners = np.array(square(0, 0, 10, 20), dtype=float)
    assert band_extent(corners, 2, 4) == (0, 20)
    assert band_extent(corners, 12, 14) is None
    slanted = np.array([(0, 0), (10, 10), (10, 20), (0, 10)], dtype=float)
    assert band_extent(slanted, 4, 6) == pytest.approx((4, 16))


def test_bars_swap_there_and_back():
    slanted = Bar(
        "bar",
        "rim",
        TUBE,
        np.array([1.0, 2]),
        np.array([400.0, 30]),
        Cut.through(np.zeros(2), -ALONG),
        Cut.through(np.array([400.0, 0]), np.array([1.0, 1.0])),
    )
    again = swap_bar(swap_bar(slanted, False), False)
    np.testing.assert_allclose(again.corners(), slanted.corners())
    swapped = Polygon(swap_bar(slanted, False).corners())
    assert swap_polygon(swapped, False).symmetric_difference(Polygon(slanted.corners())).area < 1e-6
    assert swap_bar(slanted, True) is slanted


def test_ends_and_overlap():
    a, b = ends(bar())
    np.testing.assert_allclose((a, b), [(0, 0), (400, 0)])
    assert reach(straight("bar", "beam", TUBE, (0, 10), (0, 90))) == (10, 90)
    assert overlap(bar(), bar((200, -100), (200, 100), "other"))
    assert not overlap(bar(), bar((0, 25), (400, 25), "beside"))
