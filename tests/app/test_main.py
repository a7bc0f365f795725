"""The command: exit codes, one line per fault, help that comes at once."""

import dataclasses
import json
import os
import re
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from app import main
from model.checks.run import Checked
from model.findings import Finding
from parts.faults import BadInput, Fault, Place

ROOT = Path(__file__).parents[2]
HEAVY = (
    "cadquery",
    "OCP",
    "numpy",
    "scipy",
    "shapely",
    "pydantic",
    "yaml",
    "ezdxf",
    "trimesh",
    "rich",
    "PIL",
)


@pytest.fixture
def workers(monkeypatch):
    """Puts workers of the test's own in place of the model and the exports."""

    def put(load_boat, write_build=_written):
        monkeypatch.setitem(sys.modules, "model.boat", SimpleNamespace(load_boat=load_boat))
        checks = SimpleNamespace(run_checks=_checked)
        monkeypatch.setitem(sys.modules, "model.checks.run", checks)
        handed_over = SimpleNamespace(write_one_file=lambda *_: None)
        monkeypatch.setitem(sys.modules, "app.preview.one_file", handed_over)
        monkeypatch.setitem(sys.modules, "cutlists.write_all", SimpleNamespace(write_build=write_build))

    return put


def _checked(boat, *rest, **more):
    return Checked({}, tuple(boat.findings), ("9 pieces, 36 pairs measured",))


def _written(boat, folder, *rest):
    (folder / "saw").write_text("new")
    return SimpleNamespace(buy=SimpleNamespace(words=lambda: "3 sticks; 60.00"))


def boat(*findings):
    return SimpleNamespace(
        name="loon", title="Loon", members=[SimpleNamespace(mass=2.0)], panels=[1], strips=[], fixtures=[],
        findings=list(findings), units="mm", place=lambda name: Place("loon.yaml", 12, "decks.front"),
    )  # fmt: skip


FINDING = Finding(
    "overlap",
    ("post.3", "rod.1"),
    "the post stands in the rod's way",
    "name it in no_posts",
    where=np.array([1500.0, -40.0, 300.0]),
    place=Place("loon.yaml", 12, "decks.front"),
    short=3.25,
)


def test_help_imports_nothing_heavy():
    asks = f"import sys, app.main; app.main.run(['--help']); print([m for m in {HEAVY} if m in sys.modules])"
    ran = subprocess.run([sys.executable, "-c", asks], cwd=ROOT, capture_output=True, text=True, check=True)
    assert ran.stdout.splitlines()[-1] == "[]"


@pytest.mark.parametrize("name", sorted(main.cli.commands))
def test_every_command_is_told_with_an_example_and_in_the_readme(name, capsys):
    assert main.run([name, "--help"]) == 0
    assert f"Example: athwart {name}" in capsys.readouterr().out
    assert f"athwart {name}" in (ROOT / "README.md").read_text()


def test_help_lists_every_command_without_cutting_its_line(capsys):
    assert main.run(["--help"]) == 0
    said = capsys.readouterr().out
    assert "..." not in said.partition("Commands:")[2]


@pytest.mark.parametrize(
    "arguments", [["bild", "x"], ["build"], ["build", "x", "--wide"], ["check", "a", "b"]]
)
def test_wrong_use_ends_with_2(arguments, capsys):
    assert main.run(arguments) == 2
    assert "Error:" in capsys.readouterr().err


def test_a_fine_boat_ends_with_0_and_is_written(workers, tmp_path, capsys):
    workers(lambda path, *rest, **more: boat())
    assert main.run(["build", "loon.yaml", "-o", str(tmp_path / "out")]) == 0
    assert (tmp_path / "out" / "saw").read_text() == "new"
    said = capsys.readouterr()
    assert said.out.splitlines() == [
        "checked: 9 pieces, 36 pairs measured",
        "Loon: 1 member (2.0 kg), 1 sheet piece, 0 fittings, 0 findings",
        "to buy: 3 sticks; 60.00",
        f"built: {tmp_path / 'out'}/, begin with {tmp_path / 'out'}/READ-FIRST.txt",
    ]
    assert said.err == ""


def test_the_folder_is_out_and_the_files_name_unless_given(workers, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    workers(lambda path, *rest, **more: boat())
    assert main.run(["build", "configs/loon.yaml"]) == 0
    assert (tmp_path / "out" / "loon" / "saw").exists()


def test_findings_are_told_and_end_with_1(workers, tmp_path, capsys):
    workers(lambda path, *rest, **more: boat(FINDING))
    assert main.run(["build", "loon.yaml", "-o", str(tmp_path / "out")]) == 1
    assert main.run(["check", "loon.yaml"]) == 1
    out = capsys.readouterr().out
    flat = " ".join(out.split())
    told = (
        "overlap post.3, rod.1: the post stands in the rod's way; short by 3.2 mm; name it in no_posts; "
        "1500.0 mm from the transom, 40.0 mm to starboard, 300.0 mm up (loon.yaml:12 decks.front)"
    )
    assert flat.count(told) == 2
    assert flat.count("checked: 9 pieces, 36 pairs measured") == 2
    assert all(len(line) <= 100 for line in out.splitlines() if str(tmp_path) not in line)


def test_control_characters_in_a_title_do_not_reach_the_terminal(workers, capsys):
    hostile = boat()
    hostile.title = "Loon\x1b[2J\nmore"
    workers(lambda path, *rest, **more: hostile)
    assert main.run(["check", "loon.yaml"]) == 0
    assert capsys.readouterr().out.splitlines()[-1].startswith("Loon [2J more: 1 member")


def test_check_writes_nothing(workers, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    workers(lambda path, *rest, **more: boat(), write_build=None)
    assert main.run(["check", "loon.yaml"]) == 0
    assert list(tmp_path.iterdir()) == []


def test_bad_input_is_one_line_each_on_stderr_and_leaves_the_last_build(workers, tmp_path, capsys):
    (workers)(lambda path, *rest, **more: boat())
    assert main.run(["build", "loon.yaml", "-o", str(tmp_path / "out")]) == 0
    capsys.readouterr()

    def refuse(path, *rest):
        raise BadInput([Fault(Place("loon.yaml", n, "a"), "wrong", "right") for n in (3, 9)])

    workers(refuse)
    assert main.run(["build", "loon.yaml", "-o", str(tmp_path / "out")]) == 2
    said = capsys.readouterr()
    assert said.err.splitlines() == ["loon.yaml:3 a: wrong; right", "loon.yaml:9 a: wrong; right"]
    assert said.out == ""
    assert (tmp_path / "out" / "saw").read_text() == "new"


def test_a_fault_of_our_own_is_a_line_too_and_leaves_the_last_build(workers, tmp_path, capsys):
    workers(lambda path, *rest, **more: boat())
    main.run(["build", "loon.yaml", "-o", str(tmp_path / "out")])
    capsys.readouterr()

    def fail(boat, folder, *rest):
        (folder / "saw").write_text("half")
        raise ZeroDivisionError("by zero")

    workers(lambda path, *rest, **more: boat(), write_build=fail)
    assert main.run(["build", "loon.yaml", "-o", str(tmp_path / "out")]) == 70
    said = capsys.readouterr().err
    assert "ZeroDivisionError at test_main.py:" in said
    assert "Traceback" not in said
    assert (tmp_path / "out" / "saw").read_text() == "new"


def test_an_interrupt_and_a_full_disk_are_lines_too(workers, tmp_path, capsys):
    for error, code, said in [
        (KeyboardInterrupt(), 130, "stopped; nothing was replaced"),
        (OSError(28, "No space left on device", "saw"), 2, "saw: No space left on device"),
    ]:

        def fail(boat, folder, *rest, error=error):
            raise error

        workers(lambda path, *rest, **more: boat(), write_build=fail)
        assert main.run(["build", "loon.yaml", "-o", str(tmp_path / "out")]) == code
        assert said in capsys.readouterr().err
        assert list(tmp_path.iterdir()) == []


def test_a_folder_of_the_users_is_refused_before_any_work(workers, tmp_path, capsys):
    (tmp_path / "boat.jpg").write_text("precious")
    workers(lambda path, *rest, **more: pytest.fail("work was done"))
    assert main.run(["build", "loon.yaml", "-o", str(tmp_path)]) == 2
    assert "boat.jpg, which no build wrote" in capsys.readouterr().err


def test_a_reader_that_leaves_early_is_no_error():
    reader, writer = os.pipe()
    os.close(reader)
    ran = subprocess.run(
        [sys.executable, "-m", "app.main", "schema"],
        cwd=ROOT,
        stdout=writer,
        stderr=subprocess.PIPE,
        check=False,
    )
    os.close(writer)
    assert ran.returncode == 0
    assert ran.stderr == b""


def test_schema_is_json(capsys):
    assert main.run(["schema"]) == 0
    schema = json.loads(capsys.readouterr().out)
    assert schema["type"] == "object"
    assert "hull" in schema["required"]


def test_new_lays_out_a_boat_once(tmp_path, capsys):
    assert main.run(["new", str(tmp_path / "my-boat")]) == 0
    assert f"next: athwart build {tmp_path}/my-boat/boat.yaml" in capsys.readouterr().out
    (tmp_path / "my-boat" / "boat.yaml").write_text("mine")
    assert main.run(["new", str(tmp_path / "my-boat")]) == 2
    assert "it already holds boat.yaml" in capsys.readouterr().err
    assert (tmp_path / "my-boat" / "boat.yaml").read_text() == "mine"


def test_new_refuses_a_file(tmp_path, capsys):
    (tmp_path / "x").write_text("")
    assert main.run(["new", str(tmp_path / "x")]) == 2
    assert "this is a file" in capsys.readouterr().err


def test_findings_on_a_terminal_are_a_table_of_100_columns(workers, capsys, monkeypatch):
    long = "deck.front/" + "very-long-name-of-a-piece." * 3
    many = [
        FINDING,
        dataclasses.replace(FINDING, pieces=(long, "b", "c", "d", "e"), place=None, where=None, short=None),
    ]
    workers(lambda path, *rest, **more: boat(*many))
    monkeypatch.setenv("COLUMNS", "140")
    monkeypatch.setattr("sys.stdout.isatty", lambda: True)
    assert main.run(["check", "loon.yaml"]) == 1
    out = re.sub(r"\x1b\[[0-9;]*m", "", capsys.readouterr().out)
    assert [line for line in out.splitlines() if len(line) > 100] == []
    head = out.splitlines()[0].split()
    assert head == ["what", "is", "wrong", "short", "by", "where", "cure"]
    assert "overlap post.3, rod.1" in out
    assert "3.2 mm" in out
    assert "and 2 more" in " ".join(out.split())
