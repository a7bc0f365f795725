"""Settings of sheet nests: numbers from text, and every fault at its place."""

from __future__ import annotations

from pathlib import Path

import pytest

from cutlists.nests.settings import NestSettings
from cutlists.nests.settings_reader import read_nest_settings
from parts.faults import BadInput

GOOD = """
units: in
spacing: 3/16
margin: 10 mm
seconds: 8
seed: 5
sheets:
  5052-0.090:
    sizes:
      - {width: 48, length: 96, price: 210}
      - {width: 60, length: 10 ft, price: 330.5}
    grain: true
    runs: {riser: across, wall: any}
    flip: [wall]
offcuts:
  - {name: R1, sheet: 5052-0.090, width: 20, length: 30, quantity: 2}
  - name: R2
    sheet: 5052-0.090
    outline: [[1, 1], [31, 1], [31, 11], [11, 11], [11, 21], [1, 21]]
    holes: [[[3, 3], [5, 3], [5, 5]]]
"""


def read(tmp_path: Path, text: str, known: tuple[str, ...] = ("5052-0.090", "5086-0.125")) -> NestSettings:
    path = tmp_path / "nests.yaml"
    path.write_text(text, encoding="utf-8")
    return read_nest_settings(path, known)


def faults(tmp_path: Path, text: str) -> list[str]:
    with pytest.raises(BadInput) as caught:
        read(tmp_path, text)
    return [str(fault).removeprefix(str(tmp_path) + "/") for fault in caught.value.faults]


def test_numbers_from_text(tmp_path: Path) -> None:
    found = read(tmp_path, GOOD)
    assert found.spacing == pytest.approx(3 / 16 * 25.4)
    assert (found.margin, found.seconds, found.effort, found.seed) == (10, 8, 6, 5)
    material = found.materials["5052-0.090"]
    assert [(s.label, s.size, s.price) for s in material.sizes] == [
        ('48" x 96"', pytest.approx((2438.4, 1219.2)), 210),
        ('60" x 120"', pytest.approx((3048, 1524)), 330.5),
    ]
    assert [material.turns(role) for role in ("deck", "riser", "wall")] == [
        (0, 180),
        (90, 270),
        (0, 90, 180, 270),
    ]
    assert [material.may_flip(role) for role in ("deck", "wall")] == [False, True]
    box, ell = found.offcuts["5052-0.090"]
    assert box.is_rectangle
    assert box.quantity == 2
    assert box.size == pytest.approx((762, 508))
    assert ell.outline.bounds == pytest.approx((0, 0, 762, 508))
    assert ell.area == pytest.approx((30 * 10 + 10 * 10 - 2) * 25.4**2)


def test_an_empty_file_gives_the_usual_settings(tmp_path: Path) -> None:
    assert read(tmp_path, "units: in\n") == NestSettings(place=read(tmp_path, "units: in\n").place)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("spacing: 0", "nests.yaml:1 spacing: 0 is not a length above zero; the cutter takes its width"),
        ("spacing: -3 mm", "nests.yaml:1 spacing: -3 mm is not a length above zero"),
        ("margin: -1/8", "nests.yaml:1 margin: -1/8 is not a length of zero or more"),
        ("spacing: wide", "nests.yaml:1 spacing: 'wide' is not a length"),
        ("seconds: 0", "nests.yaml:1 seconds: 0 is out of bounds; give 0.1 to 3600"),
        ("seed: -1", "nests.yaml:1 seed: -1 is out of bounds"),
        ("seed: true", "nests.yaml:1 seed: true does not fit; write a whole number"),
        ("spaceing: 1", "nests.yaml:1 spaceing: unknown key; did you mean 'spacing'?"),
        ("sheets: {5052-0.09: {}}", "there is no sheet '5052-0.09'; did you mean '5052-0.090'"),
        ("sheets: {5052-0.090: {runs: {deck: along}}}", "this sheet has no grain; add `grain: true`"),
        (
            "sheets:\n  5052-0.090:\n    sizes:\n      - {width: 48, length: 96, price: 0}",
            "nests.yaml:4 sheets.5052-0.090.sizes[1].price: 0 is out of bounds",
        ),
        (
            "sheets:\n  5052-0.090:\n    sizes:\n      - {width: 48, length: 96, price: 9}\n"
            "      - {width: 48, length: 120}",
            'nests.yaml:5 sheets.5052-0.090.sizes[2]: 48" x 120" has no price and other sizes have one',
        ),
        (
            "offcuts:\n  - {name: R, sheet: 5052-0.090, outline: [[0, 0], [10, 10], [10, 0], [0, 10]]}",
            'offcuts[1].outline: the outline crosses or touches itself at 5", 5"; list the corners',
        ),
        (
            "offcuts:\n  - {name: R, sheet: 5052-0.090, outline: [[0, 0], [5, 5], [10, 10]]}",
            "offcuts[1].outline: the outline",
        ),
        (
            "offcuts:\n  - name: R\n    sheet: 5052-0.090\n    outline: [[0, 0], [9, 0], [9, 9]]\n"
            "    holes: [[[8, 1], [12, 1], [12, 2]]]",
            "offcuts[1].holes: a hole crosses another or leaves the outline",
        ),
        ("offcuts:\n  - {name: R, sheet: 5052-0.090, width: 9}", "the offcut has no clear shape"),
        (
            "offcuts:\n  - {name: R, sheet: 5052-0.090, width: 9, length: 9, quantity: 0}",
            "offcuts[1].quantity: 0 is out of bounds",
        ),
        (
            "offcuts:\n  - {name: R, sheet: 5052-0.090, width: 9, length: 9}\n"
            "  - {name: R, sheet: 5052-0.090, width: 8, length: 8}",
            "nests.yaml:3 offcuts[2].name: 'R' stands twice",
        ),
    ],
)
def test_each_fault_is_told_at_its_place(tmp_path: Path, text: str, said: str) -> None:
    found = faults(tmp_path, text)
    assert len(found) == 1
    assert said in found[0]


def test_all_faults_at_once(tmp_path: Path) -> None:
    assert len(faults(tmp_path, "spacing: 0\nmargin: -1\nseconds: 1e9\n")) == 3


def test_records_refuse_numbers_that_no_file_gave() -> None:
    with pytest.raises(ValueError, match="above zero"):
        NestSettings(spacing=0.0)
