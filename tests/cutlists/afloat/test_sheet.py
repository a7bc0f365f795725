"""The sheet of weight and trim, read back: columns, sums, cautions."""

import csv
import io
import json
import math

import pytest

from cutlists.afloat.leaf import Leaf, leaf_lines
from cutlists.afloat.leaves import CAUTIONS, leaves
from cutlists.afloat.live import live_leaf
from cutlists.afloat.measures import Measures
from cutlists.afloat.sheet_files import afloat_json, afloat_text, weights_csv, write_afloat
from model.capacity.float_report import check_float
from model.hydrostatics.afloat import weight_and_trim
from tests.model.boats import build, demo

DECK = {"sole": {"height": 120, "aft": 200, "forward": 2800}}


@pytest.fixture(scope="module")
def lake():
    boat = demo("lake16")
    return boat, check_float(boat)


def test_the_text_keeps_to_100_columns_and_begins_with_the_cautions(lake):
    text = afloat_text(*lake)
    assert all(len(line) <= 100 and line.isprintable() for line in text.splitlines())
    flat = " ".join(text.split())
    for caution in CAUTIONS:
        assert caution in flat
    assert flat.index(CAUTIONS[-1]) < flat.index("Weight with nobody aboard")
    assert "capacity plate" in flat
    assert "not approved engineering" in flat


def test_each_leaf_is_there_and_every_case_in_it(lake):
    boat, report = lake
    found = {leaf.title: leaf for leaf in leaves(boat, report)}
    assert list(found) == [
        "In short", "Weight with nobody aboard", "Afloat", "Righting arms", "Safe loading by the rule",
        "Flotation foam", "Electric drive",
    ]  # fmt: skip
    names = [row[0] for row in found["Afloat"].rows]
    assert names == ["before the refit", *(one.case.name for one in report.cases)]
    assert all(len(row) == len(leaf.head) for leaf in found.values() for row in leaf.rows)


def test_the_short_leaf_holds_the_worst_of_all_cases(lake):
    boat, report = lake
    rows = {row[0]: row for row in next(iter(leaves(boat, report))).rows}
    low = min(report.cases, key=lambda one: one.freeboard)
    assert rows["least freeboard"][1:] == (f"{low.freeboard / 25.4:.1f} in", "at least 9.0 in", low.case.name)
    heel = max(abs(one.rest.heel) for one in report.cases)
    assert rows["greatest heel"][1] == f"{math.degrees(heel):.1f} deg"
    assert rows["persons, motor and gear"][2] == "plate 940 lb"
    assert rows["persons"][3].startswith("33 CFR 183.41")


def test_a_boat_in_millimetres_is_told_in_kilograms():
    boat = build(decks=DECK)
    text = afloat_text(boat, check_float(boat))
    assert "weigh her" in text
    assert " lb" in text.partition("Safe loading")[2]
    weights = text.partition("Weight with nobody aboard")[2].partition("Safe loading")[0]
    assert " kg" in weights
    assert " lb" not in weights.replace("185 lb (84 kg)", "")


def test_pieces_in_the_csv_add_up_to_its_totals(lake):
    boat, report = lake
    rows = list(csv.DictReader(io.StringIO(weights_csv(boat, report))))
    totals = {row["name"]: row for row in rows if row["group"] == "total" or row["name"].startswith("total ")}
    pieces = [row for row in rows if row["name"] not in totals]
    mass = sum(float(row["mass kg"]) for row in pieces)
    after = totals["after the refit"]
    # each row is rounded to a tenth of a gram
    assert mass == pytest.approx(float(after["mass kg"]), abs=0.02)
    for axis in ("x mm", "y mm", "z mm"):
        moment = sum(float(row["mass kg"]) * float(row[axis]) for row in pieces)
        assert moment / mass == pytest.approx(float(after[axis]), abs=0.2)
    assert {row["mark"] for row in pieces if row["group"] == "frame"} <= set(boat.marks.values())
    assert float(after["mass lb"]) == pytest.approx(float(after["mass kg"]) / 0.45359237, abs=0.01)


def test_the_json_holds_what_the_report_says(lake):
    boat, report = lake
    data = json.loads(afloat_json(boat, report))
    assert data["format"] == "athwart-afloat"
    assert data["weight"]["after"]["mass"] == pytest.approx(report.weights.after.mass, abs=1e-3)
    assert [one["name"] for one in data["cases"]] == [one.case.name for one in report.cases]
    assert data["cases"][0]["arms"]["arm"][0] == pytest.approx(0.0, abs=0.5)
    assert data["rules"]["after"]["persons"] == report.rules.after.persons
    assert data["drive"][-1]["share"] == 1.0
    assert data["cautions"] == list(CAUTIONS)


def test_the_live_leaf_says_what_the_report_says(lake):
    boat, report = lake
    rows = dict(live_leaf(weight_and_trim(boat), boat.units).rows)
    empty = report.cases[0]
    assert rows["weight, nobody aboard"] == f"{report.weights.after.mass / 0.45359237:.0f} lb"
    assert rows["trim, bow up"] == f"{math.degrees(empty.rest.trim):.1f} deg"
    assert rows["least freeboard"] == f"{empty.freeboard / 25.4:.1f} in"


def test_a_boat_that_sinks_is_told_all_the_same(tmp_path):
    loads = {"lead": {"mass": 3000, "at": [1500, 0, 100]}}
    boat = build(decks=DECK, weights={"loads": loads}, afloat={"cases": {"a": {}, "b": {"loads": ["lead"]}}})
    report = check_float(boat)
    write_afloat(boat, report, tmp_path)
    assert {path.name for path in tmp_path.iterdir()} == {"afloat.txt", "afloat.json", "weights.csv"}
    text = (tmp_path / "afloat.txt").read_text()
    assert "no rest" in text
    assert "more than the closed hull displaces" in text
    assert json.loads((tmp_path / "afloat.json").read_text())["cases"][1]["floats"] is False


def test_wide_leaves_are_cut_to_their_widest_column():
    leaf = Leaf("t", ("name", "a"), (("n" * 150, "1"), ("x", "22")))
    lines = list(leaf_lines(leaf))
    assert max(len(line) for line in lines) <= 100
    assert lines[3].endswith("1")
    assert lines[4].endswith("22")
    assert ".." in lines[3]


@pytest.mark.parametrize(
    ("units", "mass", "length", "volume"),
    [("in", "412 lb", "7.9 in", "2.0 ft3"), ("mm", "186.9 kg", "200 mm", "57 L (2.0 ft3)")],
)
def test_measures(units, mass, length, volume):
    measures = Measures(units)
    assert measures.mass(186.9) == mass
    assert measures.length(200.0) == length
    assert measures.cubic_feet(2.0) == volume
    assert "-0" not in measures.length(-0.01)
