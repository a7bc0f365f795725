"""Settings of stick plans: numbers from text, and every fault at its place."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from cutlists.sticks.settings import Buyable, OnRack, StickSettings, Tube
from cutlists.sticks.settings_reader import read_stick_settings
from parts.catalogue import starter
from parts.faults import BadInput

GOOD = """
units: in
kerf: 3/32
end_trim: 1/2
keep: 10
seconds: 3
same_cut: 0.1
lengths: [{length: 24 ft}, {length: 20 ft}]
sections:
  rect-2x1x0.125:
    lengths: [{length: 24 ft, price: 78}, {length: 20 ft, price: 66.5}]
    kerf: 1/8
    offcuts: [{length: 40, name: rack A, quantity: 2, value: 3}, {length: 61-1/2}]
  square-1x1x0.125: {keep: 6 in}
"""


def read(tmp_path: Path, text: str) -> StickSettings:
    path = tmp_path / "sticks.yaml"
    path.write_text(text, encoding="utf-8")
    return read_stick_settings(path, starter().sections)


def faults(tmp_path: Path, text: str) -> list[str]:
    with pytest.raises(BadInput) as caught:
        read(tmp_path, text)
    return [str(fault).removeprefix(str(tmp_path) + "/") for fault in caught.value.faults]


def test_numbers_from_text(tmp_path):
    found = read(tmp_path, GOOD)
    assert (found.seconds, found.same_cut) == (3, pytest.approx(np.radians(0.1)))
    tube = found.of("rect-2x1x0.125")
    assert tube.lengths == (Buyable(pytest.approx(6096.0), 66.5), Buyable(pytest.approx(7315.2), 78))
    assert (tube.kerf, tube.end_trim, tube.keep) == (3.175, 12.7, 254)
    assert tube.offcuts == (OnRack("rack A", 1016.0, 2, 3), OnRack("offcut 2", 1562.1, 1, 0.0))
    assert (tube.priced, tube.assumed) == (True, False)
    small = found.of("square-1x1x0.125")
    assert (small.keep, small.kerf) == (pytest.approx(152.4), pytest.approx(3 / 32 * 25.4))
    assert not small.priced
    assert found.of("anything else") == found.usual


def test_what_is_not_said_is_as_usual(tmp_path):
    found = read(tmp_path, "units: mm\n")
    usual = Tube(place=found.usual.place)
    assert found.usual == usual
    assert found.usual.assumed


OFFCUTS = "sections: {rect-2x1x0.125: {offcuts: "
LENGTHS = "sections: {rect-2x1x0.125: {lengths: "


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("kerf: 0", "kerf: 0 is not a length above zero; a blade takes metal"),
        ("kerf: -1/8", "kerf: -1/8 is not a length above zero; a blade takes metal"),
        ("kerf: 2 in", "kerf: a kerf of 2 in is wider than any blade; a blade takes metal"),
        ("kerf: thin", "kerf: 'thin' is not a length"),
        ("end_trim: -1", "end_trim: -1 is not a length of zero or more; give one of zero or more"),
        ("end_trim: 11 ft", "end_trim: nothing is left of 240\" once both ends are trimmed; give a longer"),
        ("keep: no", "keep: 'no' is not a length"),
        ("seconds: 0", "seconds: 0 is out of bounds; give 0.1 to 3600"),
        ("same_cut: 3", "same_cut: 3 is out of bounds; give 0 to 1 degree"),
        ("same_cut: wide", "same_cut: 'wide' is not an angle"),
        ("grain: true", "grain: "),
        ("lengths: []", "lengths: "),
        ("lengths: [{length: 0}]", "lengths[1].length: 0 is not a length above zero"),
        ("lengths: [{price: 4}]", "lengths[1]"),
        (LENGTHS + "[{length: 20 ft, price: 5}, {length: 24 ft}]}}", 'lengths[2]: 288" has no price'),
        (LENGTHS + "[{length: 20 ft}, {length: 240}]}}", 'lengths[2]: 240" stands twice; keep one'),
        (LENGTHS + "[{length: 20 ft, price: 0}]}}", "price: 0 is out of bounds; give 0.01 to"),
        (LENGTHS + "[{length: 20 ft, price: -4}]}}", "price: -4 is out of bounds; give 0.01 to"),
        (LENGTHS + "[{length: 20 ft, price: .nan}]}}", "price: "),
        ("sections: {rect-2x2x0.125: {}}", "there is no section 'rect-2x2x0.125'"),
        ("sections: {rect-1x2x0.125: {}}", "'rect-1x2x0.125' is bought as 'rect-2x1x0.125'; write"),
        ("sections: {rect-2x1x0.125: {end_trim: 13 ft}}", "end_trim: nothing is left of 240\""),
        ("sections: {rect-2x1x0.125: {grain: along}}", "grain: "),
        (OFFCUTS + "[{length: 3, name: A}, {length: 4, name: A}]}}", "offcuts[2].name: 'A' stands twice"),
        (OFFCUTS + "[{length: 3, name: stock 1}]}}", "name: 'stock 1' is what the stock file calls its own"),
        ("sections: {rect-2x1x0.125: {offcuts: [{length: 3, quantity: 0}]}}", "quantity: 0 is out of bounds"),
        ("sections: {rect-2x1x0.125: {offcuts: [{length: 3, value: 2}]}}", "a value without prices"),
        ("sections: {rect-2x1x0.125: {offcuts: [{length: 3, quantity: 1.5}]}}", "quantity"),
    ],
)  # fmt: skip
def test_each_fault_is_told_at_its_place(tmp_path, text, told):
    (found,) = faults(tmp_path, f"units: in\n{text}\n")
    assert found.startswith("sticks.yaml:2 ")
    assert told in found


def test_all_faults_are_told_at_once(tmp_path):
    found = faults(tmp_path, "kerf: 0\nkeep: -2\nseconds: 9999\nlengths: [{length: 1 parsec}]\n")
    assert len(found) == 4


def test_no_plan_is_made_with_nonsense():
    with pytest.raises(ValueError, match="kerf must be above zero"):
        Tube(kerf=0.0)
    with pytest.raises(ValueError, match="trimmed off"):
        Tube((Buyable(10.0),), end_trim=5.0)
    with pytest.raises(ValueError, match="every length a price"):
        Tube((Buyable(1000.0), Buyable(2000.0, 5.0)))
