"""Hoses on paper: lists, goods, JSON and drawings, read back with other libraries."""

import csv
import json
import math
from itertools import combinations
from pathlib import Path
from xml.etree import ElementTree

import pypdf
import pytest
import shapely

from cutlists.drawing.drawing import letters_wide
from cutlists.hoses.files import write_plumbing
from cutlists.hoses.goods import hose_buy_lines
from cutlists.hoses.hoses_json import hoses_json
from cutlists.hoses.leaves import cut_told, leaves
from cutlists.hoses.schematic import schematic
from cutlists.packet.hose_pages import hose_pages
from cutlists.packet.page import Stamp, write_pages
from cutlists.packet.paper import papers_for
from model.hoses.check import HoseReport, hose_report
from tests.model.hoses.punts import punt
from tests.model.hoses.test_lines import BRANCHED, built


@pytest.fixture(scope="module")
def report() -> HoseReport:
    return hose_report(punt())


@pytest.fixture(scope="module")
def folder(report: HoseReport, tmp_path_factory: pytest.TempPathFactory) -> Path:
    found = tmp_path_factory.mktemp("out") / "plumbing"
    write_plumbing(punt(), report, found, {"hose-3/4": 4.5})
    return found


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def test_every_hose_and_fitting_is_in_the_lists(report: HoseReport, folder: Path) -> None:
    hoses = rows(folder / "hoses.csv")
    assert [row["hose"] for row in hoses] == ["suction", "fill", "over", "drain", "bilge"]
    for row, one in zip(hoses, report.hoses, strict=True):
        # an inch at each end to trim
        assert float(row["cut mm"]) == pytest.approx(float(row["way mm"]) + 50.0, abs=0.2)
        assert float(row["way mm"]) >= math.dist(one.run.path[0], one.run.path[-1]) - 0.1  # type: ignore[union-attr]
    skins = {row["name"]: row for row in rows(folder / "through-hulls.csv")}
    assert set(skins) == {"plug", "seacock", "over_out", "drain_out", "bilge_out"}
    assert skins["seacock"]["shut by"] == "valve"
    assert skins["drain_out"]["valve"] == "must"
    assert float(skins["seacock"]["least over water mm"]) < 0.0
    pumps = rows(folder / "pumps.csv")
    assert {(row["pump"], row["case"]) for row in pumps} == {
        (pump, case) for pump in ("feed", "pump") for case in ("empty", "laden")
    }
    assert all(0 < float(row["litres an hour"]) < float(row["rated l/h"]) for row in pumps)


def test_hose_to_buy_is_what_is_cut_in_whole_metres(report: HoseReport, folder: Path) -> None:
    cut: dict[str, float] = {}
    for row in rows(folder / "hoses.csv"):
        cut[row["part"]] = cut.get(row["part"], 0.0) + float(row["cut mm"])
    buy = rows(folder / "buy.csv")
    bought = {row["name"]: int(row["buy"]) for row in buy if row["what"] == "hose"}
    assert bought == {name: math.ceil(length / 1000.0) for name, length in cut.items()}
    priced = next(row for row in buy if row["name"] == "hose-3/4")
    assert float(priced["cost"]) == pytest.approx(4.5 * bought["hose-3/4"])
    clamps = sum(int(row["buy"]) for row in buy if row["what"] == "clamp")
    assert clamps == sum(sum(one.clamps) for one in report.hoses)
    counted = {line.name: line.need for line in hose_buy_lines(report, {}) if line.material == "through-hull"}
    assert counted["well-fill-3/4"] == 1
    assert sum(counted.values()) == 5


def test_the_report_reads_back_as_json(report: HoseReport) -> None:
    told = json.loads(hoses_json(report))
    assert [one["name"] for one in told["hoses"]] == [one.name for one in report.hoses]
    well = told["wells"][0]
    assert well["litres"] == pytest.approx(report.wells[0].volume / 1e6, abs=0.01)
    assert {"ashore", "empty", "laden"} == set(well["drains"][0]["ways"])
    assert told["pumps"][0]["hoses"] == ["suction", "fill"]
    assert len(told["cautions"]) == 3


def test_the_drawings_name_every_hose(report: HoseReport, folder: Path) -> None:
    for name in ("schematic.svg", "runs.svg"):
        drawn = ElementTree.parse(folder / name).getroot()
        words = " ".join("".join(t.itertext()) for t in drawn.iter("{http://www.w3.org/2000/svg}text"))
        for one in report.hoses:
            assert one.name in words
            assert cut_told(one.to_cut, report.units) in words


def test_words_of_the_diagram_do_not_lie_on_each_other() -> None:
    """With a pump whose water goes two ways, too; each word as wide as letters are."""
    branched = hose_report(built(BRANCHED))
    drawn = ElementTree.fromstring(schematic(branched, "Punt"))
    boxes = []
    for text in drawn.iter("{http://www.w3.org/2000/svg}text"):
        size, words = float(text.attrib["font-size"]), "".join(text.itertext())
        wide, x, y = letters_wide(words, size), float(text.attrib["x"]), float(text.attrib["y"])
        left = x - wide / 2 if text.attrib["text-anchor"] == "middle" else x
        boxes.append(shapely.box(left, y - 0.75 * size, left + wide, y))
    for a, b in combinations(boxes, 2):
        assert not a.intersects(b)


def test_the_packet_shows_hoses_pumps_and_the_skin_with_cautions(report: HoseReport, tmp_path: Path) -> None:
    papers = papers_for("mm")
    pages = list(hose_pages(punt(), report, papers))
    write_pages(tmp_path / "p.pdf", pages, Stamp("Punt", "1", "2026-11-25", "millimetres", "0.1 mm"))
    text = "\n".join(page.extract_text() for page in pypdf.PdfReader(tmp_path / "p.pdf").pages)
    for word in ("drain_out", "seacock", "46 CFR 171.119", "can sink her"):
        assert word in text
    assert list(hose_pages(punt(), None, papers)) == []


def test_tables_are_told_in_the_units_of_the_boat(report: HoseReport) -> None:
    told = {leaf.title: leaf for leaf in leaves(report, hose_buy_lines(report, {}))}
    assert list(told) == ["Hoses", "Pumps", "Wells", "Through the skin", "To buy for the hoses"]
    assert all("l/min" in row[5] for row in told["Pumps"].rows)
    assert cut_told(401.0, "mm") == "410.0 mm"
    assert cut_told(25.4 * 12.1, "in") == '12-1/2"'
