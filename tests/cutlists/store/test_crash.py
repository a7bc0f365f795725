"""Processes that are killed or meet at the file lose nothing: real processes, real kills."""

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from cutlists.blank import Blank
from cutlists.plan_file import NAME, CutPlan, Use, read_plans
from cutlists.store.file import opened
from cutlists.store.mark import mark_cut
from cutlists.store.stock import open_stock
from parts.faults import BadInput, Place

ROOT = Path(__file__).parents[3]
TUBE = "rect-2x1x0.125"
STICK = Blank("stick", TUBE, 3000.0)

MARK = """if True:
    import sys
    from pathlib import Path
    from cutlists.plan_file import read_plans
    from cutlists.store.mark import mark_cut
    from cutlists.store.stock import open_stock
    from parts.faults import BadInput, Place
    folder = Path(sys.argv[1])
    with open_stock(folder / "stock.sqlite") as stock:
        try:
            mark_cut(stock, read_plans(folder), Place("", None, ""))
        except BadInput as error:
            print(error)
            sys.exit(2)
"""
ADD = """if True:
    import sys
    from pathlib import Path
    from cutlists.blank import Blank
    from cutlists.store.stock import open_stock
    sticks = [Blank("stick", "rect-2x1x0.125", 3000.0)] * 5
    for i in range(int(sys.argv[2])):
        with open_stock(Path(sys.argv[1]), create=True) as stock:
            stock.add(sticks, sys.argv[3], f"{sys.argv[3]} {i}")
        print(i, flush=True)
"""


def start(script, *arguments):
    command = [sys.executable, "-c", script, *map(str, arguments)]
    return subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True)


def state(path):
    """Numbers on hand, and how many entries there are; after a check of the whole file."""
    with open_stock(path) as stock:
        assert stock.db.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
        assert stock.db.execute("PRAGMA foreign_key_check").fetchall() == []
        counted = stock.db.execute("SELECT item FROM moves GROUP BY item HAVING sum(way) = 1").fetchall()
        here = sorted(item.id for item in stock.items())
        assert here == [item for (item,) in counted]
        return here, len(stock.log())


@pytest.fixture
def folder(tmp_path):
    """A stock of six sticks and a plan that cuts the first three and leaves two offcuts."""
    with open_stock(tmp_path / "stock.sqlite", create=True) as stock:
        stock.add([STICK] * 6)
        uses = [
            Use(
                STICK,
                "stock",
                f"stock {i}",
                i,
                used=2000.0,
                kept=(Blank("stick", TUBE, 900.0 + i),) * (i < 3),
            )
            for i in (1, 2, 3)
        ]
        plan = CutPlan("loon", tuple(uses), stock.identity)
    (tmp_path / NAME).write_text(plan.text())
    return tmp_path


def mark_and_die(folder, deadly):
    """Marks the plan in a process that kills itself at a statement; how it ended, and its count."""
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        count = 0

        def told(statement):
            nonlocal count
            count += 1
            if count == deadly:
                os.kill(os.getpid(), signal.SIGKILL)

        with open_stock(folder / "stock.sqlite") as stock:
            stock.db.set_trace_callback(told)
            mark_cut(stock, read_plans(folder), Place("", None, ""))
            os.write(writer, str(count).encode())
        os._exit(0)
    os.close(writer)
    _, status = os.waitpid(child, 0)
    with os.fdopen(reader) as pipe:
        return os.waitstatus_to_exitcode(status), pipe.read()


def test_a_kill_at_any_statement_of_a_mark_leaves_all_or_nothing(folder):
    path = folder / "stock.sqlite"
    whole = path.read_bytes()
    code, count = mark_and_die(folder, 0)
    assert code == 0
    assert state(path) == ([4, 5, 6, 7, 8], 2)
    assert int(count) > 20
    for deadly in range(1, int(count) + 1):
        path.write_bytes(whole)
        assert mark_and_die(folder, deadly) == (-signal.SIGKILL, "")
        assert state(path) == ([1, 2, 3, 4, 5, 6], 1)
    # The last statement is the one that makes it whole; whatever dies after it finds all done.
    assert mark_and_die(folder, 0) == (0, count)


def test_of_two_processes_that_mark_the_same_plan_at_once_one_wins(folder):
    running = [start(MARK, folder) for _ in range(3)]
    told = [process.communicate()[0] for process in running]
    assert sorted(process.returncode for process in running) == [0, 2, 2]
    assert sum("marked as cut already" in text for text in told) == 2
    assert state(folder / "stock.sqlite") == ([4, 5, 6, 7, 8], 2)


def test_processes_that_begin_a_file_and_add_at_once_lose_nothing(tmp_path):
    path = tmp_path / "stock.sqlite"
    running = [start(ADD, path, 8, name) for name in ("left", "right")]
    for process in running:
        process.communicate()
        assert process.returncode == 0
    here, entries = state(path)
    assert here == list(range(1, 2 * 8 * 5 + 1))
    assert entries == 16
    with open_stock(path) as stock:
        for entry in stock.log():
            assert len({stock.item(i).place for i in entry.came}) == 1
            assert len(entry.came) == 5


def test_what_was_told_as_done_is_there_after_a_kill_at_any_moment(tmp_path):
    seed = random.Random(7)
    for trial in range(3):
        path = tmp_path / f"{trial}.sqlite"
        process = start(ADD, path, 1000, "shop")
        told = [process.stdout.readline()]
        time.sleep(seed.uniform(0.0, 0.25))
        process.send_signal(signal.SIGKILL)
        told += process.stdout.readlines()
        process.wait()
        process.stdout.close()
        done = sum(line.endswith("\n") for line in told)
        here, entries = state(path)
        # One more may have been done before the word of it came out.
        assert entries in (done, done + 1)
        assert len(here) == 5 * entries


def test_a_change_that_waits_too_long_is_told_in_words(folder, monkeypatch):
    monkeypatch.setattr("cutlists.store.file.PATIENCE", 0.1)
    path = folder / "stock.sqlite"
    with opened(path) as other:
        other.execute("BEGIN IMMEDIATE")
        with (
            pytest.raises(BadInput, match="another process is changing the stock"),
            open_stock(path) as stock,
        ):
            stock.add([STICK])
        other.execute("ROLLBACK")
    assert state(path)[1] == 1
