"""`athwart boxes` in the terminal: what it tells, its exit codes, its JSON."""

import json

import pytest

from app import main

BOAT = """\
boat: tub
units: mm
hull:
  lines: [keel, chine, gunwale]
  loft: straight
  bow: {rake: 0}
  thickness: 2
  stations:
    - {at: 0, keel: [0, 0], chine: [500, 0], gunwale: [600, 500]}
    - {at: 1000, keel: [0, 0], chine: [500, 0], gunwale: [600, 500]}
    - {at: 2000, keel: [0, 0], chine: [500, 0], gunwale: [600, 500]}
defaults: {section: rect-25x50x3, sheet: 5052-2mm, beam_span: 400, post_span: 700}
decks:
  main:
    height: 300
    aft: 100
    forward: 1900
    openings:
      hole: {aft: 800, length: 400, starboard: -150, port: 150, lid: {flange: 20}}
lockers:
  ice: {kind: box, under: main.hole, floor: 100, insulation: 40}
boxes:
  ice: {lid: LID, ice: [3 kg], outside: [20]}
foam: {}
finish:
  paint:
    tops: {on: [deck.main], faces: front}
afloat: {outboard: {power: 2, transom: 400}}
"""


@pytest.fixture
def told(tmp_path, capsys):
    def run(lid, *options):
        path = tmp_path / "tub.yaml"
        path.write_text(BOAT.replace("LID", str(lid)))
        code = main.run(["boxes", str(path), *options])
        return code, capsys.readouterr().out

    return run


def test_ice_foam_and_paint_are_told_within_100_columns(told):
    code, said = told(30, "--blocks")
    lines = said.splitlines()
    assert max(map(len, lines)) <= 100
    assert code == (1 if "needed" in said and " short" in said else 0)
    for words in ("locker.ice holds", "days", "blocks of foam fit", "topcoat", "estimate", "goes"):
        assert words in said


def test_findings_end_with_1_and_json_is_whole(told):
    code, said = told(0, "--json")
    assert code == 1
    found = json.loads(said)
    assert found["format"] == "athwart-boxes"
    lid = next(face for face in found["boxes"][0]["faces"] if face["face"] == "lid")
    assert lid["foam_mm"] == 0.0
