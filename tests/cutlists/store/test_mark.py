"""A plan marked as cut takes what it used and leaves its offcuts, all or nothing; it can be undone."""

import json
from dataclasses import replace

import pytest

from cutlists.blank import Blank
from cutlists.plan_file import NAME, CutPlan, Use, read_plans
from cutlists.store.mark import mark_cut
from cutlists.store.stock import open_stock
from parts.faults import BadInput, Place

TUBE, SHEET = "rect-2x1x0.125", "5052-0.090"
LONG, SHORT = Blank("stick", TUBE, 7315.2), Blank("stick", TUBE, 1900.0)
DROP = Blank("stick", TUBE, 640.0)
WHOLE, REST = Blank("sheet", SHEET, 2438.4, 1219.2), Blank("sheet", SHEET, 900.0, 400.0)
PLACE = Place("out/loon/plans.json", None, "")


@pytest.fixture
def stock(tmp_path):
    with open_stock(tmp_path / "stock.sqlite", create=True) as found:
        found.add([SHORT, SHORT], "rack 1")
        found.add([Blank("sheet", SHEET, 1500.0, 700.0)], "wall")
        yield found


@pytest.fixture
def plan(stock):
    """Item 1 and a bought stick, item 3 and two bought sheets, an offcut of the shop file."""
    uses = (
        Use(SHORT, "stock", "stock 1", 1, used=1800.0, pieces=("F1", "F2")),
        Use(LONG, "buy", price=62.0, used=6600.0, kept=(DROP,), pieces=("F1", "F3")),
        Use(Blank("sheet", SHEET, 1500.0, 700.0), "stock", "stock 3", 3, used=6e5, pieces=("S1",)),
        Use(WHOLE, "buy", used=2.2e6, kept=(REST,), pieces=("S2",)),
        Use(WHOLE, "buy", used=2.0e6, pieces=("S2",)),
        Use(Blank("sheet", SHEET, 800.0, 300.0), "shop", "left of the door", used=1e5, pieces=("S3",)),
    )
    return CutPlan("loon", uses, stock.identity)


def on_hand(stock):
    return {item.id: item.blank for item in stock.items()}


def refused(call, *arguments, **more):
    with pytest.raises(BadInput) as caught:
        call(*arguments, **more)
    return [str(fault) for fault in caught.value.faults]


def test_marking_takes_what_was_used_and_adds_the_offcuts(stock, plan):
    done = mark_cut(stock, plan, PLACE, thickness={SHEET: 2.286})
    assert [item.id for item in done.taken] == [1, 3]
    assert [item.blank for item in done.added] == [DROP, REST]
    assert done.bought == 3
    assert done.by_hand == ("left of the door",)
    assert on_hand(stock) == {2: SHORT, 4: DROP, 5: REST}
    assert {item.origin for item in done.added} == {"left of loon"}
    assert [item.thickness for item in done.added] == [0.0, 2.286]


def test_what_was_bought_into_the_stock_since_is_taken_too(stock, plan):
    stock.add([WHOLE, WHOLE, WHOLE, LONG])
    done = mark_cut(stock, plan, PLACE)
    assert [item.id for item in done.taken] == [1, 3, 7, 4, 5]
    assert done.bought == 0
    assert on_hand(stock) == {2: SHORT, 6: WHOLE, 8: DROP, 9: REST}


def test_a_plan_is_marked_once_unless_a_second_boat_is_cut(stock, plan):
    bought_only = CutPlan("loon", plan.uses[3:5], "")
    mark_cut(stock, bought_only, PLACE)
    told = refused(mark_cut, stock, bought_only, PLACE)
    assert told == [
        "out/loon/plans.json: the plan is marked as cut already, by entry 3 of the log; "
        "`--again` marks it for a second boat alike"
    ]
    mark_cut(stock, bought_only, PLACE, again=True)
    assert sum(blank == REST for blank in on_hand(stock).values()) == 2
    stock.undo()
    assert "by entry 3" in refused(mark_cut, stock, bought_only, PLACE)[0]
    stock.undo()
    mark_cut(stock, bought_only, PLACE)


def test_nothing_changes_when_something_it_needs_is_gone(stock, plan):
    stock.take([1, 3], "trailer")
    before, entries = on_hand(stock), len(stock.log())
    told = refused(mark_cut, stock, plan, PLACE)
    assert len(told) == 2
    assert "item 1: it is gone: entry 3, take trailer; build again" in told[0]
    assert (on_hand(stock), len(stock.log())) == (before, entries)


def test_a_plan_of_another_stock_or_of_another_size_is_refused(stock, plan, tmp_path):
    with open_stock(tmp_path / "other.sqlite", create=True) as other:
        assert "made with another stock" in refused(mark_cut, other, plan, PLACE)[0]
    grown = replace(plan, uses=(replace(plan.uses[0], blank=LONG), *plan.uses[1:]))
    assert "item 1 is not what the plan took it for" in refused(mark_cut, stock, grown, PLACE)[0]
    assert len(on_hand(stock)) == 3


def test_undo_of_a_mark_puts_all_back_unless_an_offcut_was_used(stock, plan):
    before = on_hand(stock)
    mark_cut(stock, plan, PLACE)
    stock.take([4], "cleat")
    assert "its item 4 is gone: entry 4, take cleat" in refused(stock.undo, 3)[0]
    assert [stock.undo().what, stock.undo().what] == ["take", "cut"]
    assert on_hand(stock) == before
    mark_cut(stock, plan, PLACE)
    assert on_hand(stock) == {2: SHORT, 6: DROP, 7: REST}


def test_the_plan_file_is_read_back_the_same(plan, tmp_path):
    ring = (((0.0, 0.0), (700.0, 0.0), (700.0, 200.123)),)
    odd = Use(Blank("sheet", SHEET, 700.0, 200.123, ring), "shop", "wedge", used=12.34)
    plan = replace(plan, uses=(*plan.uses, odd, Use(Blank("mat", "grey", 2032, 1016), price=140)))
    (tmp_path / NAME).write_text(plan.text(), encoding="utf-8")
    read = read_plans(tmp_path)
    assert read.identity == plan.identity
    assert [use.blank for use in read.uses] == [use.blank for use in plan.uses]
    assert [use.kept for use in read.uses] == [use.kept for use in plan.uses]
    assert read.text() == plan.text()
    assert json.loads(plan.text())["pieces"] == {"F1": 2, "F2": 1, "F3": 1, "S1": 1, "S2": 2, "S3": 1}


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda text: text.replace("1900.0", "1950.0"), "changed after the build; build again"),
        (lambda text: text.replace('"version": 1', '"version": 7'), "another version of Athwart"),
        (lambda text: text[:-40], "no cut plan that can be read"),
        (lambda text: "[1, 2]", "no cut plan that can be read"),
        (lambda text: text.replace('"buy"', '"borrow"'), "no cut plan that can be read"),
        (lambda text: text.replace("1900.0", "-1900.0"), "no cut plan that can be read"),
        (lambda text: "[" * 100_000, "no cut plan that can be read"),
    ],
)
def test_a_plan_file_that_is_not_as_it_was_built_is_refused(plan, tmp_path, change, said):
    changed = change(plan.text())
    assert changed != plan.text()
    (tmp_path / NAME).write_text(changed, encoding="utf-8")
    assert said in refused(read_plans, tmp_path)[0]


def test_a_folder_without_a_plan_is_refused(tmp_path):
    assert "no cut plan here; give a folder that `athwart build` wrote" in refused(read_plans, tmp_path)[0]
