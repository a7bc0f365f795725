"""`athwart scan`: from a file to a folder whose boat reads, and every wrong option told at once."""

from __future__ import annotations

import numpy as np
import pytest

from app import main
from model.boat import load_boat
from tests.model.hull_samples import demo
from tests.model.scan.scans import scanned


@pytest.fixture(scope="module")
def surveyed(tmp_path_factory):
    """A scan of a demo boat in inches, surveyed into a folder."""
    folder = tmp_path_factory.mktemp("scan")
    path = folder / "jon boat 2.xyz"
    np.savetxt(path, scanned(demo("flat14"), 13_000, noise=2.0, scale=25.4, seed=11).points, fmt="%.4f")
    code = main.run(["scan", str(path), "-o", str(folder / "out"), "--spacing", "16", "--keel-height", "2"])
    return code, folder / "out"


def test_all_files_are_there(surveyed):
    code, folder = surveyed
    assert code == 0
    names = {path.name for path in folder.iterdir()} - {".athwart-build"}
    assert names == {"boat.yaml", "jon-boat-2-survey.csv", "scan-report.txt", "sections.svg"}


def test_the_boat_reads_and_its_hull_is_the_one_scanned(surveyed):
    boat = load_boat(surveyed[1] / "boat.yaml")
    x = np.linspace(100.0, 3_900.0, 30)
    hull = demo("flat14")
    for line in hull.lines:
        off = boat.hull.line(line, x) - hull.line(line, x)
        assert np.sqrt(np.mean(off**2)) < 2.0, line
    assert {member.name.partition("/")[0] for member in boat.members} == {"deck.sole"}
    assert boat.hull.transom.normal == pytest.approx(hull.transom.normal, abs=0.005)


def test_the_report_tells_how_it_fits(surveyed):
    text = (surveyed[1] / "scan-report.txt").read_text()
    assert "mm off it (rms)" in text
    assert "Standard error by line" in text
    assert max(len(line) for line in text.splitlines()) <= 100
    assert sum(line.strip().startswith("16 ") for line in text.splitlines()) == 3


def test_the_picture_shows_points_and_lines(surveyed):
    svg = (surveyed[1] / "sections.svg").read_text()
    assert svg.count("<title>scanned</title>") >= 8
    assert svg.count("<title>fitted</title>") >= 16


def test_a_later_survey_takes_its_place_and_a_strange_folder_is_kept(surveyed, tmp_path, capsys):
    (tmp_path / "mine.txt").write_text("mine")
    (tmp_path / "a.xyz").write_text("1 2 3\n")
    assert main.run(["scan", str(tmp_path / "a.xyz"), "-o", str(tmp_path)]) == 2
    assert "which no build wrote" in capsys.readouterr().err
    assert (tmp_path / "mine.txt").read_text() == "mine"


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (["--lines", "keel"], "1 lines; name two to six"),
        (["--lines", "keel,chine,chine,gunwale"], "stands twice"),
        (["--lines", "keel,9>3,gunwale"], "cannot name a line"),
        (["--stations", "0,twelve"], "--stations:"),
        (["--stations", "0,12", "--spacing", "12"], "give one of"),
        (["--spacing", "-3"], "not above zero"),
        (["--length", "0"], "not above zero"),
        (["--up", "w"], "not three numbers"),
        (["--up", "0,0,0"], "points nowhere"),
        (["--level", "up"], "nothing says which way is up"),
        (["--point", "stem=1,2,3"], "unknown point 'stem'"),
        (["--point", "bow=1,2"], "not three numbers"),
        (["--point", "bow=1,2,nan"], "not three numbers"),
        (["--outside", "soon"], "--outside:"),
    ],
)
def test_wrong_options_are_told_with_a_cure(tmp_path, capsys, options, told):
    path = tmp_path / "a.xyz"
    path.write_text("1 2 3\n")
    assert main.run(["scan", str(path), *options]) == 2
    message = capsys.readouterr().err
    assert told in message
    assert "Traceback" not in message


def test_all_wrong_options_are_told_at_once(tmp_path, capsys):
    options = ["--lines", "keel", "--spacing", "wide", "--up", "w", "--point", "nose=0,0,0"]
    assert main.run(["scan", str(tmp_path / "none.ply"), *options]) == 2
    assert len(capsys.readouterr().err.strip().splitlines()) == 4
