"""The command `athwart strength`."""

from pathlib import Path

import pytest

from app import main

CONFIGS = Path(__file__).parents[2] / "configs"
STARTER = Path(__file__).parents[2] / "app/starter/boat.yaml"


def test_a_boat_that_carries_ends_with_0_and_is_told_with_its_caution(capsys, tmp_path):
    assert main.run(["strength", str(STARTER)]) == 0
    told = capsys.readouterr().out
    assert "none over 1.0" in " ".join(told.split())
    assert "not approved engineering" in told
    assert max(map(len, told.splitlines())) <= 100


def test_one_that_does_not_ends_with_1_and_says_what_and_what_cures_it(capsys, tmp_path):
    boat = tmp_path / "boat.yaml"
    boat.write_text(STARTER.read_text() + "\nstrength: {person: 900 lb}\n")
    assert main.run(["strength", str(boat)]) == 1
    assert "strength" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (["--suggest", "sol"], "there is no deck 'sol'"),
        (["--suggest", "sole", "--section", "rect-9x9"], "no section is called 'rect-9x9'"),
        (["--jobs", "0"], "--jobs"),
    ],
)
def test_what_cannot_be_asked_is_a_line(more, says, capsys):
    assert main.run(["strength", str(STARTER), *more]) == 2
    told = capsys.readouterr()
    assert says in told.err
    assert "Traceback" not in told.err


def test_the_lightest_frame_is_told_beside_what_is_there(capsys, monkeypatch):
    monkeypatch.setattr("model.strength.suggest.INCHES", (12.0, 16.0))
    tubes = ["--section", "rect-1x1.5x0.125"]
    assert main.run(["strength", str(STARTER), "--suggest", "stern", *tubes, "--jobs", "1"]) == 0
    told = capsys.readouterr().out
    assert "stern as it is: rect-1x1.5x0.125" in told
    assert "the lightest that carries" in told
    assert max(map(len, told.splitlines())) <= 100
