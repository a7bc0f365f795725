"""Weights and load cases that cannot be read are told at their line, all at once."""

import pytest

from tests.model.boats import build, faults_of

HEAD = """\
boat: test
units: mm
hull:
  lines: [keel, chine, gunwale]
  thickness: 2
  loft: straight
  bow: {rake: 0}
  stations:
    - {at: 0, keel: [0, 0], chine: [600, 0], gunwale: [600, 500]}
    - {at: 1500, keel: [0, 0], chine: [600, 0], gunwale: [600, 500]}
    - {at: 3000, keel: [0, 0], chine: [600, 0], gunwale: [600, 500]}
decks:
  sole: {height: 120, aft: 200, forward: 2800}
fixtures:
  b: {part: group-27, on: sole, at: [600, 0]}
"""

CASES = {
    "a mass below zero": (
        "weights: {loads: {a: {mass: -80, at: [1, 2, 3]}}}",
        "weights.loads.a.mass",
        "above zero",
    ),
    "no mass at all": (
        "weights: {removed: {a: {mass: heavy, at: [1, 2, 3]}}}",
        "weights.removed.a.mass",
        "12 lb",
    ),
    "no height": (
        "weights: {loads: {a: {mass: 80, at: [1, 2]}}}",
        "weights.loads.a.at",
        "it has no height",
    ),
    "two heights": (
        "weights: {loads: {a: {mass: 80, at: [1, 2, 3], on: sole}}}",
        "weights.loads.a.on",
        "a height of its own",
    ),
    "on what is not there": (
        "weights: {loads: {a: {mass: 80, at: [900, 2], on: soul}}}",
        "weights.loads.a.on",
        "did you mean 'sole'?",
    ),
    "a hull without a mass": (
        "weights: {hull: {height: 100}}",
        "weights.hull",
        "the hull has no mass",
    ),
    "one scale": (
        "weights: {hull: {scales: [{at: 5, reads: 90}]}}",
        "weights.hull.scales",
        "one scale does not tell",
    ),
    "scales in one place": (
        "weights: {hull: {scales: [{at: 5, reads: 90}, {at: 6, reads: 80}]}}",
        "weights.hull.scales",
        "one station",
    ),
    "a trailer heavier than all": (
        "weights: {hull: {scales: [{at: 5, reads: 90, trailer: 99}, {at: 2000, reads: 80, trailer: 99}]}}",
        "weights.hull.scales",
        "no more with the boat than without",
    ),
    "a reading below zero": (
        "weights: {hull: {scales: [{at: 5, reads: -90}, {at: 2000, reads: 80}]}}",
        "weights.hull.scales[1].reads",
        "above zero",
    ),
    "more taken out than there is": (
        "weights: {hull: {mass: 90}, removed: {all_of_it: {mass: 95, at: [1, 2, 3]}}}",
        "weights.removed",
        "weighs as much as the hull",
    ),
    "an unknown load": (
        "weights: {loads: {mate: {mass: 80, at: [1, 2, 3]}}}\nafloat: {cases: {a: {loads: [mat]}}}",
        "afloat.cases.a.loads[1]",
        "did you mean 'mate'?",
    ),
    "an unknown thing moved": (
        "afloat: {cases: {a: {move: {c: {at: [1, 2]}}}}}",
        "afloat.cases.a.move.c",
        "known: b",
    ),
    "a tank that is not there": (
        "afloat: {cases: {a: {fill: {well: 1}}}}",
        "afloat.cases.a.fill.well",
        "no well or tank",
    ),
    "fuller than full": (
        "afloat: {cases: {a: {fill: {well: 2}}}}",
        "afloat.cases.a.fill.well",
        "",
    ),
    "a motor without thrust": (
        "afloat: {drive: {thrust: strong, volts: 12, draw: 50, batteries: [b]}}",
        "afloat.drive.thrust",
        "80 lbf",
    ),
    "a battery that is not there": (
        "afloat: {drive: {thrust: 50 lbf, volts: 12, draw: 50, batteries: [bb]}}",
        "afloat.drive.batteries[1]",
        "there is no battery called 'bb'",
    ),
    "an unknown key": (
        "afloat: {freebord: 6}",
        "afloat.freebord",
        "unknown key",
    ),
    "a motor past the table": (
        "afloat: {outboard: {power: 400}}",
        "afloat.outboard.power",
        "350",
    ),
    "sides that cross": (
        "afloat: {passengers: [[0, 0], [900, 300], [900, 0], [0, 300]]}",
        "afloat.passengers",
        "sides cross",
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_it_is_told_at_its_key(case):
    text, key, told = CASES[case]
    faults = faults_of(f"{HEAD}{text}\n")
    assert [fault.place.key for fault in faults] == [key], faults
    assert told in f"{faults[0].wrong}; {faults[0].right}"
    assert faults[0].place.line > HEAD.count("\n")


def test_all_are_told_at_once():
    loads = "weights: {loads: {a: {mass: -1, at: [1, 2, 3]}, b: {mass: 5, at: [1, 2]}}}"
    assert len(faults_of(f"{HEAD}{loads}\nafloat: {{cases: {{c: {{loads: [d]}}}}}}\n")) == 3


def test_heights_come_from_what_things_stand_on():
    told = {
        "standing": {"mass": 80, "person": "standing", "on": "sole", "at": [900, 0]},
        "sitting": {"mass": 80, "person": "sitting", "on": "sole", "at": [900, 0], "above": 400},
        "loose": {"mass": "12 lb", "on": "hull", "at": [900, 0]},
        "afloat": {"mass": 1, "at": [900, 0, 333]},
    }
    made = build(decks={"sole": {"height": 120, "aft": 200, "forward": 2800}}, weights={"loads": told})
    heights = {item.lump.name: float(item.lump.centre[2]) for item in made.weights.loads}
    assert heights == pytest.approx({"standing": 1090.0, "sitting": 520.0, "loose": 0.0, "afloat": 333.0})
    assert [item.counts for item in made.weights.loads] == ["person", "person", "gear", "gear"]
    assert made.weights.load("loose").lump.mass == pytest.approx(12 * 0.45359237)
    assert made.weights.load("nobody") is None
