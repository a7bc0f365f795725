"""`athwart check` on a boat with a fault: what it prints, draws and refuses."""

from __future__ import annotations

import json
import os
from importlib import resources

import pytest

from app import main
from app.build_folder import fresh_build

STARTER = resources.files("app").joinpath("starter", "boat.yaml").read_text(encoding="utf-8")
LOW = "  sole_height: 5-1/2"
"""So low that the sole's frame lies in the ribs."""


@pytest.fixture(scope="module")
def faulty(tmp_path_factory):
    line = next(line for line in STARTER.splitlines() if line.startswith("  sole_height:"))
    path = tmp_path_factory.mktemp("faulty") / "boat.yaml"
    path.write_text(STARTER.replace(line, LOW), encoding="utf-8")
    return path


def test_each_finding_is_drawn_into_a_folder_of_its_own(faulty, tmp_path, capsys):
    target = tmp_path / "drawn"
    with fresh_build(target) as earlier:
        (earlier / "01-old.svg").write_text("old")
    assert main.run(["check", str(faulty), "--cures", "0", "--pictures", str(target)]) == 1
    out = capsys.readouterr().out
    assert "overlap deck.sole/ledger" in out
    assert "short by" in out
    drawn = sorted(path.name for path in target.iterdir() if path.suffix == ".svg")
    assert drawn
    assert drawn[0].startswith("01-overlap")
    assert "01-old.svg" not in drawn
    assert (target / drawn[0]).read_text().startswith("<svg")


def test_a_folder_with_files_of_the_users_is_refused_before_any_work(faulty, tmp_path, capsys):
    (tmp_path / "boat.jpg").write_text("precious")
    assert main.run(["check", str(faulty), "--pictures", str(tmp_path)]) == 2
    assert "boat.jpg, which no build wrote" in capsys.readouterr().err
    assert os.listdir(tmp_path) == ["boat.jpg"]


def test_the_dimension_that_cures_it_is_told_in_json_too(faulty, capsys):
    assert main.run(["check", str(faulty), "--cures", "600", "--json"]) == 1
    told = json.loads(capsys.readouterr().out)
    first = next(row for row in told["findings"] if row["kind"] == "overlap")
    assert first["dimension"]["name"] == "sole_height"
    assert first["dimension"]["value"] > 5.5 * 25.4
    assert "or set `sole_height` to" in first["cure"]
    assert told["looked_at"]


@pytest.mark.parametrize("arguments", [["--cures", "-1"], ["--cures", "long"], ["--picture", "x"]])
def test_wrong_use_ends_with_2(arguments, faulty, capsys):
    assert main.run(["check", str(faulty), *arguments]) == 2
    assert "Error:" in capsys.readouterr().err


def test_a_shop_lets_pairs_off_by_name(faulty, tmp_path, capsys):
    (tmp_path / "boat.yaml").write_text(faulty.read_text(encoding="utf-8"), encoding="utf-8")
    pair = "{between: ['deck.sole/*', 'rib.*'], overlap: true, why: notched by hand}"
    (tmp_path / "shop.yaml").write_text(f"clearances:\n  exempt:\n    - {pair}\n", encoding="utf-8")
    assert main.run(["check", str(tmp_path / "boat.yaml")]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "no two clash; 8 let off by name" in out


def test_only_the_checks_that_are_named_are_run(faulty, capsys):
    assert main.run(["check", str(faulty), "--only", "struts, float", "--cures", "0"]) == 0
    out = capsys.readouterr().out
    assert "struts of" in out
    assert "pieces weighed" in out
    assert "pairs measured" not in out
    assert main.run(["check", str(faulty), "--only", "fitt"]) == 2
    assert "--only: there is no check 'fitt'; give of fit, struts" in capsys.readouterr().err
