"""The command `athwart hoses`."""

import json
from pathlib import Path

import pytest

from app import main
from tests.model.hoses.punts import punt_text


@pytest.fixture(scope="module")
def boat(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("boat") / "punt.yaml"
    path.write_text(punt_text(), encoding="utf-8")
    return path


def test_it_tells_tables_remarks_and_cautions(boat: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main.run(["hoses", str(boat)]) == 0
    out = capsys.readouterr().out
    for word in ("Through the skin", "drain_out", "of rated", "A hole through the skin can sink her"):
        assert word in out
    assert max(len(line) for line in out.splitlines()) <= 100


def test_it_prints_json_and_writes_a_folder(
    boat: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main.run(["hoses", str(boat), "--json", "-o", str(tmp_path / "out")]) == 0
    assert json.loads(capsys.readouterr().out)["pumps"][0]["pump"] == "feed"
    assert (tmp_path / "out" / "schematic.svg").is_file()


def test_a_finding_gives_exit_code_one(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "punt.yaml"
    path.write_text(punt_text(DRAIN="[520, 100, 60], [300, 100, 60]"), encoding="utf-8")
    assert main.run(["hoses", str(path)]) == 1
    assert "runs uphill by 30.0 mm" in " ".join(capsys.readouterr().out.split())


def test_a_boat_without_hoses_is_told_what_to_write(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "punt.yaml"
    text = punt_text()
    path.write_text(text[: text.index("hoses:")], encoding="utf-8")
    assert main.run(["hoses", str(path)]) == 0
    assert "the boat has no hoses" in capsys.readouterr().out
