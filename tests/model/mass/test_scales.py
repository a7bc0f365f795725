"""Mass and centre from scale readings: moments about any point, by hand."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.mass.scales import BadScalesError, weighed


def test_two_scales_share_a_boat_as_the_ends_of_a_lever():
    # 300 and 100 at 500 and 4500 mm: 400 in all, 4000 * 100 / 400 = 1000 mm forward of the first
    mass, centre = weighed(np.array([[500.0, 0.0], [4500.0, 0.0]]), [300.0, 100.0], [0.0, 0.0])
    assert mass == 400.0
    assert centre == pytest.approx([1500.0, 0.0])


def test_four_scales_tell_the_list_too():
    places = np.array([[0.0, 600.0], [0.0, -600.0], [3000.0, 400.0], [3000.0, -400.0]])
    mass, centre = weighed(places, [110.0, 90.0, 52.0, 48.0], [0.0] * 4)
    assert mass == 300.0
    assert centre == pytest.approx([1000.0, (600.0 * 20.0 + 400.0 * 4.0) / 300.0])


def test_a_trailer_is_taken_off_and_may_be_lightened_at_its_jack():
    # centre aft of the axle lifts the tongue: 20 kg less at the jack with the boat than without
    mass, centre = weighed(np.array([[1000.0, 0.0], [5000.0, 0.0]]), [420.0, 30.0], [150.0, 50.0])
    assert mass == 250.0
    assert centre[0] == pytest.approx((1000.0 * 270.0 - 5000.0 * 20.0) / 250.0)


@given(
    st.lists(st.tuples(st.floats(0, 5000), st.floats(-900, 900), st.floats(1, 400)), min_size=2, max_size=6),
    st.floats(-3000, 3000),
)
def test_where_the_boat_is_measured_from_does_not_matter(scales, shift):
    places = np.array([s[:2] for s in scales])
    if np.ptp(places[:, 0]) < 60.0:
        return
    reads, none = [s[2] for s in scales], [0.0] * len(scales)
    mass, centre = weighed(places, reads, none)
    moved_mass, moved = weighed(places + np.array([shift, 0.0]), reads, none)
    assert moved_mass == mass
    assert moved - np.array([shift, 0.0]) == pytest.approx(centre, abs=1e-6)


@pytest.mark.parametrize(
    ("places", "reads", "trailer", "told"),
    [
        ([[0.0, 0.0]], [100.0], [0.0], "one scale"),
        ([[900.0, 500.0], [910.0, -500.0]], [100.0, 100.0], [0.0, 0.0], "one station"),
        ([[0.0, 0.0], [3000.0, 0.0]], [100.0, 40.0], [120.0, 60.0], "no more with the boat"),
    ],
)
def test_readings_that_cannot_be_are_refused(places, reads, trailer, told):
    with pytest.raises(BadScalesError, match=told):
        weighed(np.array(places), reads, trailer)
