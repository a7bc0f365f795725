"""The command `athwart rods` tells what lies, what stops it, and rod lengths as a face is moved."""

import pytest
import yaml

from app import main
from tests.model.boats import DECK, boat_file

LOCKER = {"under": "main", "aft": 400, "forward": "front", "port": 120, "starboard": -120, "floor": 150}


def written(tmp_path, length):
    rods = {
        "kinds": {"stick": {"length": length, "butt": 20, "tip": 6, "lies_in": "dry"}},
        "table": {"offset": "front", "steps": 2},
    }
    data = boat_file(
        dimensions={"front": {"value": 1200, "least": 1100, "greatest": 1300}},
        decks={"main": {**DECK, "frame": {"posts": False}}},
        lockers={"dry": LOCKER},
        rods=rods,
    )
    path = tmp_path / "loon.yaml"
    path.write_text(yaml.safe_dump(data, sort_keys=False))
    return str(path)


def test_what_lies_there_is_told_with_what_it_touches_and_a_table(tmp_path, capsys):
    assert main.run(["rods", written(tmp_path, 600)]) == 0
    said = capsys.readouterr().out
    assert "rods in dry: the longest that lies there is" in said
    assert "1 of 1 listed lie there at once" in said
    assert "where it lies it touches: locker.dry" in said
    assert "try the longest one" in said
    head, row = said.split("front across\n")[1].splitlines()[:2]
    assert head.split() == ["1100.0", "mm", "1300.0", "mm"]
    short, long = (float(word) for word in row.split() if word != "mm")
    # a wall 200 mm further on: nearly so much more along the locker's diagonal
    assert 150 < long - short < 201
    assert all(len(line) <= 100 for line in said.splitlines())


def test_a_rod_too_long_is_a_finding(tmp_path, capsys):
    assert main.run(["rods", written(tmp_path, 1000), "--no-table"]) == 1
    assert "too long to lie in the second" in capsys.readouterr().out


@pytest.mark.parametrize("steps", ["1", "26"])
def test_steps_out_of_range_are_refused(tmp_path, steps):
    assert main.run(["rods", written(tmp_path, 600), "--steps", steps]) == 2
