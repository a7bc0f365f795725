"""What must precede what: found from the model, judged by networkx and by what lies and stands where."""

from __future__ import annotations

from itertools import pairwise

import networkx as nx
import numpy as np
import pytest
import shapely

from cutlists.shop_file import Shop
from cutlists.work import frame_tasks, laid
from cutlists.work.network import graph_of
from cutlists.work.plan import plan_work, tasks_of
from model.coverings.areas import FaceArea
from model.coverings.painted import Painted
from tests.model.boats import DECK, build, demo

DEMOS = ("lake16", "flat14", "vee18")
SOLE = {"height": 100, "aft": 200, "forward": 2800}
HATCH = {"aft": 1000, "forward": 1600, "port": 200, "starboard": -200}


def order(boat):
    """Every pair of tasks of which the first must come before the second, and the tasks by name."""
    tasks, findings = tasks_of(boat, Shop())
    assert findings == ()
    graph = graph_of(tasks)
    assert nx.is_directed_acyclic_graph(graph)
    return nx.transitive_closure(graph), {task.name: task for task in tasks}


@pytest.fixture(scope="module")
def demos():
    """The demo boats with their wires and hoses.

    Blocks of foam and faces to paint take seconds to find: some litres and square metres stand for them here.
    """
    found = {}
    for name in DEMOS:
        boat = demo(name)
        lines = (*laid._wires(boat), *laid._hoses(boat))
        paints = boat.finish.paints if boat.finish is not None else ()
        painted = tuple(Painted(paint, tuple(map(face, paint.on))) for paint in paints)
        with pytest.MonkeyPatch.context() as patch:
            patch.setitem(laid._KNOWN, boat, laid.Laid(lines, {"deck.sole": 40.0}, painted))
            found[name] = (boat, *order(boat))
    return found


def face(on):
    """A square metre of what is painted."""
    return (
        FaceArea(on, "hull", "all", 1e6)
        if on.startswith("hull")
        else FaceArea(f"{on}/x", "sheet", "front", 1e6)
    )


@pytest.mark.parametrize("name", DEMOS)
def test_every_link_names_a_task_and_has_a_reason(name, demos):
    _, _, tasks = demos[name]
    assert len(tasks) > 50
    for task in tasks.values():
        assert set(task.after) <= set(tasks)
        assert set(task.because) == set(task.after)
        assert all(task.because.values())


@pytest.mark.parametrize("name", DEMOS)
def test_what_stands_on_a_sheet_waits_for_it(name, demos):
    boat, before, _ = demos[name]
    for joint in boat.joints:
        if joint.kind == "sole":
            upper = joint.member.partition("/")[0].removeprefix("deck.")
            lower = joint.other.partition("/")[0].removeprefix("deck.")
            assert before.has_edge(f"close.{lower}", f"tack.{upper}")
            # sparks burn mat: nothing is laid on a floor that is still welded on
            if before.has_node(f"mat.{lower}"):
                assert before.has_edge(f"weld.{upper}", f"mat.{lower}")


@pytest.mark.parametrize("name", DEMOS)
def test_lockers_are_in_and_wells_are_tried_before_the_deck_closes_over_them(name, demos):
    boat, before, _ = demos[name]
    for locker in boat.layout.lockers.values():
        close = f"close.{locker.deck.removeprefix('deck.')}"
        assert before.has_edge(f"fit.{locker.name}", close)
        if locker.kind == "well":
            assert before.has_edge(f"leak.{locker.name}", close)
        if locker.insulation:
            assert before.has_edge(f"foam.{locker.name}", close)


@pytest.mark.parametrize("name", DEMOS)
def test_pumps_and_boxes_below_a_sheet_are_set_before_it_closes(name, demos):
    boat, before, tasks = demos[name]
    # Looked for anew, straight down from every sheet: no code of the plan is used.
    for fixture in boat.fixtures:
        kind = {"pump": "plumb", "valve": "plumb", "drain": "plumb"}.get(fixture.kind)
        for deck in boat.layout.decks.values():
            x, y, z = fixture.centre
            covers = shapely.Point(x, y).within(deck.area) and z < deck.height_at(x) - deck.sheet.thickness
            if kind and covers and abs(deck.frame.x[2]) < 1e-9:
                own = [t.name for t in tasks.values() if t.kind == kind and fixture.name in t.pieces]
                assert any(before.has_edge(one, f"close.{deck.name.removeprefix('deck.')}") for one in own)


@pytest.mark.parametrize("name", DEMOS)
def test_wires_and_hoses_lie_before_each_deck_over_them_closes(name, demos):
    boat, before, tasks = demos[name]
    if boat.electrics is None:
        return
    from model.electrics.check import electrics_report

    for run in electrics_report(boat).runs:
        steps = np.concatenate([np.linspace(*ends, 60) for ends in pairwise(run.path)])
        covering = {
            deck.name
            for deck in boat.layout.decks.values()
            if abs(deck.frame.x[2]) < 1e-9
            and np.any(
                shapely.contains_xy(deck.area, steps[:, 0], steps[:, 1])
                & (steps[:, 2] < deck.frame.origin[2] - deck.sheet.thickness)
            )
        }
        for deck in covering:
            close = f"close.{deck.removeprefix('deck.')}"
            assert any(t.kind == "wire" and before.has_edge(t.name, close) for t in tasks.values()), run.name


@pytest.mark.parametrize("name", DEMOS)
def test_no_battery_or_fuel_is_aboard_while_anything_is_welded(name, demos):
    _, before, tasks = demos[name]
    hot = [task.name for task in tasks.values() if task.kind in ("tack", "weld")]
    assert hot
    for late in ("rig.batteries", "rig.motor", "rig.fuel"):
        if late in tasks:
            assert all(before.has_edge(one, late) for one in hot)


def test_a_fuel_tank_that_leaves_by_no_hatch_is_in_before_its_deck_closes(demos):
    boat, before, tasks = demos["flat14"]
    assert not next(plan for plan in boat.layout.fixtures if plan.name == "fixture.fuel").removable
    assert tasks["rig.fuel"].pieces == ("fixture.fuel",)
    assert before.has_edge("rig.fuel", "close.rear")


def test_what_takes_current_is_wired_and_a_box_of_shells_is_not(demos):
    _, _, tasks = demos["flat14"]
    assert "fixture.shells" in tasks["rig.front"].pieces
    assert all("fixture.shells" not in task.pieces for task in tasks.values() if task.kind == "wire")
    assert "fixture.switch" in tasks["wire.open"].pieces


@pytest.mark.parametrize("name", DEMOS)
def test_every_fitting_is_set_by_some_task(name, demos):
    boat, _, tasks = demos[name]
    told = {piece for task in tasks.values() if task.kind != "order" for piece in task.pieces}
    assert {fixture.name for fixture in boat.fixtures} <= told


@pytest.mark.parametrize("name", DEMOS)
def test_every_piece_is_cut_and_built_in(name, demos):
    boat, _, tasks = demos[name]

    def told(*kinds):
        return {piece for task in tasks.values() if task.kind in kinds for piece in task.pieces}

    assert told("cut") == told("tack") == told("weld") == {m.name for m in boat.members if not m.is_cut_away}
    sheet = {piece.name for piece in (*boat.panels, *boat.strips)}
    assert told("sheet") == sheet
    assert sheet <= told("close", "fit", "foam")


@pytest.mark.parametrize("name", DEMOS)
def test_the_boat_is_tried_last_and_nothing_is_cut_before_she_is_measured(name, demos):
    _, before, tasks = demos[name]
    assert set(before.predecessors("float.trial")) == set(tasks) - {"float.trial"}
    for task in tasks.values():
        if task.kind in ("cut", "sheet", "order"):
            assert before.has_edge("survey", task.name)


def test_paint_in_sight_comes_after_sparks_and_before_mat(demos):
    boat, before, tasks = demos["lake16"]
    for paint in boat.finish.paints:
        for on in paint.on:
            own = on.removeprefix("deck.")
            if on.startswith("hull"):
                hot = [task.name for task in tasks.values() if task.kind == "weld"]
                assert all(before.has_edge(one, f"paint.{paint.name}") for one in hot)
            else:
                assert before.has_edge(f"close.{own}", f"paint.{paint.name}")
                if f"mat.{own}" in tasks:
                    assert before.has_edge(f"paint.{paint.name}", f"mat.{own}")


def test_welding_over_foam_or_wire_is_warned_of(demos):
    _, _, tasks = demos["lake16"]
    assert {"foam.sole", "wire.sole"} <= set(tasks)
    for name in ("weld.rods", "weld.step", "weld.console.helm"):
        assert "over foam and wire" in tasks[name].title
        assert "fire watch" in tasks[name].title
    assert "foam" not in tasks["weld.sole"].title


def test_a_low_deck_is_closed_before_the_one_over_it():
    before, _ = order(build(decks={"main": DECK, "sole": SOLE}))
    assert before.has_edge("close.sole", "close.main")


def test_a_well_stands_full_overnight():
    well = {"under": "main.hatch", "floor": 150, "kind": "well"}
    boat = build(decks={"main": {**DECK, "openings": {"hatch": HATCH}}}, lockers={"well": well})
    plan = plan_work(boat, Shop())
    leak, close = plan.slot("leak.locker.well"), plan.slot("close.main")
    assert plan.task("leak.locker.well").wait == 0.5
    assert close.begins.date() > leak.ends.date() or (close.begins - leak.ends).total_seconds() >= 12 * 3600


def test_mat_is_laid_on_a_closed_deck_and_lids_hang_last():
    lid = {**HATCH, "lid": {"flange": 20}}
    before, tasks = order(build(decks={"main": {**DECK, "openings": {"hatch": lid}}}, mat={}))
    for pair in (("close.main", "mat.main"), ("mat.main", "lids.main"), ("order.lids", "lids.main")):
        assert before.has_edge(*pair)
    assert tasks["order.lids"].wait == 21


def test_two_frames_that_hold_each_other_make_no_loop(monkeypatch):
    boat = build(decks={"main": DECK, "sole": SOLE})
    met = {"deck.main": [("frame", "deck.sole")], "deck.sole": [("frame", "deck.main")]}
    monkeypatch.setattr(frame_tasks, "stands_on", lambda _, name: iter(met[name]))
    before, _ = order(boat)
    assert before.has_edge("weld.sole", "tack.main")
    assert not before.has_edge("weld.main", "tack.sole")
