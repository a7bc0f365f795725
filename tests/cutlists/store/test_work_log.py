"""The log of work in the stock file: added to, taken back, never changed; old stock files take it up."""

import sqlite3
from datetime import date

import pytest

from cutlists.blank import Blank
from cutlists.store import file
from cutlists.store.stock import open_stock
from cutlists.store.work_log import Spent, Written, entries_of, open_work
from parts.faults import BadInput

DAY = date(2026, 12, 1)
TICK = Written("loon", "weld.front", "weld", "tick", DAY, planned=1.5, pieces={"deck.front/beam.1": "a/b"})
HOURS = Written("loon", "weld.front", "weld", "hours", DAY, hours=2.25)
NOTE = Written("tern", "strip", "strip", "note", DAY, note="two rivets, \u00bd gone")


@pytest.fixture
def path(tmp_path):
    return tmp_path / "stock.sqlite"


def test_what_is_written_is_read_back(path):
    with open_work(path) as log:
        log.write(TICK, HOURS, NOTE)
        found = log.entries()
        assert [(e.boat, e.task, e.what, e.date, e.hours, e.planned, e.note) for e in found] == [
            (e.boat, e.task, e.what, e.date, e.hours, e.planned, e.note) for e in (TICK, HOURS, NOTE)
        ]
        assert found[0].pieces == TICK.pieces
        assert log.spent("loon") == [Spent("loon", "weld.front", "weld", 2.25, DAY)]
        assert log.spent("tern") == []
        assert log.spent() == log.spent("loon")
    assert [e.what for e in entries_of(path, "tern")] == ["note"]


def test_nothing_is_read_where_there_is_no_file(path):
    assert entries_of(path) == []
    assert entries_of(None) == []
    assert not path.exists()


def test_the_last_entry_of_a_boat_is_taken_back_and_then_the_one_before(path):
    with open_work(path) as log:
        log.write(TICK, HOURS, NOTE)
        assert log.undo("loon").what == "hours"
        assert log.spent() == []
        assert log.undo("loon").what == "tick"
        with pytest.raises(BadInput, match="nothing to undo"):
            log.undo("loon")
        assert [e.boat for e in log.entries()] == ["tern"]


@pytest.mark.parametrize(
    "wrong",
    [
        Written("loon", "x", "weld", "hours", DAY, hours=-1.0),
        Written("loon", "x", "weld", "hours", DAY, hours=0.0),
        Written("loon", "x", "weld", "tick", DAY, hours=1.0),
        Written("loon", "x", "weld", "tick", DAY, planned=-1.0),
    ],
)
def test_the_file_itself_refuses_what_cannot_be_and_keeps_nothing_of_it(path, wrong):
    with open_work(path) as log:
        with pytest.raises(sqlite3.IntegrityError):
            log.write(TICK, wrong)
        assert log.entries() == []


@pytest.mark.parametrize("statement", ["UPDATE work SET hours = 3", "DELETE FROM work"])
def test_the_log_is_not_changed(path, statement):
    with open_work(path) as log:
        log.write(TICK)
        with pytest.raises(sqlite3.Error, match="not changed"):
            log.db.execute(statement)


def test_a_stock_file_from_before_takes_the_log_up_and_loses_nothing(path, monkeypatch):
    monkeypatch.setattr(file, "STEPS", file.STEPS[:1])
    with open_stock(path, create=True) as stock:
        stock.add([Blank("stick", "rect-2x1x0.125", 3000.0)] * 2)
        assert stock.db.execute("PRAGMA user_version").fetchone() == (1,)
        identity = stock.identity
    monkeypatch.undo()
    with open_work(path) as log:
        log.write(TICK)
    with open_stock(path) as stock:
        assert stock.identity == identity
        assert len(stock.items()) == 2
        assert stock.db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert stock.db.execute("PRAGMA user_version").fetchone() == (len(file.STEPS),)
    assert [e.task for e in entries_of(path)] == ["weld.front"]
