"""The stick plan of a boat: members, stock and settings to sticks, checked before they are handed out."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from cutlists.sticks.check import faults_of
from cutlists.sticks.lay_out import StickLayer
from cutlists.sticks.pieces import StockPieces, stock_pieces
from cutlists.sticks.problem import Problem, Stock
from cutlists.sticks.records import StickPlan, StockPlan
from cutlists.sticks.settings import StickSettings, Tube
from cutlists.sticks.shared_cuts import LONE
from cutlists.sticks.solve import CannotCut, Solved, Solver
from cutlists.sticks.too_long import crowded_out, none_holds
from model.end_cut import SawLimits
from model.member_table import MemberTable
from parts.faults import BadInput, FaultList, Place

if TYPE_CHECKING:
    from model.boat import Boat
    from model.member import Member

Tell = Callable[[str], None]


def stick_plan(
    boat: Boat,
    settings: StickSettings | None = None,
    tell: Tell = lambda _: None,
    limits: SawLimits | None = None,
) -> StickPlan:
    """The sticks that a boat's members are cut from.

    Args:
        boat: the finished boat.
        settings: the shop's; the usual ones unless given.
        tell: hears how the search goes.
        limits: what the shop's saw reaches.

    Raises:
        BadInput: pieces that no stick holds, all at once.
    """
    settings = settings or StickSettings()
    places = {member.name: boat.place(member.name) or settings.usual.place for member in boat.members}
    return plan_sticks(boat.members, boat.marks, settings, tell, places, boat.units, limits)


def plan_sticks(
    members: Sequence[Member],
    marks: Mapping[str, str],
    settings: StickSettings | None = None,
    tell: Tell = lambda _: None,
    places: Mapping[str, Place] | None = None,
    units: str = "in",
    limits: SawLimits | None = None,
) -> StickPlan:
    """The sticks of members; as `stick_plan`.

    Args:
        members: with different names.
        marks: mark of each member's name; members of one mark are the same piece.
        settings: lengths, prices, kerf and so on.
        tell: hears how the search goes.
        places: where the file tells of each member, by name, for faults.
        units: of lengths in faults.
        limits: what the saw reaches.

    Raises:
        BadInput: pieces that no stick holds, all at once.
        ValueError: sections of one stock name that are not one tube.
    """
    settings = settings or StickSettings()
    jobs = stock_pieces(members, marks, lambda stock: settings.of(stock).kerf, settings.same_cut)
    faults = FaultList()
    faults.extend(fault for _, fault in none_holds(jobs, settings, places or {}, units))
    faults.raise_if_any()
    stocks = tuple(_stock_plans(jobs, settings, limits or SawLimits(), tell))
    table = MemberTable(members)
    left_out = tuple(m.name for m, gone in zip(members, table.cut_away.tolist(), strict=True) if gone)
    plan = StickPlan(stocks, left_out, settings.same_cut)
    wrong = faults_of(plan, members)
    if wrong:
        raise AssertionError("a stick plan came out wrong: " + "; ".join(wrong[:3]))
    return plan


def stocks_of(tube: Tube) -> tuple[Stock, ...]:
    """What the solver may cut from: lengths on hand, then those to buy, end trim taken off."""
    held = [Stock(one.label, one.length, one.value, one.quantity) for one in tube.offcuts]
    bought = [
        Stock("", one.length - 2.0 * tube.end_trim, one.length if one.price is None else one.price)
        for one in tube.lengths
    ]
    return (*held, *bought)


def _stock_plans(
    jobs: Sequence[StockPieces], settings: StickSettings, limits: SawLimits, tell: Tell
) -> list[StockPlan]:
    """The plans of all stocks; those of few pieces first, so that what time they leave goes to the others."""
    end = time.monotonic() + settings.seconds
    found = {}
    order = sorted(jobs, key=lambda job: (len(job.pieces), job.stock))
    for left, job in zip(range(len(jobs), 0, -1), order, strict=True):
        seconds = max(0.05, (end - time.monotonic()) / left)
        found[job.stock] = _stock_plan(job, settings, limits, seconds, tell)
    return [found[job.stock] for job in jobs]


def _stock_plan(
    job: StockPieces, settings: StickSettings, limits: SawLimits, seconds: float, tell: Tell
) -> StockPlan:
    tube = settings.of(job.stock)
    problem = Problem(job.kinds, stocks_of(tube), tube.kerf, job.worth)
    plain = _by_long_points(problem, 0.15 * seconds)
    start = plain.sticks if plain else ()
    try:
        solver = Solver(problem, 0.85 * seconds, tell=lambda said: tell(f"{job.stock}: {said}"), start=start)
        solved = solver.solve()
    except CannotCut:
        raise BadInput([crowded_out(job.stock, tube)]) from None
    sticks = StickLayer(job, tube, settings.same_cut, limits).sticks(solved.sticks)
    return StockPlan(job, tube, sticks, solved, plain if problem.savings.any else solved)


def _by_long_points(problem: Problem, seconds: float) -> Solved | None:
    """The plan with no cut shared; None where the sticks at hand would not do, or no cut can be shared."""
    if not problem.savings.any:
        return None
    kinds = tuple(replace(kind, ports=(LONE, LONE)) for kind in problem.kinds)
    try:
        return Solver(Problem(kinds, problem.stocks, problem.kerf), seconds, small=0, aims="cost").solve()
    except CannotCut:
        return None
