"""The long work: told as it comes, of the boat that rests last, and never in the way of moving it."""

import asyncio
import json
import time
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest

from app.preview import later
from app.preview.later import Later
from app.preview.later_work import PLANS, Answer, Order, tasks, work
from app.preview.workshop import Workshop
from model.checks.listed import CHECKS
from model.findings import Finding, Shown
from model.mesh import Mesh
from tests.app.preview.live import POND, pond


def order(path, **values):
    return Order.of(path, POND, values, {})


def test_every_check_is_a_task_and_the_plans_come_last():
    names = [name for name, _ in tasks()]
    assert sorted(names[:-1]) == sorted(check.name for check in CHECKS)
    assert names[-1] == PLANS


def test_plans_are_of_the_boat_with_its_values_moved(tmp_path):
    path = pond(tmp_path)
    one, other = (work(order(path, **values), PLANS) for values in ({}, {"deck_aft": "90"}))
    assert not one.wrong
    assert one.sections["sticks"]["rows"]
    assert one.sections["buy"]["foot"].startswith("total")
    assert one.sections["sticks"] != other.sections["sticks"]


def test_what_goes_wrong_is_said(tmp_path):
    answer = work(order(pond(tmp_path), deck="nonsense"), PLANS)
    assert "nonsense" in answer.wrong
    assert "StopIteration" in work(order(pond(tmp_path)), "no such check").wrong


def run_later(
    path, monkeypatch, does, does_work, listed=(("one", "doing one"), ("two", "doing two")), opening=0.0
):
    monkeypatch.setattr(later, "other_process", lambda: ThreadPoolExecutor(1))
    monkeypatch.setattr(later, "work", does_work)
    monkeypatch.setattr(later, "tasks", lambda: list(listed))
    monkeypatch.setattr(later, "PATIENCE", 0.0)
    monkeypatch.setattr(later, "OPENING", opening)

    async def run():
        shop = Workshop(path)
        long = Later(shop)
        jobs = [asyncio.create_task(job) for job in (shop.run(), long.run())]
        try:
            return await asyncio.wait_for(does(shop), 20)
        finally:
            for job in jobs:
                job.cancel()

    return asyncio.run(run())


async def until(shop, true):
    while not true(shop.shown):
        await asyncio.sleep(0.01)


def told(shown, name):
    return json.loads(shown.sections.get(name, "null"))


def test_findings_of_checks_are_shown_and_marked_old_once_the_boat_moves(tmp_path, monkeypatch):
    done = []

    def does_work(asked, name):
        done.append((dict(asked.values), name))
        moved = "deck" in dict(asked.values)
        where = (Shown("the lid", Mesh(np.eye(3) * 100.0, np.array([[0, 1, 2]]))),)
        sticks = Finding("lid", ("hull",), "it sticks", "ease it", shown=where)
        found = () if moved or name == "two" else (sticks,)
        return Answer(found, (f"{name} looked",))

    async def does(shop):
        await until(shop, lambda shown: told(shown, "doing") == "" and told(shown, "looked"))
        (row,) = told(shop.shown, "findings")
        assert row["what"] == "it sticks"
        (shape,) = row["shows"]
        assert shop.shown.pieces[shape].counts == (3, 1)
        assert told(shop.shown, "looked")["lines"] == ["one looked", "two looked"]
        shop.move("deck", "12")
        await shop.settled()
        (row,) = told(shop.shown, "findings")
        assert row["old"]
        await until(shop, lambda shown: told(shown, "findings") == [])
        assert shape not in shop.shown.pieces

    run_later(pond(tmp_path), monkeypatch, does, does_work)
    assert ({}, "one") in done
    assert ({"deck": "12"}, "one") in done


def test_a_boat_that_moves_on_leaves_the_rest_of_its_work_undone(tmp_path, monkeypatch):
    done, holds = [], []

    def does_work(asked, name):
        done.append((dict(asked.values).get("deck"), name))
        while not holds and len(done) == 1:
            time.sleep(0.005)
        return Answer(summary=(f"{name} of {dict(asked.values).get('deck')}",))

    async def does(shop):
        while not done:
            await asyncio.sleep(0.01)
        shop.move("deck", "12")
        await shop.settled()
        holds.append(True)
        await until(shop, lambda shown: told(shown, "looked") and told(shown, "doing") == "")
        assert told(shop.shown, "looked")["lines"] == ["one of 12", "two of 12"]

    run_later(pond(tmp_path), monkeypatch, does, does_work)
    assert done == [(None, "one"), ("12", "one"), ("12", "two")]


@pytest.mark.parametrize("rest", [True, False])
def test_nothing_long_is_begun_while_a_hand_is_on_the_slider(tmp_path, rest):
    async def run():
        shop = Workshop(pond(tmp_path))
        rested = []
        shop.resting.append(rested.append)
        job = asyncio.create_task(shop.run())
        await asyncio.wait_for(shop.settled(), 20)
        shop.move("deck", to=12 * 25.4, rest=rest)
        await asyncio.wait_for(shop.settled(), 20)
        job.cancel()
        return [dict(asked.values) for asked in rested]

    assert asyncio.run(run()) == ([{}, {"deck": "12"}] if rest else [{}])


def test_rods_are_told_with_what_lay_there_before(tmp_path, monkeypatch):
    async def does(shop):
        await until(shop, lambda shown: told(shown, "rods"))
        assert told(shop.shown, "rods") == {"now": ["84 in"], "before": []}
        shop.move("deck", "12")
        await until(shop, lambda shown: told(shown, "rods")["now"] == ["83 in"])
        assert told(shop.shown, "rods")["before"] == ["84 in"]

    def does_work(asked, name):
        return Answer(summary=("83 in" if asked.values else "84 in",))

    run_later(pond(tmp_path), monkeypatch, does, does_work, [("rods", "laying rods")])


def test_nothing_long_begins_before_a_page_that_opens_has_drawn_her(tmp_path, monkeypatch):
    opening, opened, begun = 0.25, [], []

    def does_work(asked, name):
        begun.append(time.monotonic())
        return Answer((), (f"{name} looked",))

    async def does(shop):
        loop = asyncio.get_running_loop()
        await until(shop, lambda shown: shown.pieces)
        shop.opened_at = loop.time()  # as talk does when a page joins
        opened.append(time.monotonic())
        await until(shop, lambda shown: told(shown, "looked"))

    run_later(pond(tmp_path), monkeypatch, does, does_work, opening=opening)
    assert begun[0] - opened[0] >= opening - 0.02
