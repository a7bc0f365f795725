"""`athwart work` as the shop types it: plan, ticks, hours, notes, a changed boat, and what is refused."""

import csv
import re
from datetime import datetime
from xml.etree import ElementTree

import pytest
import yaml

from app import main
from cutlists.store.work_log import entries_of
from tests.model.boats import DECK, boat_file

HATCH = {"aft": 1000, "forward": 1600, "port": 200, "starboard": -200, "lid": {"flange": 20}}
PUNT = boat_file(boat="punt", decks={"main": {**DECK, "openings": {"hatch": HATCH}}})
START = ["--start", "2026-11-30"]


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """A folder with a boat and a shop, which one is in."""
    (tmp_path / "shop.yaml").write_text("units: mm\nwork: {holidays: [2026-12-08], hands: 1}\n")
    (tmp_path / "punt.yaml").write_text(yaml.safe_dump(PUNT))
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def run(folder, capsys):
    """Runs a line; its exit code, what it said and what it said on stderr."""

    def typed(*arguments):
        code = main.run(["work", "punt.yaml", *arguments])
        said = capsys.readouterr()
        return code, said.out.splitlines(), said.err.splitlines()

    return typed


def fine(told):
    code, out, err = told
    assert (code, err) == (0, []), err
    assert all(len(line) <= 100 for line in out)
    return out


def table(lines):
    """Rows of the table of what is left: what is said at its sign, by the task's name."""
    found = {}
    for line in lines[1:] if lines[0].split()[:1] == ["task"] else lines:
        row = re.match(r"^([>* ]{0,2}) +(\S+\.\S+|strip|survey) +(\d+\.\d\d)", line)
        if row:
            found[row[2]] = (row[1].strip(), float(row[3]), line)
    return found


def test_the_plan_tells_tasks_orders_waits_and_cautions(run):
    out = fine(run(*START))
    rows = table(out)
    assert list(rows)[:2] == ["strip", "survey"]
    assert rows["strip"][0].startswith(">")
    assert "Mon 30 Nov 08:00" in rows["strip"][2]
    assert list(rows)[-1] == "float.trial"
    told = "\n".join(out)
    assert "by one hand from 30 Nov 2026" in told
    assert re.search(r"by \w+ \d+ \w+ 2026: Order 1 lid made to size", told)
    assert "waits for order." in told
    assert "Hot work: take fuel, tanks and batteries out" in told


def test_ticks_are_kept_and_the_rest_is_planned_from_then(run, folder):
    before = table(fine(run(*START)))
    entered = ["--tick", "strip", "--tick", "survey", "--hours", "strip=6:30", "--note", "strip=rivets"]
    out = fine(run(*entered, *START))
    assert out[0].startswith("ticked: strip, ")
    assert "spent: 6.50 h on strip; 6.50 h of 4.00 h planned" in out
    after = table(fine(run(*START)))
    assert set(before) - set(after) == {"strip", "survey"}
    assert ">" in after["order.tube"][0]
    assert any(line.startswith("2 of ") and "6.5 h spent" in line for line in out)
    assert "ticked already" in "\n".join(fine(run("--tick", "strip", *START)))
    every = "\n".join(fine(run("--all", *START)))
    assert re.search(r"strip +4\.00 +6\.50 .*rivets", every)
    entries = entries_of(folder / "stock.sqlite", "punt")
    assert [(e.task, e.what) for e in entries] == [
        ("strip", "tick"), ("survey", "tick"), ("strip", "hours"), ("strip", "note"),
    ]  # fmt: skip
    assert entries[0].planned == 4.0
    assert entries[2].hours == 6.5


def test_hours_spent_are_taken_off_what_is_left(run):
    def left(out):
        (line,) = (line for line in out if line.startswith("work: "))
        return float(re.search(r"(\d+) h, by", line)[1]), line

    whole, _ = left(fine(run(*START)))
    assert left(fine(run("--hours", "strip=3", *START)))[0] == whole - 3
    # more than was planned and not done: a tenth is taken to be left
    out = fine(run("--hours", "strip=100", *START))
    assert left(out)[0] == pytest.approx(whole - 0.9 * 4.0, abs=1.0)
    assert "survey" in table(out)
    assert "Mon 30 Nov 08:24" in table(out)["survey"][2]


def test_what_was_ordered_is_waited_for_unless_it_came(run):
    fine(run("--tick", "strip", "--tick", "survey", "--tick", "leak.hull", *START))
    out = fine(run("--tick", "order.*", "--on", "2026-11-30", *START))
    # five days from Monday evening are over on Saturday
    assert "Mon 07 Dec 08:00" in table(out)["cut.main"][2]
    assert "Tue 08 Dec" not in "\n".join(out), "nobody works on a holiday"
    out = fine(run("--over", "order.tube", *START))
    assert "Mon 30 Nov 08:00" in table(out)["cut.main"][2]
    assert ">" in table(out)["cut.main"][0]
    assert "nothing waits for order.tube any more" in fine(run("--over", "order.tube", *START))[0]


def test_a_tick_is_taken_back(run):
    fine(run("--tick", "strip", *START))
    assert fine(run("--untick", "strip", *START))[0] == "unticked: strip"
    assert "strip" in table(fine(run(*START)))
    fine(run("--tick", "strip", *START))
    assert fine(run("--undo", *START))[0] == "taken back: tick of strip"
    assert "strip" in table(fine(run(*START)))
    assert [line.split()[5] for line in fine(run("--log"))[1:]] == ["strip", "strip"]


def test_a_task_done_before_its_time_is_told_and_what_it_follows_still_holds(run):
    out = fine(run("--tick", "tack.main", *START))
    assert any("tack.main follows cut.main" in line for line in out)
    rows = table(fine(run(*START)))
    assert ">" not in rows["weld.main"][0]
    shown = "\n".join(fine(run("--show", "weld.main", *START)))
    assert "after cut.main" in shown


def test_a_change_of_the_boat_tells_which_ticks_no_longer_hold(run, folder):
    fine(run("--tick", "cut.main", "--tick", "weld.main", "--tick", "lids.main", *START))
    moved = {**PUNT, "decks": {"main": {**DECK, "height": 310}}}
    (folder / "punt.yaml").write_text(yaml.safe_dump(moved))
    told = " ".join("\n".join(fine(run(*START))).split())
    # moved as a whole: what is welded in is elsewhere now; the hatch took members with it
    assert re.search(r"weld\.main was ticked on \d+ \w+ \d+, but since then: .*changed", told)
    assert re.search(r"cut\.main was ticked on .*no longer there", told)
    assert re.search(r"lids\.main was ticked on [^;]*; the boat has no such task any more", told)
    assert fine(run("--untick", "lids.main", *START))[0] == "unticked: lids.main"
    assert "no such task" not in "\n".join(fine(run(*START)))


def test_the_same_pieces_elsewhere_need_no_new_cut(run, folder):
    fine(run("--tick", "cut.main", "--tick", "tack.main", *START))
    # 200 mm farther forward in a boat that is a box: the same pieces
    moved = {"aft": 1000 + 200, "forward": 1600 + 200}
    decks = {"main": {**DECK, "aft": 400, "forward": 3000 - 10, "openings": {"hatch": {**HATCH, **moved}}}}
    before = {"main": {**DECK, "aft": 200, "forward": 2800 - 10, "openings": {"hatch": HATCH}}}
    (folder / "punt.yaml").write_text(yaml.safe_dump({**PUNT, "decks": before}))
    fine(run("--untick", "cut.main", "--untick", "tack.main", *START))
    fine(run("--tick", "cut.main", "--tick", "tack.main", *START))
    (folder / "punt.yaml").write_text(yaml.safe_dump({**PUNT, "decks": decks}))
    told = " ".join("\n".join(fine(run(*START))).split())
    assert "tack.main was ticked on" in told
    assert "cut.main was ticked on" not in told


def test_files_are_written_and_read_back_by_others(run, folder):
    fine(run("--tick", "strip", "--on", "2026-11-27", *START))
    fine(run("-o", "plan", *START))
    with (folder / "plan" / "work.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    assert rows[0]["task"] == "strip"
    assert rows[0]["done"] == "2026-11-27"
    assert rows[0]["begins"] == ""
    assert rows[1]["begins"] == "2026-11-30 08:00"
    names = {row["task"] for row in rows}
    assert all(set(row["after"].split()) <= names for row in rows)
    svg = ElementTree.parse(folder / "plan" / "work.svg").getroot()
    text = [element.text for element in svg.iter("{http://www.w3.org/2000/svg}text")]
    assert {row["task"] for row in rows[1:]} <= set(text)
    bars = [e for e in svg.iter("{http://www.w3.org/2000/svg}path") if e.get("data-name")]
    black = {e.get("data-name") for e in bars if e.get("fill") == "#000000"}
    assert black == {row["task"] for row in rows if row["longest chain"] == "yes"}
    assert len(bars) == len(rows) - 1


def test_without_a_shop_file_it_plans_but_keeps_nothing(run, folder):
    (folder / "shop.yaml").unlink()
    fine(run(*START))
    code, out, err = run("--tick", "strip")
    assert (code, out) == (2, [])
    assert err == [
        "punt.yaml: there is no shop file to keep a log for; lay a shop.yaml beside the boat file; "
        "`athwart new` shows one"
    ]
    assert not (folder / "stock.sqlite").exists()


def test_bad_input_is_told_all_at_once_and_nothing_is_written(run, folder):
    code, out, err = run(
        "--tick", "strip", "--tick", "weld.mian", "--tick", "mat.*", "--hours", "strip=-2",
        "--hours", "strip=nan", "--hours", "strip=1e9", "--hours", "strip=2:75", "--hours", "strip",
        "--note", "stripp=x", "--over", "order.tube",
    )  # fmt: skip
    assert (code, out) == (2, [])
    for said in (
        "--tick: there is no task 'weld.mian'; did you mean 'weld.main'",
        "--tick: there is no task 'mat.*'",
        "--hours strip=-2: '-2' is no number of hours",
        "'nan' is no number of hours",
        "'1e9' is no number of hours",
        "'2:75' is no number of hours",
        "--hours strip: it is no task=value; write it as weld.front=2.5",
        "--note: there is no task 'stripp'; did you mean 'strip'",
        "--over: order.tube is not ticked",
    ):
        assert any(said in line for line in err), said
    assert len(err) == 9
    assert entries_of(folder / "stock.sqlite") == []


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["--on", "2026-02-30", "--tick", "strip"], "--on: '2026-02-30' is no date; write it as 2026-12-01"),
        (["--start", "soon"], "--start: 'soon' is no date"),
        (["--on", "9999-12-31", "--tick", "order.*"], "--on: 9999-12-31 lies too far ahead"),
        (["--show", "x"], "--show: there is no task 'x'"),
        (["--undo"], "there is nothing to undo"),
    ],
)
def test_what_cannot_be_asked_is_told_in_a_line(run, typed, said):
    code, out, err = run(*typed)
    assert (code, out, len(err)) == (2, [], 1)
    assert said in err[0]


def test_a_loop_is_a_finding_of_work_and_check(run, folder, capsys):
    looped = {**PUNT, "work": {"tasks": {"cut.main": {"after": ["weld.main"]}}}}
    (folder / "punt.yaml").write_text(yaml.safe_dump(looped))
    code, out, err = run(*START)
    assert (code, err) == (1, [])
    assert any("tasks wait for one another: cut.main -> tack.main" in line for line in out)
    assert main.run(["check", "punt.yaml", "--only", "work"]) == 1
    said = capsys.readouterr().out
    assert "tasks wait for one another" in said
    assert "punt.yaml:" in said


def test_an_unknown_task_in_the_file_is_refused_by_check(folder, capsys):
    (folder / "punt.yaml").write_text(yaml.safe_dump({**PUNT, "work": {"leave_out": ["weld.mian"]}}))
    assert main.run(["check", "punt.yaml", "--only", "work"]) == 2
    assert "did you mean 'weld.main'" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("work", "said"),
    [
        ("holidays: [2026-12-32]", "shop.yaml:2 work.holidays[1]: '2026-12-32' is no date"),
        ("begins: noon", "'noon' is no time of day; write it as 7:30"),
        ("{begins: '18:00', day: 8}", "the day ends after midnight"),
        ("pace: {wield: 2}", "there is no kind of work 'wield'; did you mean 'weld'"),
        ("rates: {cut: -1}", "work.rates.cut"),
        ("rates: {cuts: 4}", "did you mean 'cut'"),
        ("lead: {lids: soon}", "work.lead.lids"),
        ("hands: 0", "work.hands"),
        ("days: []", "work.days"),
        ("days: [sunday]", "work.days"),
        ("pace: {weld: .nan}", "work.pace.weld"),
    ],
)
def test_a_shop_that_cannot_be_is_refused(run, folder, work, said):
    told = work if work.startswith("{") else f"{{{work}}}"
    (folder / "shop.yaml").write_text(f"units: mm\nwork: {told}\n")
    code, out, err = run(*START)
    assert (code, out) == (2, [])
    assert any(said in line for line in err), err


def test_more_hands_are_done_sooner_and_pace_tells(run, folder):
    soon = "lead: {tube: 0, sheet: 0, lids: 0, parts: 0, paint: 0}"

    def begun(hands):
        (folder / "shop.yaml").write_text(f"work: {{hands: {hands}, {soon}}}\n")
        line = table(fine(run(*START)))["float.trial"][2]
        return datetime.strptime(re.search(r"\w{3} (\d\d \w{3} \d\d:\d\d)", line)[1], "%d %b %H:%M")

    assert begun(3) < begun(1)
    hours = table(fine(run(*START)))["weld.main"][1]
    (folder / "shop.yaml").write_text("work: {pace: {weld: 2}}\n")
    assert table(fine(run(*START)))["weld.main"][1] == pytest.approx(2 * hours, abs=0.051)
