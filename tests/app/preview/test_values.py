"""Named dimensions as they are moved: texts put in place, limits, what the slider may say."""

import math

import pytest

from app.preview.values import named, shown, text_in, text_of, with_values
from model.boat import build_boat
from parts.yamlfile import read_text
from tests.app.preview.live import POND


@pytest.fixture
def document():
    return read_text(POND, "pond12.yaml")


def row(document, name, values=None):
    return next(row for row in named(document, values or {}) if row.name == name)


def test_every_dimension_and_angle_is_there_in_the_files_order(document):
    assert [r.name for r in named(document, {})] == ["deck", "deck_aft", "lid", "slant"]
    assert [r.kind for r in named(document, {})] == ["length"] * 3 + ["angle"]


def test_a_row_tells_value_limits_and_what_it_follows(document):
    deck, lid = row(document, "deck"), row(document, "lid")
    assert (deck.text, deck.value, deck.limited, deck.before) == ("13", 13 * 25.4, True, None)
    assert (deck.least, deck.greatest) == pytest.approx((11 * 25.4, 15 * 25.4))
    assert lid.value == pytest.approx(14 * 25.4)
    assert lid.follows == ("deck",)
    assert lid.least < lid.value < lid.greatest
    assert not lid.limited


def test_a_moved_value_is_marked_and_others_follow(document):
    moved = row(document, "deck", {"deck": "12-1/2"})
    assert (moved.text, moved.before) == ("12-1/2", "13")
    assert row(document, "lid", {"deck": "12-1/2"}).value == pytest.approx(12.5 / 13 * 14 * 25.4)


def test_one_faulty_value_leaves_the_others_readable(document):
    rows = {r.name: r for r in named(document, {"deck_aft": "many"})}
    assert math.isnan(rows["deck_aft"].value)
    assert rows["lid"].value == pytest.approx(14 * 25.4)
    assert math.isnan({r.name: r for r in named(document, {"deck": "("})}["lid"].value)


def test_a_document_with_values_builds_the_boat_of_a_file_that_says_so(document, tmp_path):
    put = build_boat(with_values(document, {"deck": "12-1/2", "slant": "65"}), tmp_path)
    written = POND.replace("value: 13", "value: 12-1/2").replace("slant: 60", "slant: 65")
    said = build_boat(read_text(written, "pond12.yaml"), tmp_path)
    assert put.signatures == said.signatures
    assert put.signatures != build_boat(document, tmp_path).signatures
    assert text_in(document, "deck") == "13"  # what was read is not touched


@pytest.mark.parametrize(
    ("units", "mm", "text"),
    [
        ("in", 16.375 * 25.4, "16-3/8"),
        ("in", 16.38 * 25.4, "16-3/8"),
        ("ft", 16.375 * 25.4, "16-3/8 in"),
        ("mm", 412.04, "412"),
        ("cm", 412.0, "41.2"),
        ("m", 1606.5, "1.6065"),
    ],
)
def test_a_sliders_place_is_written_as_the_shop_marks(units, mm, text):
    document = read_text(f"units: {units}\ndimensions: {{deck: 1}}\n", "x.yaml")
    assert text_of(document, "deck", mm) == text
    again = read_text(f"units: {units}\ndimensions: {{deck: {text}}}\n", "x.yaml")
    assert row(again, "deck").value == pytest.approx(mm, abs=25.4 / 32 + 1e-9)


def test_angles_slide_by_half_degrees(document):
    assert text_of(document, "slant", 61.3) == "61.5"
    assert shown(row(document, "slant"), "in") == "60 deg"
