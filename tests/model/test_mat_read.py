"""The `mat:` entry of a boat file: numbers, names and every fault at its line."""

from __future__ import annotations

import pytest

from model.boatfile.mat_schema import MatEntry
from model.boatfile.numbers import Numbers
from model.boatfile.schema import BoatFile
from model.mat.read import read_mat
from model.mat.settings import PLAIN_SHEET, MatSettings, MatSheet
from parts.faults import FaultList
from parts.yamlfile import read_text

BOAT = {
    "boat": "b",
    "units": "in",
    "hull": {"survey": "s.csv", "lines": ["keel", "gunwale"]},
    "dimensions": {"wide": 3},
}


def read(text: str):
    document = read_text("mat:\n" + text, "mat.yaml")
    faults = FaultList()
    numbers = Numbers(document, BoatFile.model_validate(BOAT), faults)
    entry = MatEntry.model_validate(document.data["mat"] or {})
    return read_mat(entry, numbers, "mat"), [str(fault) for fault in faults]


def test_an_empty_entry_gives_the_usual_settings():
    found, faults = read("  {}\n")
    assert not faults
    usual = MatSettings()
    assert found is not None
    for name in ("thickness", "reveal", "lid_gap", "edge_gap", "radius", "pitch", "groove_width", "margin"):
        assert getattr(found, name) == pytest.approx(getattr(usual, name))
    assert found.sheets == (PLAIN_SHEET,)


def test_lengths_may_be_named_and_sheets_are_read():
    found, faults = read(
        "  pitch: wide / 2\n  offset: -1/4\n  overhang: 0\n  sheets:\n"
        "    big: {length: 94, width: 47, grooved: true, first: 1/2, price: 210}\n"
        "    small: {length: 80, width: 40, turns: none}\n  leave_out: [deck.aft]\n"
    )
    assert not faults
    assert found is not None
    assert (found.pitch, found.offset, found.nosing) == pytest.approx((38.1, -6.35, 0.0))
    assert found.sheets[0] == MatSheet("big", 94 * 25.4, 47 * 25.4, True, 12.7, "half", 210)
    assert found.sheets[1].turns == "none"
    assert found.names("leave_out", "deck.aft/hatch/lid")
    assert not found.names("leave_out", "deck.afterdeck/top")


@pytest.mark.parametrize(
    ("text", "where", "said"),
    [
        ("  pitch: 0\n", "mat.yaml:2 mat.pitch", "not above zero"),
        ("  reveal: -1/8\n", "mat.yaml:2 mat.reveal", "below zero"),
        ("  pitch: 1/8\n  groove_width: 1/4\n", "mat.yaml:3 mat.groove_width", "wider than their pitch"),
        ("  thickness: thick\n", "mat.yaml:2 mat.thickness", "thick"),
        ("  sheets:\n    a: {length: 0, width: 40}\n", "mat.yaml:3 mat.sheets.a.length", "not above zero"),
        (
            "  sheets:\n    a: {length: 80, width: 40, grooved: true, turns: quarter}\n",
            "mat.yaml:3 mat.sheets.a.turns",
            "direction of its own",
        ),
    ],
)
def test_faults_stand_at_their_line(text, where, said):
    found, faults = read(text)
    assert found is None
    assert len(faults) == 1
    assert faults[0].startswith(where)
    assert said in faults[0]


def test_all_faults_are_told_at_once():
    _, faults = read("  pitch: 0\n  reveal: -1\n  sheets:\n    a: {length: 1, width: -2}\n")
    assert len(faults) == 3


def test_settings_made_by_hand_are_checked_too():
    for wrong in (
        {"pitch": 0.0},
        {"reveal": -1.0},
        {"groove_width": 60.0},
        {"sheets": ()},
        {"overhang": -1.0},
    ):
        with pytest.raises(ValueError, match="mat"):
            MatSettings(**wrong)
    with pytest.raises(ValueError, match="sides above zero"):
        MatSheet("s", 0.0, 5.0)
