"""Whole stick plans: judged by geometry, held against every plan there is and against an arc-flow."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

from cutlists.shop_file import read_shop
from cutlists.sticks.check import faults_of
from cutlists.sticks.plan import plan_sticks, stick_plan
from cutlists.sticks.problem import Kind, Problem, Stock
from cutlists.sticks.records import StickPlan
from cutlists.sticks.settings import OnRack, StickSettings
from cutlists.sticks.solve import Solver
from model.boat import load_boat
from parts.faults import BadInput
from tests.cutlists.sticks.stick_samples import (
    FAMILIES,
    chance_piece,
    instance,
    own_marks,
    partitions,
    piece,
    plan_of,
    tube,
)
from tests.model.member_samples import SQUARE, TUBE, random_member

CONFIGS = Path("configs")
SMALL = ("PM_u010_01", "PM_u020_03", "PM_u030_05", "PM_u060_07", "PM_u120_04")


@pytest.mark.parametrize("name", ["lake16", "flat14", "vee18"])
def test_the_plans_of_the_demo_boats_are_true(name):
    shop = read_shop(CONFIGS / "shop.yaml")
    boat = load_boat(CONFIGS / f"{name}.yaml", catalogue=shop.catalogue)
    plan = stick_plan(boat, replace(shop.sticks, seconds=2.0), limits=shop.saw.limits)
    assert faults_of(plan, boat.members) == []
    for stock in plan.stocks:
        assert stock.solved.cost >= stock.solved.cost_bound - 1e-6
        assert stock.plain is None or stock.solved.cost <= stock.plain.cost + 1e-6
        metal = sum(placed.piece.middle for stick in stock.sticks for placed in stick.placed)
        own = sum(m.volume / m.section.area for m in boat.members if m.section.stock == stock.stock)
        assert metal == pytest.approx(own, abs=0.1 * len(boat.members))


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 2**32 - 1), st.sampled_from(FAMILIES), st.integers(1, 14))
def test_any_plan_is_true(seed, section, count):
    """Any pieces, marks that stand for several, lengths on hand, kerf and trim."""
    rng = np.random.default_rng(seed)
    members, marks = [], {}
    for k in range(count):
        made = random_member(rng, section) if rng.random() < 0.3 else chance_piece(rng, "", section, 120, 900)
        for copy in range(int(rng.integers(1, 4))):
            members.append(replace(made, name=f"p.{k}.{copy}"))
            marks[members[-1].name] = f"F{k + 1}"
    offcuts = [OnRack(f"rack {k}", float(rng.uniform(300, 2500)), int(rng.integers(1, 3))) for k in range(2)]
    kerf, trim = float(rng.uniform(0.8, 4.0)), float(rng.choice([0.0, 6.0]))
    bought = tube([(6096.0, 50.0), (7315.2, 62.0)], kerf, trim, offcuts, keep=300.0)
    plan = plan_sticks(members, marks, StickSettings(usual=bought, seconds=0.6))
    assert faults_of(plan, members) == []


@settings(max_examples=12, deadline=None)
@given(st.integers(0, 2**32 - 1), st.sampled_from(FAMILIES), st.sampled_from((0.05, 0.3, 1.0)))
def test_ends_that_are_nearly_alike_share_a_cut_with_room_to_spare(seed, section, same_cut):
    """Angles strewn about a few by up to twice what is deemed the same, some of them about square."""
    rng = np.random.default_rng(seed)

    def end() -> tuple[float, float]:
        first, second = rng.choice((0.0, 0.0, 30.0, -30.0), 2) + rng.uniform(-1.0, 1.0, 2) * same_cut
        return (first, second if rng.random() < 0.3 else 0.0)

    members = [piece(f"p.{k}", 300.0 + 20 * k, end(), end(), section) for k in range(8)]
    shop = StickSettings(usual=tube([2500.0]), seconds=0.3, same_cut=float(np.radians(same_cut)))
    assert faults_of(plan_sticks(members, own_marks(members), shop), members) == []


def spoiled(plan: StickPlan, **changes) -> StickPlan:
    """The plan with its first stick changed."""
    first = replace(plan.stocks[0].sticks[0], **changes)
    sticks = (first, *plan.stocks[0].sticks[1:])
    return replace(plan, stocks=(replace(plan.stocks[0], sticks=sticks), *plan.stocks[1:]))


def test_the_checker_finds_what_is_wrong():
    members = [piece(f"p.{k}", 300.0, (45.0, 0.0), (-45.0, 0.0)) for k in range(3)]
    plan = plan_of(members, tube([2000.0], trim=5.0))
    assert faults_of(plan, members) == []
    (stick,) = plan.stocks[0].sticks
    one, two, three = stick.placed

    def told(**changes) -> str:
        return "; ".join(faults_of(spoiled(plan, **changes), members))

    assert "is cut 0 times" in told(placed=(one, two))
    assert "is cut 2 times" in told(placed=(one, two, three, replace(three, start=three.end + 3.0)))
    assert "less than the kerf" in told(placed=(one, replace(two, start=two.start - 0.5), three))
    assert "sticks out" in told(placed=(one, two, replace(three, start=1900.0)))
    assert "sticks out" in told(placed=(replace(one, start=4.0), two, three))
    assert "overlap" in told(placed=(one, replace(two, start=three.start), replace(three, start=two.start)))
    assert "no cut makes" in told(cuts=stick.cuts[:-1])
    assert "goes" in told(cuts=tuple(replace(cut, at=cut.at - 1.0) for cut in stick.cuts))
    assert "can be bought" in told(length=1999.0)
    assert "are there" in told(label="rack")
    turned = replace(two, turn=np.diag([-1.0, -1.0, 1.0]) @ two.turn)
    assert told(placed=(one, turned, three)) != ""


@settings(max_examples=6, deadline=None)
@given(st.integers(0, 2**32 - 1), st.sampled_from((TUBE, SQUARE)), st.integers(2, 5))
def test_small_jobs_are_planned_as_well_as_can_be(seed, section, count):
    """Every way to part the pieces over sticks, every order and turn in each: cost, number, longest drop."""
    rng = np.random.default_rng(seed)
    members = [chance_piece(rng, f"p.{k}", section, 200.0, 700.0) for k in range(count)]
    bought = [(1000.0, 10.0), (1500.0, 14.0)]
    (stock,) = plan_of(members, tube(bought, kerf=3.0)).stocks
    cost, number, drop = partitions(members, bought, 3.0)
    assert stock.solved.cost == pytest.approx(cost)
    assert len(stock.sticks) == number
    assert stock.longest_offcut == pytest.approx(drop, abs=1e-6)
    assert stock.solved.is_longest


def arc_flow(pieces: list[int], stick: int, kerf: int) -> int:
    """The fewest sticks by a flow through places 0 .. stick + kerf, an arc for each piece and for waste."""
    room = stick + kerf
    kinds = sorted(set(pieces), reverse=True)
    arcs = [(at, at + kind + kerf, k) for k, kind in enumerate(kinds) for at in range(room - kind - kerf + 1)]
    arcs += [(at, at + 1, -1) for at in range(room)]
    count = len(arcs)
    rows, columns, values = [], [], []
    for arc, (start, end, kind) in enumerate(arcs):
        rows += [start, end]
        columns += [arc, arc]
        values += [1.0, -1.0]
        if kind >= 0:
            rows.append(room + 1 + kind)
            columns.append(arc)
            values.append(1.0)
    rows += [0, room]
    columns += [count, count]
    values += [-1.0, 1.0]
    matrix = coo_array((values, (rows, columns)), shape=(room + 1 + len(kinds), count + 1)).tocsr()
    wanted = np.array([0.0] * (room + 1) + [float(pieces.count(kind)) for kind in kinds])
    upper = np.concatenate([wanted[: room + 1], np.full(len(kinds), np.inf)])
    cost = np.zeros(count + 1)
    cost[-1] = 1.0
    found = milp(cost, constraints=LinearConstraint(matrix, wanted, upper), integrality=np.ones(count + 1),
                 bounds=Bounds(0, np.inf))  # fmt: skip
    assert found.status == 0
    return round(found.fun)


def solved(pieces: list[float], stick: float, kerf: float, seconds: float = 8.0, small: int = 600):
    lengths = sorted(set(pieces))
    kinds = tuple(Kind(f"F{k}", one, pieces.count(one)) for k, one in enumerate(lengths))
    return Solver(Problem(kinds, (Stock("", stick, 1.0),), kerf), seconds, small).solve()


@settings(max_examples=10, deadline=None)
@given(st.lists(st.integers(5, 30), min_size=3, max_size=14), st.integers(0, 3), st.sampled_from((0, 600)))
def test_as_few_sticks_as_a_flow_finds(pieces, kerf, small):
    """An arc-flow model on scipy's solver, written for this test; kerf 0 is allowed to the solver only."""
    found = solved([float(one) for one in pieces], 45.0, float(kerf), small=small)
    assert len(found.sticks) == arc_flow(pieces, 45, kerf)
    assert found.is_fewest


@pytest.mark.parametrize("name", SMALL)
def test_open_instances_with_kerf_are_solved_to_their_known_optimum(name):
    pieces, stick, kerf, optimum = instance(name)
    found = solved([float(one) for one in pieces], stick, kerf)
    assert len(found.sticks) == optimum
    assert found.is_fewest


def test_lengths_on_hand_go_first_and_money_before_number():
    members = [piece(f"p.{k}", 900.0) for k in range(4)]
    rack = [OnRack("rack 1", 950.0), OnRack("rack 2", 2000.0)]
    (stock,) = plan_of(members, tube([(1000.0, 5.0), (4000.0, 30.0)], offcuts=rack)).stocks
    assert [(stick.label, len(stick.placed)) for stick in stock.sticks] == [
        ("rack 1", 1), ("rack 2", 2), ("", 1),
    ]  # fmt: skip
    assert stock.solved.cost == 5.0
    (dear,) = plan_of(members, tube([(1000.0, 12.0), (4000.0, 30.0)])).stocks
    assert dear.bought == {4000.0: 1}
    (cheap,) = plan_of(members, tube([(1000.0, 7.0), (4000.0, 30.0)])).stocks
    assert cheap.bought == {1000.0: 4}


def test_kerf_is_taken_between_pieces_and_not_after_the_last():
    """Three of 998 and two kerfs of 3 are 3000 exactly."""
    members = [piece(f"p.{k}", 998.0) for k in range(3)]
    (stock,) = plan_of(members, tube([3000.0])).stocks
    assert len(stock.sticks) == 1
    (two,) = plan_of(members, tube([2999.9])).stocks
    assert len(two.sticks) == 2


def test_a_piece_that_no_stick_holds_is_told_with_what_is_over_and_a_splice():
    members = [piece("deck/rim.1", 7400.0), piece("deck/beam.1", 500.0), piece("deck/rim.2", 16000.0)]
    with pytest.raises(BadInput) as caught:
        plan_sticks(members, own_marks(members), StickSettings())
    first, second = (str(fault) for fault in caught.value.faults)
    assert 'deck/rim.1 (F1) is 291-5/16" long, 3-13/16" longer than any stick of' in first
    assert 'splice it from 2 lengths of about 145-11/16"' in first
    assert "deck/rim.2 (F3)" in second
    assert "splice it from 3 lengths" in second


def test_long_pieces_that_outnumber_the_long_offcuts_are_told():
    members = [piece(f"p.{k}", 1500.0) for k in range(3)]
    rack = [OnRack("rack", 2000.0, 2)]
    with pytest.raises(BadInput, match="outnumber those lengths"):
        plan_of(members, tube([1000.0], offcuts=rack))


def test_no_members_make_an_empty_plan():
    plan = plan_sticks([], {}, StickSettings())
    assert plan.stocks == ()
    assert plan.saved == 0


def test_matching_mitres_are_brought_together_where_that_saves_a_stick():
    """Six mitres, two pieces of each: two sticks hold three pairs each, but no other dozen of neighbours."""
    angles = (40.0, 35.0, 30.0, 25.0, 20.0, 15.0)
    members = [
        piece(f"p.{angle}.{k}", 300.0, (0.0, 0.0), (angle, 0.0), SQUARE) for angle in angles for k in range(2)
    ]
    (stock,) = plan_of(members, tube([1818.0])).stocks
    assert len(stock.plain.sticks) == 3
    assert len(stock.sticks) == 2
    by_hand = sum(
        SQUARE.width * np.tan(np.radians(angle)) - 3.0 * (1.0 / np.cos(np.radians(angle)) - 1.0)
        for angle in angles
    )
    assert stock.saved == pytest.approx(by_hand, abs=1e-6)
