"""The longest straight thing that gets through, against published and closed forms."""

import numpy as np
import pytest
import shapely
from scipy.optimize import minimize_scalar
from shapely import box

from model.rods.thread import Blocked, thread

HUGE = box(-30_000, -30_000, 30_000, 30_000)
ANGLES = np.radians(np.arange(0.75, 180, 3.0))
DISTANCES = np.arange(-1200, 1201, 30.0)


def within(shape):
    """Chooses stretches whose two ends lie in a convex shape, to a hundredth of a millimetre."""
    grown = shape.buffer(0.01)

    def chosen(ends):
        return shapely.contains_xy(grown, ends[..., 0], ends[..., 1]).all(axis=1)

    return chosen


def through(free, source, target, middle, radius=0.0):
    blocked = Blocked.grown(np.array([HUGE.difference(free)]), radius)
    return thread(blocked, np.array(middle), ANGLES, DISTANCES, within(source), within(target), 5, 200.0)


@pytest.mark.parametrize(("a", "b"), [(900.0, 600.0), (500.0, 500.0), (300.0, 800.0)])
def test_a_ladder_round_a_corner(a, b):
    # The ladder problem of the calculus books: (a^(2/3) + b^(2/3))^(3/2).
    up, along = box(0, -5000, a, b), box(0, 0, 5000, b)
    found = through(up | along, up, along, [a - 40, 30])
    assert found.length == pytest.approx((a ** (2 / 3) + b ** (2 / 3)) ** 1.5, rel=3e-4)


def test_a_thick_ladder_round_a_corner():
    # At a slant t the middle line of a bar of radius r runs r off the corner and ends r off both outer walls;
    # the shortest of these is what gets round.
    a, b, r = 900.0, 600.0, 40.0

    def length(t):
        x, y = a - r * np.sin(t), r * np.cos(t)
        low, high = y + (r - x) * np.tan(t), x + (b - r - y) / np.tan(t)
        return float(np.hypot(high - r, b - r - low))

    least = minimize_scalar(length, bounds=(0.1, 1.4), method="bounded").fun
    up, along = box(0, -5000, a, b), box(0, 0, 5000, b)
    found = through(up | along, up, along, [a - 40, 30], r)
    # arcs are drawn from outside, a hundredth of the radius off: never too long
    assert least * (1 - 2e-3) < found.length < least * (1 + 1e-4)


def test_into_a_box_through_a_slit_in_its_lid():
    # A slit in the lid of a box 1000 by 200: the last moment before it lies below reaches from the slit's far
    # edge, at the lid's under face, to the far corner of the floor; Pythagoras.
    inside, slit, sky = box(0, 0, 1000, 200), box(350, 200, 650, 215), box(-4000, 215, 4000, 5000)
    found = through(inside | slit | sky, sky, inside, [500.0, 200.0])
    assert found.length == pytest.approx(np.hypot(650, 200), rel=1e-3)


def test_every_pose_of_the_way_is_free_and_they_go_on_from_each_other():
    up, along = box(0, -5000, 900, 600), box(0, 0, 5000, 600)
    free = up | along
    found = through(free, up, along, [860, 30])
    lines = shapely.linestrings(found.path)
    assert np.allclose(shapely.length(lines), found.length)
    assert shapely.length(shapely.difference(lines, free.buffer(0.5))).max() < 1e-6
    moves = np.linalg.norm(np.diff(found.path, axis=0), axis=2).max(axis=1)
    assert moves.max() < 150
    assert within(up)(found.path[:1])[0]
    assert within(along)(found.path[-1:])[0]


def test_a_wall_between_lets_nothing_through():
    left, right = box(0, 0, 1000, 500), box(1010, 0, 2000, 500)
    assert through(left | right, left, right, [1000, 250]) is None
