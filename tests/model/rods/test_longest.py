"""The longest rod that lies in a room, against closed forms, rays shot by trimesh and the CAD kernel."""

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from model.rods.longest import lies, longest
from model.rods.rod import Pose, Reel, Rod
from model.rods.settle import CLEAR, limits, settle
from tests.model.rods.rooms import box_mesh, box_room

LOW = np.array([800.0, -300.0, 100.0])


def at(*values):
    return np.array(values, dtype=float)


def in_box(size, rod):
    """The longest rod in a box by closed form: its balls' middles lie each in the box drawn in by its radius.

    The two such boxes allow, along each side of length a, middles a - r - R apart, all three at once.
    """
    apart = np.array(size) - rod.ends
    return float(np.linalg.norm(apart)) + rod.ends


@settings(max_examples=12, deadline=None)
@given(st.floats(400, 1500), st.floats(60, 500), st.floats(60, 350), st.floats(5, 40), st.floats(2, 20))
def test_in_a_box_it_lies_from_corner_to_corner(a, b, c, butt, tip):
    size = np.round([a, b, c], 1)
    rod = Rod("r", 1.0, max(butt, tip), min(butt, tip))
    found = longest(box_room(LOW, LOW + size), rod)
    assert found is not None
    # two ends, each held by three walls, a few thousandths off each
    assert found.length == pytest.approx(in_box(size, rod), abs=10 * CLEAR)


def test_in_a_rectangle_it_is_the_diagonal():
    # a slot as high as the rod is thick: Pythagoras in its plane
    rod = Rod("r", 1.0, 20, 20)
    found = longest(box_room(LOW, LOW + at(900.0, 400.0, 20.1)), rod)
    assert found.length == pytest.approx(np.hypot(880, 380) + 20, abs=0.1)


def test_a_reel_that_has_room_costs_nothing_and_one_that_has_not_costs_length():
    size = np.array([1000.0, 300.0, 200.0])
    bare = Rod("r", 1.0, 20, 8)
    room = box_room(LOW, LOW + size)
    small = Rod("r", 1.0, 20, 8, Reel(60, 40, 50, 400))
    assert longest(room, small).length == pytest.approx(in_box(size, bare), abs=0.1)
    # a box as wide as the room is long across leaves only upright planes along it: the rod lies in its middle
    wide = Rod("r", 1.0, 20, 8, Reel(60, 290.0, 80, 400))
    found = longest(room, wide)
    assert found is not None
    assert found.length < in_box(size, bare) - 5
    assert found.length > np.hypot(1000 - 28, 200 - 28)  # the diagonal of that plane is free


def test_no_rod_lies_where_its_reel_has_no_room():
    room = box_room(LOW, LOW + at(600.0, 100.0, 80.0))
    assert longest(room, Rod("r", 1.0, 20, 8, Reel(90, 110, 100, 50))) is None


def posts_in(draw, size):
    """Three posts at random places, upright and through."""
    found = []
    for _ in range(3):
        spot = draw.random(2) * (size[:2] - 60) + 5
        wide = 25 + draw.random(2) * 25
        low = LOW + at(*spot, 0.0)
        found.append((low - at(0, 0, 1.0), low + at(*wide, size[2] + 1.0)))
    return found


@pytest.mark.parametrize("seed", range(4))
def test_among_posts_no_sampled_pose_is_longer(seed):
    draw = np.random.default_rng(seed)
    size = np.array([1200.0, 350.0, 160.0])
    posts = posts_in(draw, size)
    found = longest(box_room(LOW, LOW + size, posts), Rod("r", 1.0, 0.2, 0.2))
    # rays of trimesh (embree) from 40 000 free points, half of them along the room: none runs free so far
    boxes = [box_mesh(LOW, LOW + size), *(box_mesh(*post) for post in posts)]
    scene = trimesh.util.concatenate([trimesh.Trimesh(mesh.vertices, mesh.faces) for mesh in boxes])
    points = LOW + draw.random((40_000, 3)) * size
    free = ~np.any([((points > p[0]) & (points < p[1])).all(axis=1) for p in posts], axis=0)
    points = points[free]
    flat = np.where(draw.random(len(points)) < 0.5, 1.0, 0.3)
    ways = draw.normal(size=points.shape) * flat[:, None] ** [0, 1, 2]
    ways /= np.linalg.norm(ways, axis=1)[:, None]
    reach = np.zeros(len(points))
    for sign in (1.0, -1.0):
        hit, ray, _ = scene.ray.intersects_location(points, sign * ways, multiple_hits=False)
        own = np.full(len(points), 0.0)
        own[ray] = np.linalg.norm(hit - points[ray], axis=1)
        reach += own
    assert found.length > reach.max() - 1.0
    assert found.length < np.linalg.norm(size)


def test_a_wedged_rod_touches_on_both_ends_and_overlaps_nothing():
    room = box_room(
        LOW, LOW + at(900.0, 300.0, 150.0), [(LOW + at(400.0, 100, -1), LOW + at(440.0, 140, 151))]
    )
    rod = Rod("r", 1.0, 24, 10, Reel(80, 50, 60, 120))
    found = longest(room, rod)
    held = limits(room, rod, found.pose, 1.0)
    assert held.short < CLEAR
    assert not held.blocked
    longer = limits(room, rod, found.pose.longer(1.02), 40.0)
    assert longer.blocked or longer.short > 1.0
    assert "walls" in found.held_by


def test_growing_stops_at_the_length_asked_for():
    room = box_room(LOW, LOW + at(900.0, 300.0, 150.0))
    middle = LOW + at(450.0, 150, 75)
    start = Pose.along(middle - at(100.0, 0, 0), middle + at(100.0, 0, 0))
    rod = Rod("r", 700.0, 24, 10)
    found = settle(room, rod, start, rod.length)
    assert found.length == pytest.approx(700.0, abs=0.01)
    assert lies(room, rod, [start]) is not None
    assert lies(room, rod.of_length(960.0), [start]) is None


def test_a_slimmer_rod_lies_wherever_a_stouter_one_does():
    stout = Rod("a", 1000, 30, 10, Reel(100, 80, 90, 150))
    assert Rod("b", 900, 28, 10, Reel(60, 80, 70, 170)).within(stout)
    assert Rod("b", 900, 28, 10).within(stout)
    assert not Rod("b", 1001, 28, 10).within(stout)
    assert not Rod("b", 900, 28, 10, Reel(60, 80, 70, 200)).within(stout)
    assert not stout.within(stout.bare)
