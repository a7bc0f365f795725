"""What shared cuts save: the trail cover against every order and turn of real pieces."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutlists.sticks.arrange import Arranger
from cutlists.sticks.check import faults_of
from cutlists.sticks.pieces import stock_pieces
from cutlists.sticks.problem import Problem, Stock
from model.end_cut import SawLimits
from tests.cutlists.sticks.stick_samples import (
    chance_piece,
    own_marks,
    piece,
    plan_of,
    shortest,
    tube,
)
from tests.model.member_samples import ANGLE, FLAT, HAT, ROUND, SHARP, SQUARE, TUBE

KERF = 3.2
TURNED = (TUBE, SHARP, SQUARE, ANGLE, FLAT, HAT)


def job_of(members):
    (job,) = stock_pieces(members, own_marks(members), lambda _: KERF, np.radians(0.05))
    return job


def need_of(job) -> float:
    """What the solver says the pieces of a job need in one stick, mm."""
    problem = Problem(job.kinds, (Stock("", 1e6, 1.0),), KERF, job.worth)
    return problem.need(dict.fromkeys(range(len(job.pieces)), 1)) - KERF


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 2**32 - 1), st.sampled_from(TURNED), st.integers(1, 4))
def test_the_need_of_a_stick_is_the_least_over_every_order_and_turn(seed, section, count):
    rng = np.random.default_rng(seed)
    members = [chance_piece(rng, f"p.{k}", section, 200.0, 400.0) for k in range(count)]
    assert need_of(job_of(members)) == pytest.approx(shortest(members, KERF), abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 2**32 - 1), st.sampled_from((*TURNED, ROUND)), st.integers(1, 9))
def test_the_pieces_are_laid_in_no_more_than_their_need(seed, section, count):
    rng = np.random.default_rng(seed)
    members = [chance_piece(rng, f"p.{k}", section, 150.0, 400.0) for k in range(count)]
    job = job_of(members)
    arranger = Arranger(job, KERF, np.radians(0.05), SawLimits())
    placed, saved = arranger.lay(job.pieces, [p.names[0] for p in job.pieces], 0.0)
    need = need_of(job)
    assert placed[-1].end == pytest.approx(need, abs=1e-6)
    apart = sum(p.length for p in job.pieces) + KERF * (count - 1)
    assert saved == pytest.approx(apart - need, abs=1e-6)


def test_a_ring_of_mitres_shares_all_cuts_but_one():
    """Four sides of a frame, each 45 degrees at both ends with the long points on one side."""
    members = [piece(f"rim.{k}", 500.0, (45.0, 0.0), (-45.0, 0.0)) for k in range(4)]
    triangle = TUBE.width - KERF * (np.sqrt(2.0) - 1.0)  # an isosceles right triangle is as long as wide
    long = 4 * (500.0 + TUBE.width) + 3 * KERF
    assert need_of(job_of(members)) == pytest.approx(long - 3 * triangle, abs=1e-6)


def test_round_tube_is_rolled_to_share_any_equal_mitre():
    members = [
        piece("one", 400.0, (0.0, 0.0), (30.0, 0.0), ROUND),
        piece("two", 400.0, (0.0, 30.0), (0.0, 0.0), ROUND),
    ]
    (stock,) = plan_of(members, tube([2000.0])).stocks
    assert stock.sticks[0].placed[1].shares
    assert stock.saved == pytest.approx(
        ROUND.width * np.tan(np.radians(30.0)) - 3.0 * (1.0 / np.cos(np.radians(30.0)) - 1.0)
    )


def test_compound_ends_share_with_their_match_and_not_with_their_mirror_image():
    one = piece("one", 400.0, (0.0, 0.0), (30.0, 20.0))
    match = piece("match", 400.0, (30.0, 20.0), (0.0, 0.0))
    mirror = piece("mirror", 400.0, (-30.0, 20.0), (0.0, 0.0))
    for other, shares in ((match, True), (mirror, False)):
        members = [one, other]
        plan = plan_of(members, tube([2000.0]))
        (stick,) = plan.stocks[0].sticks
        assert [placed.shares for placed in stick.placed] == [False, shares]
        assert faults_of(plan, members) == []


def test_an_angle_that_cannot_be_rolled_is_turned_end_for_end_only():
    """The legs of an angle differ, so a mitre across one leg has no match across the other."""
    across = piece("across", 400.0, (0.0, 0.0), (45.0, 0.0), ANGLE)
    up = piece("up", 400.0, (0.0, 45.0), (0.0, 0.0), ANGLE)
    (stick,) = plan_of([across, up], tube([2000.0])).stocks[0].sticks
    assert not any(placed.shares for placed in stick.placed)
