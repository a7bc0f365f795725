"""The shop packet, read back by pypdf and pdfplumber."""

from __future__ import annotations

import json
import re
import shutil

import pdfplumber
import pypdf
import pytest

from cutlists.boat_json import boat_json
from cutlists.packet import frame_pages, list_pages, saw_pages, sheet_pages
from cutlists.packet.packet import Told, write_packet
from cutlists.packet.paper import PAPERS
from cutlists.plans import make_plans
from cutlists.plans_out import write_plans
from cutlists.saw_list import saw_list
from cutlists.scene import scene_of
from cutlists.shop_file import Shop
from model.findings import Finding
from parts.lengths import format_length
from tests.model.boats import DECK, build

POINT = 25.4 / 72


@pytest.fixture(scope="module")
def boat():
    hatch = {
        "aft": 1000, "forward": 1600, "port": 200, "starboard": -200, "radius": 30,
        "lid": {"flange": 20}, "hinge": "aft",
    }  # fmt: skip
    sole = {"height": 100, "aft": 200, "forward": 2800}
    well = {"under": "main.hatch", "floor": 150, "kind": "well"}
    decks = {"sole": sole, "main": {**DECK, "openings": {"hatch": hatch}}}
    return build(decks=decks, lockers={"well": well}, mat={})


@pytest.fixture(scope="module")
def told(boat):
    shop = Shop(units="mm").searching(0.3)
    finding = Finding("gap", ("deck.main/beam.1", "lid"), "touches <here> & there", "move it")
    accepted = [("fixture.pump", "deck.main/beam.1", "rubber between, the foreman"), ("a", "b", "")]
    saw = saw_list(boat.members, boat.marks, shop.saw)
    plans = make_plans(boat, shop)
    return shop, Told(saw, plans, scene_of(boat), (finding,), ("7 pieces",), accepted, "3", "2026-05-02")


@pytest.fixture(scope="module")
def packet(tmp_path_factory, boat, told):
    shop, shown = told
    folder = tmp_path_factory.mktemp("build")
    write_plans(shown.plans, boat, shop, folder)
    return write_packet(boat, folder, shown)


@pytest.fixture(scope="module")
def texts(packet):
    return [page.extract_text() for page in pypdf.PdfReader(packet).pages]


def test_every_page_has_head_and_foot(boat, texts):
    for number, text in enumerate(texts, 1):
        assert f"page {number} of {len(texts)}" in text
        assert f"{boat.title}, revision 3, 2026-05-02. millimetres; marked to 0.1 mm." in text


def test_every_mark_is_in_it(boat, told, texts):
    words = set(re.findall(r"\b[FST]\d+\b", " ".join(texts)))
    assert set(boat.marks.values()) <= words
    assert set(told[1].plans.matting.marks.values()) <= words


def test_sections_come_in_the_order_of_the_work(packet):
    outline = [entry.title for entry in pypdf.PdfReader(packet).outline]
    assert outline == [
        "Cover", "General arrangement", "Frame", "Saw list", "Sticks", "Sheet", "Nests", "Mat", "Lid orders",
        "Buy list", "Weights", "Findings",
    ]  # fmt: skip


def test_contents_lead_to_the_pages(packet, texts):
    reader = pypdf.PdfReader(packet)
    starts = {e.title: reader.get_destination_page_number(e) + 1 for e in reader.outline}
    for name, number in starts.items():
        if name != "Cover":
            assert re.search(rf"{name}\s*\n?\s*page {number}\b", texts[0]), name


def test_lengths_of_the_saw_list_are_those_of_the_model_file(boat, texts):
    """Each mark's millimetres, as `boat.json` has them, stand on the pages of the saw list."""
    told = " ".join(text for text in texts if text.startswith("Saw list"))
    for piece in json.loads(boat_json(boat))["pieces"]:
        if piece.get("kind") == "member":
            assert f"{piece['length']:.1f}" in told


def test_places_of_beams_are_on_the_frame_drawing(boat, texts):
    page = next(text for text in texts if text.startswith("Frame of deck.main"))
    beams = [m for m in boat.members if m.name.startswith("deck.main/beam.") and "post" not in m.name]
    assert beams
    for beam in beams:
        assert format_length(float(beam.corners[..., 0].min()), "mm") in page


def test_diagonals_are_those_of_the_ring(boat, texts):
    page = next(text for text in texts if text.startswith("Frame of deck.main"))
    points = [p for m in boat.members if m.name.startswith("deck.main/") for p in m.corners.reshape(-1, 3)]
    wide = max(p[1] for p in points) - min(p[1] for p in points)
    long = max(p[0] for p in points if p[2] > 200) - min(p[0] for p in points if p[2] > 200)
    assert format_length((wide**2 + long**2) ** 0.5, "mm") in page.replace("\n", " ")
    assert "equal when the frame is square" in page.replace("\n", " ")


def test_joints_are_told_in_plain_words(boat, texts):
    page = next(text for text in texts if text.startswith("Frame of deck.main")).replace("\n", " ")
    ends = [j.kind for j in boat.joints if j.member.startswith("deck.main/")]
    assert f"{ends.count('corner') // 2} mitred corners" in page
    assert f"{ends.count('tee')} ends butted to a face" in page
    assert "Weld all round" in page


def test_papers_are_a4_and_a3_or_letter_and_tabloid(packet):
    sizes = {
        (round(float(p.mediabox.width) * POINT), round(float(p.mediabox.height) * POINT))
        for p in pypdf.PdfReader(packet).pages
    }
    assert sizes == {(210, 297), (420, 297)}
    letter = PAPERS["letter"]
    assert (letter.lists.width, letter.drawings.height) == (215.9, 279.4)


def test_tables_keep_to_the_margins_of_the_narrower_paper():
    for module in (frame_pages, list_pages, saw_pages, sheet_pages):
        for name, columns in vars(module).items():
            if name.endswith("COLUMNS"):
                wide = frame_pages.LIST if module is frame_pages else PAPERS["A4"].lists.room[2] + 1.0
                assert sum(column.width for column in columns) <= wide, (module.__name__, name)


def test_no_lettering_runs_off_the_paper_or_over_other_lettering(packet):
    with pdfplumber.open(packet) as pdf:
        for page in pdf.pages:
            letters = [c for c in page.chars if c["text"].strip()]
            for letter in letters:
                assert 0 <= letter["x0"] < letter["x1"] <= page.width, (page.page_number, letter["text"])
                assert 0 <= letter["top"] < letter["bottom"] <= page.height, (
                    page.page_number,
                    letter["text"],
                )
            assert overlapping(letters) == [], page.extract_text()[:60]


def overlapping(letters):
    """Pairs of letters, both level or both upright, of which one lies on most of the other."""
    level = [c for c in letters if c["matrix"][1] == 0]
    upright = [c for c in letters if c["matrix"][0] == 0]
    return _lapped(level, ("x0", "x1"), ("top", "bottom")) + _lapped(upright, ("top", "bottom"), ("x0", "x1"))


def _lapped(letters, along, across):
    (a0, a1), (c0, c1) = along, across
    ordered = sorted(letters, key=lambda c: c[a0])
    found = []
    for i, one in enumerate(ordered):
        for other in ordered[i + 1 :]:
            if other[a0] >= one[a1] - 0.35 * (one[a1] - one[a0]):
                break
            shared = min(one[c1], other[c1]) - max(one[c0], other[c0])
            if shared > 0.45 * min(one[c1] - one[c0], other[c1] - other[c0]):
                found.append((one["text"], other["text"], one["x0"], one["top"]))
    return found


def test_findings_are_told_as_they_are(texts):
    last = " ".join(texts[-2:]).replace("\n", " ")
    assert "rubber between, the foreman" in last
    assert "no reason given" in last
    assert "touches <here> & there" in last
    assert "7 pieces" in last


def test_a_packet_is_the_same_each_time(tmp_path, boat, told, packet):
    folder = tmp_path / "again"
    shutil.copytree(packet.parent, folder, ignore=shutil.ignore_patterns("packet.pdf"))
    assert write_packet(boat, folder, told[1]).read_bytes() == packet.read_bytes()
