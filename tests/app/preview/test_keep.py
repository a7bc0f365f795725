"""Values kept in the file: only their own letters change. Judged by a YAML reader of another kind as well."""

import os

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from app.preview.keep import NotKept, keep_values, text_with
from parts.yamlfile import read_text
from tests.app.preview.live import POND


def changed(values, text=POND):
    return text_with(text, read_text(text, "pond12.yaml"), values)


def test_only_the_value_changes_whatever_form_it_stands_in():
    assert changed({"deck": "12-5/8"}) == POND.replace("{value: 13,", "{value: 12-5/8,")
    assert changed({"deck_aft": "83"}) == POND.replace('"84"', "83")
    assert changed({"lid": "13 + deck_aft / 84"}) == POND.replace("deck / 13 * 14", "13 + deck_aft / 84")
    assert changed({"slant": "61.5"}) == POND.replace("{slant: 60}", "{slant: 61.5}")


def test_several_values_change_together_and_comments_stay():
    found = changed({"deck": "12", "deck_aft": "80", "slant": "62"})
    assert [line.partition("#")[2] for line in found.splitlines()] == [
        line.partition("#")[2] for line in POND.splitlines()
    ]
    assert yaml.safe_load(found)["dimensions"]["deck_aft"] == 80


@pytest.mark.parametrize(
    "text", ["5' 3-1/4\"", '63-1/4"', "deck + 1 in", "1606 mm", "-3-1/4", "(deck - 1) * 2"]
)
def test_what_the_shop_writes_is_read_back_by_us_and_by_another_reader(text):
    found = changed({"lid": text})
    assert read_text(found, "x").data["dimensions"]["lid"] == text
    assert yaml.safe_load(found)["dimensions"]["lid"] == text


@given(st.text(st.characters(min_codepoint=32, max_codepoint=0x2FF), min_size=1, max_size=30).map(str.strip))
@settings(max_examples=150, deadline=None)
def test_no_text_changes_anything_but_its_own_value(text):
    try:
        found = changed({"lid": text})
    except NotKept:
        return
    told, before = yaml.safe_load(found), yaml.safe_load(POND)
    assert list(told["dimensions"]) == list(before["dimensions"])
    told["dimensions"].pop("lid"), before["dimensions"].pop("lid")
    assert told == before


@pytest.mark.parametrize("ends", ["\r\n", "\n"])
def test_line_ends_and_a_byte_order_mark_stay(ends, tmp_path):
    text = "\ufeff" + POND.replace("\n", ends)
    path = tmp_path / "pond12.yaml"
    path.write_bytes(text.encode())
    keep_values(path, text, read_text(text.encode(), "pond12.yaml"), {"deck": "12"})
    assert path.read_bytes() == text.replace("value: 13", "value: 12").encode()


def test_the_file_is_swapped_whole_with_its_permissions(tmp_path):
    path = tmp_path / "pond12.yaml"
    path.write_text(POND)
    os.chmod(path, 0o640)
    keep_values(path, POND, read_text(POND, str(path)), {"deck": "12"})
    assert path.stat().st_mode & 0o777 == 0o640
    assert [found.name for found in tmp_path.iterdir()] == ["pond12.yaml"]


def test_a_file_that_another_hand_changed_is_left_alone(tmp_path):
    path = tmp_path / "pond12.yaml"
    path.write_text(POND + "# mine\n")
    with pytest.raises(NotKept, match="changed by something else"):
        keep_values(path, POND, read_text(POND, str(path)), {"deck": "12"})
    assert path.read_text().endswith("# mine\n")


def test_a_value_that_stands_behind_an_alias_is_refused():
    text = "a: &x 13\ndimensions: {deck: *x, beam: *x}\n"
    with pytest.raises(NotKept):
        changed({"deck": "12"}, text)


def test_an_unknown_name_is_refused():
    with pytest.raises(NotKept, match="keel"):
        changed({"keel": "1"})
