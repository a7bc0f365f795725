"""Labels: one for every piece, on its place, its code readable; judged by pdfplumber."""

from __future__ import annotations

from collections import Counter

import pdfplumber
import pypdfium2 as pdfium
import pytest
import zxingcpp

from cutlists.packet.labels import SHEETS, labels_of, write_labels
from cutlists.saw_list import saw_list
from tests.model.boats import DECK, build

POINT = 25.4 / 72


@pytest.fixture(scope="module")
def boat():
    hatch = {"aft": 1000, "forward": 1600, "port": 200, "starboard": -200}
    return build(decks={"main": {**DECK, "openings": {"hatch": hatch}}})


@pytest.fixture(scope="module")
def saw(boat):
    return saw_list(boat.members, boat.marks)


def test_every_piece_has_a_label_of_its_own(boat, saw):
    labels = labels_of(boat, saw)
    names = [*(m.name for m in boat.members), *(p.name for p in boat.panels)]
    assert Counter(label.code for label in labels) == Counter(names)
    assert all(boat.marks[label.code] == label.mark for label in labels)
    by_mark = Counter(label.mark for label in labels)
    assert all(label.count.endswith(f"of {by_mark[label.mark]}") for label in labels)


def test_some_marks_only(boat, saw):
    assert {label.mark for label in labels_of(boat, saw, ["F1", "F2"])} == {"F1", "F2"}
    with pytest.raises(KeyError):
        labels_of(boat, saw, ["F999"])


@pytest.mark.parametrize("sheet", SHEETS.values(), ids=SHEETS)
def test_the_labels_of_a_sheet_lie_on_it_and_apart(sheet):
    wide = sheet.left + (sheet.across - 1) * sheet.step_x + sheet.width
    high = sheet.top + (sheet.down - 1) * sheet.step_y + sheet.height
    assert wide <= sheet.paper.width + 1e-6
    assert high <= sheet.paper.height + 1e-6
    assert sheet.step_x >= sheet.width - 0.11
    assert sheet.step_y >= sheet.height - 1e-9


@pytest.mark.parametrize("start", [1, 17])
def test_marks_stand_on_the_places_of_the_sheet(tmp_path, boat, saw, start):
    sheet = SHEETS["letter-30"]
    labels = labels_of(boat, saw)
    pages = write_labels(tmp_path / "l.pdf", labels, sheet, start)
    found = []
    with pdfplumber.open(tmp_path / "l.pdf") as pdf:
        assert len(pdf.pages) == pages
        for page in pdf.pages:
            for row in range(sheet.down):
                for column in range(sheet.across):
                    left = (sheet.left + column * sheet.step_x) / POINT
                    top = (sheet.top + row * sheet.step_y) / POINT
                    box = (left, top, left + sheet.width / POINT, top + sheet.height / POINT)
                    words = page.crop(box).extract_text()
                    found.append(words.split()[0] if words else None)
    assert found[: start - 1] == [None] * (start - 1)
    assert found[start - 1 : start - 1 + len(labels)] == [label.mark for label in labels]
    assert set(found[start - 1 + len(labels) :]) <= {None}


@pytest.mark.parametrize("start", [0, 31])
def test_a_place_that_is_none_is_refused(tmp_path, boat, saw, start):
    with pytest.raises(ValueError, match="places 1 to 30"):
        write_labels(tmp_path / "l.pdf", labels_of(boat, saw), SHEETS["letter-30"], start)


def test_codes_are_read_back_by_a_reader_of_codes(tmp_path, boat, saw):
    """The page as a picture (pdfium), its codes read by ZXing-C++: the names of the pieces."""
    labels = labels_of(boat, saw)[:6]
    write_labels(tmp_path / "l.pdf", labels, SHEETS["A4-24"])
    with pdfium.PdfDocument(tmp_path / "l.pdf") as pdf:
        picture = pdf[0].render(scale=200 / 72).to_pil()
    read = {found.text for found in zxingcpp.read_barcodes(picture)}
    assert read == {label.code for label in labels}
