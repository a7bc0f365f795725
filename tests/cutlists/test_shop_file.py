"""The shop file gives the saw's reach, the fraction and parts of one's own, or says what is wrong."""

import math
from dataclasses import replace
from importlib import resources

import pytest
import yaml

from cutlists.nests.settings import NestSettings
from cutlists.shop_file import Shop, read_shop, shop_beside, shop_schema
from cutlists.sticks.settings import StickSettings
from model.checks.asked import Asked
from model.mat.settings import MatSheet
from parts.catalogue import starter
from parts.faults import BadInput

STARTER = resources.files("app").joinpath("starter", "shop.yaml").read_text(encoding="utf-8")


@pytest.fixture
def shop(tmp_path):
    def read(text):
        (tmp_path / "shop.yaml").write_text(text)
        return read_shop(tmp_path / "shop.yaml")

    return read


@pytest.fixture
def refusal(shop):
    def read(text):
        with pytest.raises(BadInput) as caught:
            shop(text)
        return [str(fault).partition("shop.yaml")[2] for fault in caught.value.faults]

    return read


def test_the_starter_shop_reads_as_it_says(shop):
    found = shop(STARTER)
    assert found.saw.denominator == 16
    assert found.saw.limits.mitre == pytest.approx(math.radians(60))
    assert found.saw.limits.bevel == pytest.approx(math.radians(45))
    assert found.saw.limits.width == pytest.approx(8 * 25.4)
    assert found.saw.limits.height == pytest.approx(3.5 * 25.4)
    assert found.outline_units == "mm"
    assert set(found.catalogue.lids) - set(starter().lids) == {"shop-lid-16x16"}
    assert found.catalogue.lids["shop-lid-16x16"].length == pytest.approx(406.4)


def test_the_starter_shop_says_what_sheet_mat_and_parts_cost(shop, tmp_path):
    found = shop(STARTER)
    assert [size.price for size in found.nests.materials["5052-0.100"].sizes] == [182, 288]
    assert [length.price for length in found.sticks.of("square-1x1x0.125").lengths] == [44, 52]
    assert found.sticks.of("rect-2x1x0.125") == found.sticks.usual
    assert found.mats == (MatSheet("grey", 80 * 25.4, 40 * 25.4, price=118),)
    assert found.prices["lid-18x12"] == 96.0
    assert found.keep == pytest.approx(8 * 25.4)
    assert found.stock == tmp_path / "stock.sqlite"


def test_an_empty_shop_file_says_the_same_as_none(shop):
    usual = StickSettings()
    assert replace(shop("units: in\n"), stock=None, sticks=usual, nests=NestSettings()) == Shop()
    assert shop("units: in\n").nests.materials == {}


def test_another_time_for_the_search_keeps_the_rest(shop):
    found = shop("nests: {spacing: 1, seconds: 8}\n")
    assert (found.nests.seconds, found.nests.effort) == (8, 6)
    longer = found.searching(60.0)
    assert (longer.nests.seconds, longer.nests.effort, longer.nests.spacing) == (60, 45, 25.4)
    assert longer.sticks == replace(found.sticks, seconds=60.0)
    assert replace(longer, nests=found.nests, sticks=found.sticks) == found


def test_grooved_mat_is_turned_end_for_end_only(shop):
    found = shop("mat: {sheets: {teak: {length: 94, width: 47, grooved: true, first: 1/2}}}")
    assert found.mats == (MatSheet("teak", 94 * 25.4, 47 * 25.4, True, 12.7, "half"),)


def test_bare_numbers_are_in_the_files_units_and_angles_in_degrees(shop):
    found = shop("units: mm\nfraction: 32\nsaw: {mitre: 50 deg, bevel: 0.5 rad, width: 200}")
    assert found.saw.limits.width == 200
    assert found.saw.limits.bevel == 0.5
    assert found.saw.limits.height == math.inf
    assert found.saw.marked(25.4 / 32) == '1/32"'


def test_no_shop_file_means_the_usual_settings(tmp_path):
    assert shop_beside(tmp_path / "boat.yaml") == Shop()
    (tmp_path / "shop.yaml").write_text("fraction: 8\n")
    assert shop_beside(tmp_path / "boat.yaml").saw.denominator == 8


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("fractoin: 8\n", ":1 fractoin: unknown key; did you mean 'fraction'?"),
        ("units: in\nfraction: 10\n", ":2 fraction: 10 is not known here; known: 16, 2, 32"),
        ("saw:\n  mitre: steep\n", ":2 saw.mitre: 'steep' is not an angle"),
        ("saw:\n  mitre: 120\n", ":2 saw.mitre: 120 is out of bounds; give 0 to 90 degrees"),
        ("saw:\n  width: 8 inchs\n", ":2 saw.width: 'inchs' is not a unit of length"),
        ("saw:\n  width: -8\n", ":2 saw.width: -8 is out of bounds"),
        ("saw:\n  width: true\n", ":2 saw.width: true does not fit"),
        ("sticks:\n  kerf: 0\n", ":2 sticks.kerf: 0 is not a length above zero; a blade takes metal"),
        (
            "sticks:\n  sections: {rect-1x2x0.125: {}}\n",
            ":2 sticks.sections.rect-1x2x0.125: 'rect-1x2x0.125' is",
        ),
        (
            "nests:\n  sheets: {round-1x0.065: {grain: true}}\n",
            ":2 nests.sheets.round-1x0.065: 'round-1x0.065' is bought in sticks: it has no grain",
        ),
        ("nests:\n  spacing: 0\n", ":2 nests.spacing: 0 is not a length above zero"),
        ("nests:\n  keep: -3\n", ":2 nests.keep: -3 is not above zero"),
        ("nests:\n  sheets: {5052-0.09: {}}\n", ":2 nests.sheets.5052-0.09: there is no sheet '5052-0.09'"),
        ("mat:\n  sheets:\n    grey: {length: 80, width: 0}\n", ":3 mat.sheets.grey.width: 0 is not above"),
        ("mat:\n  sheets:\n    grey: {length: 80}\n", ":3 mat.sheets.grey.width: this key is missing"),
        ("prices:\n  lid-18x12: dear\n", ":2 prices.lid-18x12: 'dear' does not fit"),
        ("prices:\n  lid-18x12: -4\n", ":2 prices.lid-18x12: -4 is no price"),
        ("coverage:\n  topcoat: {covers: thick}\n", ":2 coverage.topcoat.covers: 'thick' is no coverage"),
        ("coverage:\n  topcoat: {covers: 9, loss: 2}\n", ":2 coverage.topcoat.loss"),
        ("clearances:\n  gaps: [{between: [membr, hull], least: 3}]\n", ":2 clearances.gaps[1].between"),
        ("clearances:\n  heights: {kneez: 3}\n", ":2 clearances.heights.kneez: unknown key"),
        ("stock: 5\n", ":1 stock: 5 does not fit"),
        ("catalogue:\n  lids:\n    mine: {length: 12}\n", ":3 catalogue.lids.mine."),
        ("- 1", ":1: the file is not a mapping"),
    ],
)
def test_a_faulty_shop_file_is_told_by_its_line(text, told, refusal):
    lines = refusal(text)
    assert any(line.startswith(told) for line in lines), lines


def test_all_faults_are_told_at_once(refusal):
    assert len(refusal("saw: {mitre: steep, width: wide}")) == 2


def test_the_schema_describes_every_key_of_the_starter():
    # Prices of work are nobody's but the shop's: the starter shows them, and reads none.
    assert "\n# quote:\n" in STARTER
    assert {*yaml.safe_load(STARTER), "quote"} == set(shop_schema()["properties"])


def test_what_is_asked_of_gaps_and_heights(shop):
    found = shop(
        "clearances:\n  gaps: [{between: [tank, hull], least: 1}]\n  heights: {step: 12, knees: none}\n"
    ).asked
    assert found.fit.clearances.least("tank", "hull") == pytest.approx(25.4)
    assert found.fit.clearances.least("battery", "hull") == pytest.approx(25.4 / 8)
    assert found.fit.heights.step == pytest.approx(304.8)
    assert found.fit.heights.knees is None
    assert shop("units: in\n").asked == Asked()
