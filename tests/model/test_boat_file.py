"""The boat file's form: what its keys take, what is left out, and the schema that editors use."""

from __future__ import annotations

import json

import pytest
import yaml

from model.boatfile.reader import check_boat_file, read_boat_file
from model.boatfile.schema import BoatFile, OpeningEntry, json_schema
from parts.faults import BadInput
from parts.yamlfile import read_text
from tests.model.boats import CONFIGS, boat_file, document

DEMOS = ("lake16", "flat14", "vee18")


def entry(text: str) -> BoatFile:
    head = yaml.safe_dump(boat_file())
    return check_boat_file(read_text(head + text, "t.yaml"))


def test_what_is_not_said_takes_its_default():
    found = entry("decks: {main: {height: 300}}\n").decks["main"]
    assert (found.port, found.starboard, found.aft) == ("hull", "hull", None)
    assert found.frame.direction == "athwart"
    assert found.frame.posts
    assert found.openings == {}


@pytest.mark.parametrize("name", DEMOS)
def test_the_demo_files_survive_being_written_out_again(name):
    """What the reader makes of a file, written as YAML, reads the same (so that tools may rewrite files)."""
    read, _ = read_boat_file(CONFIGS / f"{name}.yaml")
    written = read.model_dump(mode="json", by_alias=True, exclude_unset=True)
    again = check_boat_file(document(written))
    assert again.model_dump() == read.model_dump()


def test_keys_with_nothing_behind_them_count_as_not_written():
    found = entry("decks:\nlockers:\nfixtures:\n")
    assert found.decks == {}
    assert found.lockers == {}
    assert "decks" not in found.model_fields_set


def test_nothing_is_a_value_where_it_means_something():
    boxes = entry(
        "seat_boxes:\n  a: {on: x, centre: [0, 0], length: 1, width: 1, height: 1, lid: }\n"
        "  b: {on: x, centre: [0, 0], length: 1, width: 1, height: 1}\n"
    ).seat_boxes
    assert boxes["a"].lid is None
    assert boxes["b"].lid is not None


@pytest.mark.parametrize("word", ["no", "false", "off"])
def test_posts_may_be_left_out_in_words(word):
    assert (
        not entry(f"decks: {{main: {{height: 300, frame: {{posts: {word}}}}}}}\n").decks["main"].frame.posts
    )


def test_all_faults_of_form_are_told_at_once():
    with pytest.raises(BadInput) as refused:
        entry("decks: {a: {height: true, hull_gap: []}, b: {hight: 3}}\nlocker: 4\n")
    keys = {fault.place.key for fault in refused.value.faults}
    assert keys == {"decks.a.height", "decks.a.hull_gap", "decks.b.hight", "locker"}


def test_the_schema_knows_every_key():
    schema = json_schema()
    json.dumps(schema)
    assert schema["$schema"].endswith("2020-12/schema")
    assert set(BoatFile.model_fields) == set(schema["properties"])
    opening = schema["$defs"]["OpeningEntry"]
    assert set(opening["properties"]) == set(OpeningEntry.model_fields)
    assert opening["additionalProperties"] is False


def test_keys_of_the_file_are_aliases_where_python_has_the_word_itself():
    found = entry("").hull.model_validate(
        {"lines": ["k", "g"], "survey": "x.csv", "stringers": [{"from": 1, "to": 2, "height": 1, "width": 1}]}
    )
    assert found.stringers[0].from_x == 1
    data = boat_file()
    data["hull"] = {**data["hull"], "ribs": [{"at": 3, "height": 1, "width": 1, "from_line": "keel"}]}
    with pytest.raises(BadInput, match="unknown key; did you mean 'from'"):
        check_boat_file(document(data))
