"""Dates of a plan: orders in time, pauses, what is done, hours by kind; reckoned anew from the slots."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from cutlists.shop_file import Shop
from cutlists.work.calendar import WorkDays
from cutlists.work.plan import hours_left, plan_work
from cutlists.work.records import KINDS
from cutlists.work.settings import WorkSettings
from tests.model.boats import DECK, build

HATCH = {"aft": 1000, "forward": 1600, "port": 200, "starboard": -200, "lid": {"flange": 20}}
MONDAY = date(2026, 11, 30)
HOLIDAY = date(2026, 12, 8)
SHOP = Shop(work=WorkSettings(days=WorkDays(450, 510, frozenset(range(5)), frozenset({HOLIDAY}))))


@pytest.fixture(scope="module")
def boat():
    sole = {"height": 100, "aft": 200, "forward": 2800}
    return build(decks={"sole": sole, "main": {**DECK, "openings": {"hatch": HATCH}}}, mat={})


@pytest.fixture(scope="module")
def plan(boat):
    return plan_work(boat, SHOP, MONDAY)


def after(plan, name):
    return [plan.slot(task.name) for task in plan.tasks if name in task.after]


def test_nobody_works_at_night_on_sundays_or_holidays(plan):
    for slot in plan.slots:
        for moment in (slot.begins, slot.ends):
            assert moment.weekday() < 5
            assert moment.date() != HOLIDAY
            minute = moment.hour * 60 + moment.minute
            assert 450 <= minute <= 960
        assert slot.begins < slot.ends
    assert HOLIDAY in plan.days_off


def test_everything_comes_after_what_it_needs_and_after_its_waits(plan):
    for task in plan.tasks:
        for before in task.after:
            assert plan.slot(task.name).begins >= plan.slot(before).ready
        slot = plan.slot(task.name)
        assert slot.ready - slot.ends == timedelta(days=task.wait)


def test_an_order_sent_at_the_latest_still_comes_in_time_and_a_day_later_does_not(plan):
    orders = [task for task in plan.tasks if task.kind == "order"]
    assert {task.name for task in orders} >= {"order.tube", "order.sheet", "order.lids", "order.mat"}
    for task in orders:
        slot, needed = plan.slot(task.name), min(one.begins for one in after(plan, task.name))
        assert slot.begins <= slot.latest
        there = slot.latest + timedelta(hours=task.hours, days=task.wait)
        assert there <= needed < there + timedelta(days=4)  # a weekend and a holiday lie between at most


def test_work_and_pauses_of_one_hand_make_the_whole(plan):
    assert plan.hands == 1
    assert sum(pause.hours for pause in plan.pauses) + plan.hours == pytest.approx(plan.length)
    for pause in plan.pauses:
        assert plan.slot(pause.task).begins == pause.ends
        assert pause.waits_for in plan.task(pause.task).after


def test_hours_by_kind_count_done_tasks_too(boat, plan):
    done = {"strip": MONDAY, "survey": MONDAY, "order.tube": None}
    later = plan_work(boat, SHOP, MONDAY, done)
    assert later.hours_by_kind == plan.hours_by_kind
    assert list(plan.hours_by_kind) == [kind for kind in KINDS if kind in plan.hours_by_kind]
    assert sum(plan.hours_by_kind.values()) == pytest.approx(sum(task.hours for task in plan.tasks))
    assert {task.name for task in later.done} == set(done)
    assert later.slot("cut.sole").begins.date() == MONDAY


def test_what_is_ordered_is_waited_for_from_its_evening_on(boat):
    sent = date(2026, 11, 26)
    later = plan_work(boat, SHOP, MONDAY, {"strip": sent, "survey": sent, "order.tube": sent})
    # five days from Thursday evening are over on Tuesday evening
    assert later.free_from["cut.main"] == (date(2026, 12, 2), "order.tube")
    assert later.slot("cut.main").begins.date() >= date(2026, 12, 2)


def test_a_task_is_never_done_before_it_is_ticked(plan):
    task = plan.task("strip")
    assert hours_left(task, {}) == task.hours
    assert hours_left(task, {"strip": 1.0}) == task.hours - 1.0
    assert hours_left(task, {"strip": 50.0}) == pytest.approx(task.hours / 10)
