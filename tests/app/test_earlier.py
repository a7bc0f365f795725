"""What a build knows of the one it replaces: marks, revision, and what the stock's log says was cut."""

from __future__ import annotations

import pytest

from app.earlier import build_before
from cutlists.blank import Blank
from cutlists.boat_json import boat_json
from cutlists.plan_file import NAME, CutPlan, Use
from cutlists.revision import Earlier
from cutlists.store.mark import mark_cut
from cutlists.store.stock import open_stock
from parts.faults import Place
from tests.model.boats import DECK, build

HERE = Place("here", None, "")
PLAN = CutPlan("boat", (Use(Blank("stick", "rect-25x50x3", 6000.0), pieces=("F1", "F1", "F2")),))


@pytest.fixture
def built(tmp_path):
    boat = build(decks={"main": {**DECK, "port": 300, "starboard": -300}})
    (tmp_path / "boat.json").write_text(boat_json(boat), encoding="utf-8")
    (tmp_path / NAME).write_text(PLAN.text(), encoding="utf-8")
    return tmp_path


def test_without_a_build_there_is_nothing_before(tmp_path):
    before = build_before(tmp_path / "none", tmp_path / "stock.sqlite")
    assert before.marks is None
    assert before.build == Earlier()
    assert before.cut is None


def test_without_a_stock_nothing_is_known_of_cutting(built):
    before = build_before(built, built / "stock.sqlite")
    assert before.build.number == 1
    assert before.marks
    assert before.cut is None


def test_a_plan_marked_as_cut_counts_until_it_is_undone(built):
    path = built / "stock.sqlite"
    with open_stock(path, create=True) as stock:
        assert build_before(built, path).cut == {}
        mark_cut(stock, PLAN, HERE)
        mark_cut(stock, PLAN, HERE, again=True)
    assert build_before(built, path).cut == {"F1": 4, "F2": 2}
    with open_stock(path) as stock:
        stock.undo()
    assert build_before(built, path).cut == {"F1": 2, "F2": 1}


def test_a_plan_that_cannot_be_read_tells_nothing_of_cutting(built):
    with open_stock(built / "stock.sqlite", create=True):
        (built / NAME).write_text("{", encoding="utf-8")
    assert build_before(built, built / "stock.sqlite").cut is None
