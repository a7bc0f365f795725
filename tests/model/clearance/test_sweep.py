"""The first touch of a moving body held against closed forms, dense sampling and the CAD kernel."""

from __future__ import annotations

import math

import numpy as np
import pytest
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from scipy.optimize import brentq
from scipy.spatial.transform import Rotation

from model.clearance.motion import Slide, Turn
from model.clearance.solid import Solid
from model.clearance.sweep import NEAR, first_touch
from model.geometry import Frame
from model.prism import Prism
from model.prism_solid import prism_solid
from parts.outline import Loop

LENGTH, THICK = 500.0, 3.0
HINGE = Turn(np.zeros(3), np.array([0.0, -1.0, 0.0]), math.radians(110.0))
"""A hinge athwart at the aft edge of a lid that lies forward of it, its upper face at z = 0."""


def block(x: tuple[float, float], y: tuple[float, float], z: tuple[float, float]) -> Prism:
    outline = Loop.rectangle(x[1] - x[0], y[1] - y[0], centre=((x[0] + x[1]) / 2, (y[0] + y[1]) / 2))
    return Prism(Frame.level(0.0), outline, (), z[0], z[1])


def solid(prism: Prism) -> Solid:
    return Solid.of_mesh(prism.mesh(0.02))


PLATE = block((0.0, LENGTH), (-150.0, 150.0), (-THICK, 0.0))


def touched_at(*still: Prism, moving: tuple[Prism, ...] = (PLATE,)) -> float | None:
    found = first_touch([solid(p) for p in moving], [solid(p) for p in still], HINGE)
    return None if found is None else found.at


def slack(radius: float) -> float:
    """Twice the angle in which a point at a radius travels the gap that counts as a touch."""
    return 2.0 * NEAR / radius


@pytest.mark.parametrize(("x", "z"), [(400.0, 300.0), (120.0, 200.0), (60.0, 20.0), (30.0, 400.0)])
def test_a_bar_over_the_lid_is_met_by_its_upper_face(x: float, z: float) -> None:
    """The face turns through the bar's lower forward edge (x, z) at atan(z / x)."""
    bar = block((x - 40.0, x), (-20.0, 20.0), (z, z + 30.0))
    assert touched_at(bar) == pytest.approx(math.atan2(z, x), abs=slack(math.hypot(x, z)))


def test_a_ceiling_is_met_by_the_far_edge() -> None:
    ceiling = block((-600.0, 600.0), (-300.0, 300.0), (420.0, 430.0))
    assert touched_at(ceiling) == pytest.approx(math.asin(420.0 / LENGTH), abs=3 * slack(LENGTH))


def test_a_stiffener_swings_out_before_it_comes_up() -> None:
    """The lower far corner (L, -D) stands at L cos t + D sin t, which passes the wall on the way."""
    depth, wall = 60.0, LENGTH + 2.0
    stiffener = block((LENGTH - 20.0, LENGTH), (-100.0, 100.0), (-depth, -THICK))
    own = touched_at(block((wall, wall + 10.0), (-300.0, 300.0), (-200.0, 100.0)), moving=(PLATE, stiffener))
    there = brentq(
        lambda t: LENGTH * math.cos(t) + depth * math.sin(t) - wall, 0.0, math.atan2(depth, LENGTH)
    )
    rate = depth * math.cos(there) - LENGTH * math.sin(there)
    assert own == pytest.approx(there, abs=2 * NEAR / rate)
    reach = math.hypot(LENGTH, depth)
    assert (
        touched_at(block((reach + 0.5, reach + 9.0), (-9.0, 9.0), (-200.0, 100.0)), moving=(PLATE, stiffener))
        is None
    )


def test_a_wire_that_poses_a_degree_apart_would_miss() -> None:
    """It stands within 0.1 mm of the far edge's arc: the lid passes it within a third of a degree."""
    radius, turn = LENGTH - 0.05, math.radians(40.5)
    x, z = radius * math.cos(turn), radius * math.sin(turn)
    wire = Prism(Frame.level(0.0), Loop.circle(0.2, centre=(x, 0.0)), (), z, z + 0.2)
    corner = math.atan2(z, x + 0.1)
    assert touched_at(wire) == pytest.approx(corner, abs=2 * slack(radius))


def test_what_lies_beyond_the_swing_is_not_touched() -> None:
    assert touched_at(block((LENGTH + 1.0, LENGTH + 50.0), (-50.0, 50.0), (0.0, 400.0))) is None
    assert touched_at(block((-300.0, -260.0), (-50.0, 50.0), (0.0, 400.0))) is None
    beside = block((100.0, 400.0), (152.0, 200.0), (-50.0, 400.0))
    assert touched_at(beside) is None


def test_behind_the_hinge_the_open_lid_meets_a_wall() -> None:
    """At 90 degrees and t more the upper face leans on the wall's upper edge: sin t = x / z."""
    wall = block((-60.0, -50.0), (-150.0, 150.0), (0.0, 300.0))
    lean = math.atan2(50.0, 300.0)
    assert touched_at(wall) == pytest.approx(math.pi / 2 + lean, abs=slack(300.0))


def test_the_first_of_many_is_told_with_its_place() -> None:
    still = [
        block((380.0, 420.0), (-20.0, 20.0), (300.0, 320.0)),
        block((200.0, 260.0), (90.0, 110.0), (80.0, 90.0)),
        block((100.0, 150.0), (-20.0, 20.0), (200.0, 220.0)),
    ]
    found = first_touch([solid(PLATE)], [solid(p) for p in still], HINGE)
    assert found is not None
    assert found.solid == 1
    assert found.at == pytest.approx(math.atan2(80.0, 260.0), abs=slack(272.0))
    np.testing.assert_allclose(found.where[[0, 2]], [260.0, 80.0], atol=0.1)
    assert 90.0 - 0.1 <= found.where[1] <= 110.0 + 0.1


def test_a_touch_at_rest_is_told_at_once() -> None:
    assert touched_at(block((100.0, 200.0), (-50.0, 50.0), (-1.0, 50.0))) == 0.0


def test_random_obstacles_against_dense_poses_and_the_kernel() -> None:
    """Poses a tenth of a degree apart: free up to the touch, met at the next; the kernel agrees."""
    rng = np.random.default_rng(5)
    met = 0
    for _ in range(12):
        turned = Rotation.random(random_state=rng).as_matrix()
        way = math.radians(rng.uniform(5.0, 100.0))
        centre = rng.uniform(100.0, 480.0) * np.array([math.cos(way), 0.0, math.sin(way)])
        frame = Frame(centre, turned[:, 0], turned[:, 1], turned[:, 2])
        box = Prism(frame, Loop.rectangle(60.0, 25.0), (), -15.0, 15.0)
        found = first_touch([solid(PLATE)], [solid(box)], HINGE)
        poses = np.radians(np.arange(0.0, 110.0, 0.1))
        still, lid = solid(box), solid(PLATE)
        gaps = []
        for pose in poses:
            matrix, offset = HINGE.pose(float(pose))
            gaps.append(Solid.of_mesh(lid.mesh.transformed(matrix, offset)).gap(still, 5.0))
        hits = np.flatnonzero(np.array(gaps) == 0.0)
        if not len(hits):
            assert found is None or min(gaps) < 0.5
            continue
        met += 1
        assert found is not None
        assert poses[max(hits[0] - 1, 0)] - 1e-3 <= found.at <= poses[hits[0]] + 1e-6
        assert kernel_gap(box, found.at) < 0.05
        if found.at > 0.02:
            assert kernel_gap(box, found.at - 0.02) > 0.0
    assert met >= 8


def kernel_gap(box: Prism, at: float) -> float:
    """The kernel's distance of an obstacle from the lid turned to an angle."""
    matrix, offset = HINGE.pose(at)
    frame = PLATE.frame
    moved = Frame(matrix @ frame.origin + offset, *(matrix @ axis for axis in (frame.x, frame.y, frame.z)))
    turned = Prism(moved, PLATE.outline, (), PLATE.z0, PLATE.z1)
    return float(BRepExtrema_DistShapeShape(prism_solid(turned), prism_solid(box)).Value())


def test_a_slide_meets_what_is_ahead() -> None:
    lift = Slide(np.array([0.0, 0.0, 1.0]), 300.0)
    over = block((450.0, 700.0), (0.0, 90.0), (120.0, 130.0))
    found = first_touch([solid(PLATE)], [solid(over)], lift)
    assert found is not None
    assert found.at == pytest.approx(120.0, abs=NEAR)
    assert (
        first_touch([solid(PLATE)], [solid(block((501.0, 700.0), (0.0, 90.0), (120.0, 130.0)))], lift) is None
    )


def test_a_turn_is_a_rotation() -> None:
    rng = np.random.default_rng(1)
    for _ in range(20):
        axis = rng.normal(size=3)
        axis /= np.linalg.norm(axis)
        point = rng.normal(size=3) * 100.0
        angle = rng.uniform(-3.0, 3.0)
        matrix, offset = Turn(point, axis, 1.0).pose(angle)
        np.testing.assert_allclose(matrix, Rotation.from_rotvec(angle * axis).as_matrix(), atol=1e-12)
        np.testing.assert_allclose(matrix @ point + offset, point, atol=1e-9)
