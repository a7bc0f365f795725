"""`athwart float` and the sheet in a build: what is printed, and the exit codes."""

from pathlib import Path

import pytest

from app import main

ROOT = Path(__file__).parents[2]
CONFIGS = ROOT / "configs"


def test_a_fine_boat_ends_with_0_and_writes_nothing(capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert main.run(["float", str(CONFIGS / "flat14.yaml")]) == 0
    said = capsys.readouterr().out
    assert all(len(line) <= 100 for line in said.splitlines())
    for title in ("Weight with nobody aboard", "Afloat", "Righting arms", "Safe loading", "Flotation foam"):
        assert title in said
    assert list(tmp_path.iterdir()) == []


def test_a_boat_with_findings_ends_with_1(capsys, tmp_path):
    text = (CONFIGS / "flat14.yaml").read_text().replace("freeboard: 200", "freeboard: 350")
    (tmp_path / "boat.yaml").write_text(text)
    (tmp_path / "flat14-survey.csv").write_text((CONFIGS / "flat14-survey.csv").read_text())
    assert main.run(["float", str(tmp_path / "boat.yaml")]) == 1
    assert "freeboard is" in capsys.readouterr().out


def test_bad_weights_end_with_2_and_a_line_each(capsys, tmp_path):
    text = (CONFIGS / "flat14.yaml").read_text().replace("mass: 92 kg", "mass: -92 kg")
    (tmp_path / "boat.yaml").write_text(text)
    (tmp_path / "flat14-survey.csv").write_text((CONFIGS / "flat14-survey.csv").read_text())
    assert main.run(["float", str(tmp_path / "boat.yaml")]) == 2
    said = capsys.readouterr()
    (line,) = said.err.splitlines()
    assert "weights.loads.hunter.mass: '-92 kg' is not a mass above zero" in line


@pytest.mark.parametrize("width", [80, 120])
def test_on_a_terminal_it_is_tables(width, capsys, monkeypatch):
    monkeypatch.setattr("sys.stdout.isatty", lambda: True)
    monkeypatch.setenv("COLUMNS", str(width))
    assert main.run(["float", str(CONFIGS / "flat14.yaml")]) == 0
    assert "two_and_the_dog" in capsys.readouterr().out.replace("\n", "")
