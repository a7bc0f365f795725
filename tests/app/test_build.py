"""The starter boat, built by the command as a stranger would: every file is there and they agree."""

import csv
import json
from pathlib import Path

import pytest

from app import main
from app.build_folder import check_target
from app.earlier import earlier_marks
from cutlists.notices import CAUTIONS, FILES
from model.boat import load_boat
from parts.faults import BadInput


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    """A folder with the starter boat laid out by `new` and built; the folder of the build."""
    folder = tmp_path_factory.mktemp("stranger")
    assert main.run(["new", str(folder / "boat")]) == 0
    assert main.run(["build", str(folder / "boat" / "boat.yaml"), "-o", str(folder / "out")]) == 0
    return folder / "out"


@pytest.fixture(scope="module")
def boat(built):
    return load_boat(built.parent / "boat" / "boat.yaml")


def rows(path):
    return list(csv.DictReader(path.open(encoding="utf-8")))


def test_every_file_that_is_told_of_is_there_and_no_other(built):
    told = set()
    for names, _ in FILES:
        first, *endings = names.split()
        told |= {first, *(str(Path(first).with_suffix(ending)) for ending in endings)}
    there = {f"{path.name}/" if path.is_dir() else path.name for path in built.iterdir()}
    # the starter has no findings, wells, rods, wires, hoses, ice or foam, and prices nothing
    asked_for = {"findings/", "wells.csv", "rods.csv", "rod-lengths.csv"}
    asked_for |= {"ice.txt", "foam/", "boxes.json", "coverings.csv", "electrics/", "plumbing/"}
    asked_for |= {f"quote{ending}" for ending in (".pdf", ".csv", ".json", "-shop.pdf")}
    assert asked_for <= told
    assert there == (told - asked_for) | {"READ-FIRST.txt", ".athwart-build"}
    assert all(path.stat().st_size > 0 for path in built.rglob("*"))
    check_target(built)


def test_cautions_stand_first(built):
    said = " ".join((built / "READ-FIRST.txt").read_text(encoding="utf-8").split())
    assert all(caution in said for caution in CAUTIONS)
    assert "licensed" in said


def test_the_saw_list_holds_every_member_once(built, boat):
    found = rows(built / "saw-list.csv")
    assert sum(int(row["quantity"]) for row in found) == len(boat.members)
    assert {row["mark"] for row in found} == {boat.marks[member.name] for member in boat.members}
    assert {path.stem for path in (built / "pieces").iterdir()} == {row["mark"] for row in found}
    assert all(len(line) <= 100 for line in (built / "saw-list.txt").read_text().splitlines())


def test_every_sheet_piece_has_an_outline(built, boat):
    marks = {boat.marks[piece.name] for piece in (*boat.panels, *boat.strips)}
    assert {path.name for path in (built / "sheets").iterdir()} == {
        f"{m}{end}" for m in marks for end in (".dxf", ".svg")
    }
    assert {row["mark"] for row in rows(built / "sheet-list.csv")} == marks


def test_lids_are_told_with_what_to_order(built):
    hatch, battery = rows(built / "lids.csv")
    assert (hatch["opening"], hatch["lid"]) == ("deck.bow/hatch", "made to order")
    # The file asks for 18 x 24 in with a gap of 1/8 in all round, corners of 1-1/2 in.
    assert (hatch["cut-out length"], hatch["cut-out width"]) == ('18"', '24"')
    assert float(hatch["lid length mm"]) == pytest.approx((18 - 2 / 8) * 25.4, abs=0.1)
    assert float(hatch["lid width mm"]) == pytest.approx((24 - 2 / 8) * 25.4, abs=0.1)
    assert float(hatch["corner radius mm"]) == pytest.approx(38.1, abs=0.1)
    assert (battery["lid"], battery["cut-out length"], battery["hinge"]) == ("lid-18x12", '18"', "aft")


def test_every_measured_point_is_judged_worst_first(built):
    found = rows(built / "survey-check.csv")
    assert len(found) == 8 * 3
    scores = [float(row["score"]) for row in found]
    assert scores == sorted(scores, reverse=True)
    assert found[0]["at"].split(" ")[0].startswith(str(built.parent / "boat" / "boat.yaml:"))


def test_pieces_that_stay_keep_their_marks_and_new_ones_get_new_numbers(built, boat, tmp_path):
    text = (built.parent / "boat" / "boat.yaml").read_text()
    # The bow deck comes first in name and order, so a fresh numbering would shift what follows.
    changed = text.replace("stern_fwd: 34 ", "stern_fwd: 36 ")
    assert changed != text
    (tmp_path / "boat.yaml").write_text(changed)
    earlier = earlier_marks(built)
    after = load_boat(tmp_path / "boat.yaml", None, earlier)
    known = {mark for mark, _ in earlier.values()}
    same = [name for name, told in boat.signatures.items() if after.signatures.get(name) == told]
    fresh = {
        mark for name, mark in after.marks.items() if after.signatures[name] not in boat.signatures.values()
    }
    assert len(same) > 20
    assert all(after.marks[name] == boat.marks[name] for name in same)
    assert fresh
    assert not fresh & known


def test_marks_that_cannot_be_read_stop_the_build(tmp_path):
    (tmp_path / "boat.json").write_text("{")
    with pytest.raises(BadInput, match="number anew"):
        earlier_marks(tmp_path)
    assert earlier_marks(tmp_path / "none") is None


def test_boat_json_holds_every_piece(built, boat):
    told = json.loads((built / "boat.json").read_text())
    names = {piece["name"] for piece in told["pieces"]}
    assert {member.name for member in boat.members} <= names
    assert {panel.name for panel in boat.panels} <= names
