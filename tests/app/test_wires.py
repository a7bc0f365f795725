"""`athwart wires`: what it prints, writes and refuses, on a small boat of its own."""

from importlib import resources

import pytest

from app import main

STARTER = resources.files("app").joinpath("starter", "boat.yaml").read_text(encoding="utf-8")
WIRES = """
passages:
  battery: {at: [24-3/4, 17-3/4, 11], diameter: 3/4, through: [locker.battery/wall.port]}
electrics:
  batteries:
    house: {of: [battery]}
  devices:
    main: {at: [24, 20, 11], kind: fuse}
    box: {at: [28, 21, 12], kind: fuse_box, positions: 6}
    negative: {at: [26, 22, 12], kind: bus}
  loads:
    bilge: {at: [8, 2, 5], amps: 3, shares: {day: 0.1}}
    bow_light: {at: [130, 4, 13], amps: 1, shares: {night: 1}}
  circuits:
    feed: {from: house, through: [main], to: box, back: negative}
    bilge: {from: box, to: bilge, kind: critical, colour: brown}
    bow_light: {from: box, to: bow_light, kind: critical}
  uses: {day: {hours: 8}, night: {hours: 3}}
"""


@pytest.fixture
def boat(tmp_path):
    path = tmp_path / "boat.yaml"
    path.write_text(STARTER + WIRES)
    return path


def test_it_tells_circuits_fuses_wires_and_the_day(boat, capsys, tmp_path):
    files = ["--diagram", str(tmp_path / "d.svg"), "--labels", str(tmp_path / "l.pdf")]
    code = main.run(["wires", str(boat), *files])
    said = capsys.readouterr()
    assert code == 0, said
    for told in ("Circuits", "Fuse map", "bow_light back", "To buy for the wires", "Batteries", "licensed"):
        assert told in said.out
    assert all(len(line) <= 100 for line in said.out.splitlines() if "/" not in line)
    assert (tmp_path / "d.svg").read_text().startswith("<svg")
    assert (tmp_path / "l.pdf").read_bytes().startswith(b"%PDF")


def test_a_finding_gives_exit_code_one(boat, capsys):
    boat.write_text(boat.read_text().replace("through: [main], ", ""))
    assert main.run(["wires", str(boat)]) == 1
    assert "no fuse or breaker between house and box" in capsys.readouterr().out


def test_a_given_run_through_a_well_is_told_by_the_check(boat, capsys):
    through = "  runs:\n    - {between: [box, bilge], points: [[20, 12, 8], [10, 10, 8]]}\n"
    boat.write_text(boat.read_text() + through)
    assert main.run(["check", str(boat), "--only", "wires,ways", "--cures", "0"]) == 1
    said = " ".join(capsys.readouterr().out.split())
    assert "locker.battery" in said
    assert "the first goes through the second" in said


def test_a_boat_without_wires_is_told_how_to_have_some(tmp_path, capsys):
    path = tmp_path / "boat.yaml"
    path.write_text(STARTER)
    assert main.run(["wires", str(path)]) == 0
    assert "electrics:" in capsys.readouterr().out
