"""What the boat file changes: tasks of its own, hours, order, what is left out; and what is refused."""

from datetime import date

import pytest

from cutlists.shop_file import Shop
from cutlists.work.plan import plan_work, tasks_of
from parts.faults import BadInput
from tests.model.boats import DECK, boat_file, build, document


def boat(**work):
    return build(decks={"main": DECK}, work=work)


def tasks(**work):
    found, findings = tasks_of(boat(**work), Shop())
    assert findings == ()
    return {task.name: task for task in found}


def faults(**work):
    with pytest.raises(BadInput) as raised:
        tasks_of(boat(**work), Shop())
    return [f"{fault.place.key}: {fault.wrong}; {fault.right}" for fault in raised.value.faults]


def test_a_task_of_its_own_goes_where_it_is_put():
    decals = {
        "title": "Decals", "hours": 1.5, "after": ["paint.*"], "before": ["close.main"],
        "wait": 1, "kind": "rig", "pieces": ["deck.main/sheet.*"],
    }  # fmt: skip
    found = tasks(tasks={"decals": decals})
    own = found["decals"]
    assert (own.hours, own.wait, own.kind, own.title) == (1.5, 1.0, "rig", "Decals")
    assert own.after == ("paint.bilge",)
    assert "decals" in found["close.main"].after
    assert own.pieces
    assert all(name.startswith("deck.main/sheet.") for name in own.pieces)
    assert own.place.line is not None
    # what the new task stands between is no longer told twice
    assert "paint.bilge" not in found["close.main"].after


def test_a_task_of_the_model_takes_hours_of_the_file():
    plain, changed = tasks(), tasks(tasks={"weld.main": {"hours": 9, "after": ["order.sheet"]}})
    assert changed["weld.main"].hours == 9.0 != plain["weld.main"].hours
    assert changed["weld.main"].title == plain["weld.main"].title
    assert changed["weld.main"].basis == "as the boat file says"
    assert set(changed["weld.main"].after) == {"tack.main", "order.sheet"}


def test_what_is_left_out_leaves_its_neighbours_in_order():
    plain, left = tasks(), tasks(leave_out=["tack.*", "leak.hull"])
    assert set(plain) - set(left) == {"tack.main", "leak.hull"}
    assert "cut.main" in left["weld.main"].after
    assert "strip" in left["paint.bilge"].after or "weld.main" in left["paint.bilge"].after


def test_the_trial_stays_last_but_for_what_the_file_puts_after_it():
    found = tasks(tasks={"wash": {"title": "Wash her", "hours": 1, "after": ["float.trial"]},
                         "name": {"title": "Paint her name", "hours": 2}})  # fmt: skip
    assert found["wash"].after == ("float.trial",)
    assert "name" in found["float.trial"].after


def test_work_begins_when_the_file_says():
    plan = plan_work(boat(start="2199-03-04"), Shop())
    assert plan.start == date(2199, 3, 4)
    assert plan.slots[0].begins.date() == date(2199, 3, 4)


def test_a_loop_is_told_by_its_names_and_the_rest_is_planned():
    made = boat(tasks={"cut.main": {"after": ["weld.main"]}})
    plan = plan_work(made, Shop(), date(2026, 11, 30))
    (finding,) = plan.findings
    assert finding.kind == "work"
    assert finding.what == "tasks wait for one another: cut.main -> tack.main -> weld.main -> cut.main"
    assert "planned as if cut.main need not follow weld.main" in finding.cure
    assert finding.place is not None
    assert finding.place.key == "work.tasks.cut.main"
    assert plan.slot("weld.main").begins > plan.slot("cut.main").begins
    assert plan.is_proven_least


def test_a_task_after_itself_is_a_loop():
    plan = plan_work(boat(tasks={"strip": {"after": ["strip"]}}), Shop())
    assert [finding.what for finding in plan.findings] == ["tasks wait for one another: strip -> strip"]


def test_unknown_names_are_all_told_with_the_nearest():
    told = faults(
        tasks={
            "weld.mian": {"hours": 2},
            "strip": {"after": ["survy"], "before": ["x*"], "kind": "wield"},
            "survey": {"after": ["strp"], "pieces": ["deck.main/beem.1"]},
        },
        leave_out=["mat.*"],
    )
    assert len(told) == 7
    assert told[0].startswith(
        "work.tasks.weld.mian: no task of this boat is called so, and a new one needs title"
    )
    assert "did you mean 'weld.main'" in told[0]
    assert any("there is no kind of work 'wield'; did you mean 'weld'" in line for line in told)
    assert any(
        "there is no piece 'deck.main/beem.1'; did you mean 'deck.main/beam.1'" in line for line in told
    )
    assert any(line.startswith("work.leave_out[1]: there is no task 'mat.*'") for line in told)


@pytest.mark.parametrize(
    ("work", "key"),
    [
        ({"tasks": {"strip": {"hours": -1}}}, "work.tasks.strip.hours"),
        ({"tasks": {"strip": {"hours": "two"}}}, "work.tasks.strip.hours"),
        ({"tasks": {"strip": {"wait": -2}}}, "work.tasks.strip.wait"),
        ({"tasks": {"a b": {"title": "x", "hours": 1}}}, "work.tasks"),
        ({"start": "2026-02-30"}, "work.start"),
        ({"start": 2026}, "work.start"),
        ({"leave_out": "strip"}, "work.leave_out"),
        ({"task": {}}, "work.task"),
    ],
)
def test_what_cannot_be_is_refused_with_its_line(work, key):
    with pytest.raises(BadInput) as raised:
        build(decks={"main": DECK}, work=work)
    assert all(fault.place.line is not None for fault in raised.value.faults)
    assert any(fault.place.key.startswith(key) for fault in raised.value.faults), str(raised.value)


def test_work_for_ever_is_refused():
    with pytest.raises(BadInput, match="longer than any calendar"):
        plan_work(boat(tasks={f"t{k}": {"title": "x", "hours": 10_000} for k in range(30)}), Shop())


def test_an_empty_key_is_no_change():
    plain = boat_file(decks={"main": DECK})
    assert document({**plain, "work": None}).data["work"] is None
    with_key = build(decks={"main": DECK}, work=None)
    assert [task.name for task in tasks_of(with_key, Shop())[0]] == list(tasks())
