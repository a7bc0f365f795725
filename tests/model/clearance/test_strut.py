"""Gas struts held against published worked examples and against energy over the swing."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import trapezoid

from model.clearance.lids import HungLid, hung_lids
from model.clearance.strut import (
    DEAD,
    HOLDS_FROM,
    LONGER,
    Leverage,
    balance_force,
    edge_force,
    force_at,
    leverage,
    strut_plan,
)
from tests.model.clearance.small_boat import punt


def test_published_examples() -> None:
    """Worked lids of makers: 50 kg at 0.8 and 0.6 m, two struts at 0.25 m, lid 1.2 m; 100 N at 300 mm."""
    weight = 50.0 * 9.81
    assert balance_force(weight, 0.8, 0.25, 2) == pytest.approx(784.8, abs=0.05)
    assert edge_force(784.8, 0.25, 2, 1.2) == pytest.approx(327.0, abs=0.05)
    assert balance_force(weight, 0.6, 0.25, 2) == pytest.approx(588.0, abs=0.7)  # printed as 588
    assert edge_force(588.0, 0.25, 2, 1.2) == pytest.approx(245.0, abs=0.05)
    assert balance_force(100.0, 300.0, 100.0) == pytest.approx(300.0)
    assert balance_force(100.0, 300.0, 100.0, margin=0.1) == pytest.approx(330.0)
    assert balance_force(100.0, 300.0, 100.0, 2, 0.1) == pytest.approx(165.0)


@pytest.mark.parametrize(("degrees", "factor"), [(15, 0.26), (25, 0.42), (35, 0.57), (45, 0.71), (60, 0.87)])
def test_published_share_of_a_strut_that_meets_the_lid_at_an_angle(degrees: float, factor: float) -> None:
    """A maker's table of sin g: the arm of a strut fixed a distance m out is m sin g."""
    out = 200.0
    turn = math.radians(degrees)
    frame = np.array([[out - 150.0 * math.cos(turn), -150.0 * math.sin(turn)]])
    lever = Leverage(np.array([0.0]), np.array([1.0]), 400.0)
    length, arm = lever.eyes(np.array([[out, 0.0]]), frame)
    assert length[0, 0] == pytest.approx(150.0)
    assert arm[0, 0] / out == pytest.approx(factor, abs=0.006)


def test_force_grows_with_warmth() -> None:
    """About 3.5 % for each 10 degrees C."""
    assert force_at(400.0, 30.0) == pytest.approx(414.0)
    assert force_at(400.0, 20.0) == 400.0


def test_no_arm_is_refused() -> None:
    with pytest.raises(ValueError, match="arm about the hinge"):
        balance_force(100.0, 300.0, 0.0)


def test_arm_is_the_rate_of_the_length() -> None:
    rng = np.random.default_rng(3)
    angles = np.linspace(0.0, 1.6, 4001)
    lever = Leverage(angles, np.zeros_like(angles), 500.0)
    lid, frame = rng.uniform(50.0, 400.0, (5, 2)), rng.uniform(-200.0, -20.0, (5, 2))
    length, arm = lever.eyes(lid, frame)
    np.testing.assert_allclose(np.gradient(length, angles, axis=1)[:, 1:-1], arm[:, 1:-1], atol=1e-3)


def hatch(hinge: str = "aft") -> HungLid:
    (lid,) = hung_lids(punt(hinge=hinge))
    return lid


@pytest.mark.parametrize("hinge", ["aft", "port", "forward", "starboard"])
def test_the_work_of_the_weight_is_its_rise(hinge: str) -> None:
    """The integral of the weight's moment over the swing is m g times the rise of the centre of mass."""
    lid = hatch(hinge)
    lever, motion = leverage(lid, 2001), lid.motion()
    assert lever is not None
    assert motion is not None
    matrix, offset = motion.pose(motion.limit)
    rise = float((matrix @ lid.centre + offset - lid.centre)[2])
    work = trapezoid(lever.weight_moment, lever.angles)
    assert work == pytest.approx(lid.mass * 9.81 * rise, rel=1e-5)
    assert rise > 50.0


def test_a_plan_holds_the_lid_and_is_made_of_a_strut_that_exists() -> None:
    lid = hatch()
    plan = strut_plan(lid)
    assert plan is not None
    assert np.linalg.norm(plan.on_lid - plan.on_frame) == pytest.approx(plan.closed)
    assert plan.closed >= plan.stroke + DEAD - 1e-9
    assert plan.opened - plan.closed <= plan.stroke + 1e-9
    assert 2 * plan.stroke + DEAD <= plan.opened <= 2 * plan.stroke + DEAD + LONGER
    assert plan.hand_closed > 0.0
    motion, lever = lid.motion(), leverage(lid, 181)
    assert motion is not None
    assert lever is not None
    matrix, offset = motion.pose(motion.limit)
    assert np.linalg.norm(matrix @ plan.on_lid + offset - plan.on_frame) == pytest.approx(plan.opened)
    for angle, moment in zip(lever.angles, lever.weight_moment, strict=True):
        step = 1e-5
        lengths = []
        for near in (angle - step, angle + step):
            turned, moved = motion.pose(float(near))
            lengths.append(np.linalg.norm(turned @ plan.on_lid + moved - plan.on_frame))
        rate = (lengths[1] - lengths[0]) / (2 * step)
        pressed = 1.0 + 0.25 * (plan.opened - np.mean(lengths)) / plan.stroke
        if angle >= HOLDS_FROM:
            assert plan.count * plan.force * pressed * rate >= moment * 1.14
        hand = (moment - plan.count * plan.force * pressed * rate) / lever.length
        assert abs(hand) <= plan.hand_most * 1.01 + 0.1


def test_a_lid_that_lifts_out_has_no_strut() -> None:
    assert strut_plan(hatch("none")) is None
