"""The owner's folder, read back by pypdf and pdfplumber."""

from __future__ import annotations

import itertools

import pdfplumber
import pypdf
import pytest

from cutlists.handover.folder import HandedOver, write_handover
from cutlists.handover.naming import called
from cutlists.handover.things import Located, things_of
from cutlists.packet.paper import PAPERS
from cutlists.scene import scene_of
from model.capacity.float_report import check_float
from parts.lengths import format_length
from tests.model.boats import DECK, build

NUMBERS = {"group-31": "AB-31/X <7>", "fixture.pump": "P & 500", "deck.main/hatch/lid": "lid no 12"}


@pytest.fixture(scope="module")
def boat():
    hatch = {
        "aft": 1000, "forward": 1600, "port": 200, "starboard": -200, "radius": 30,
        "lid": {"flange": 20}, "hinge": "aft",
    }  # fmt: skip
    decks = {
        "sole": {"height": 60, "aft": 200, "forward": 2800},
        "main": {**DECK, "openings": {"hatch": hatch}},
    }
    fixtures = {
        "battery": {"part": "group-31", "on": "hull", "at": [1300, 0]},
        "pump": {"part": "bilge-500", "on": "hull", "at": [120, 150]},
        "seat_pin": {"part": "pedestal-7", "on": "main", "at": [2300, -200]},
    }
    handover = {"owner": "a hunter of the north shore", "hull_number": "QX 17", "notes": ["Mind the <step>."]}
    return build(decks=decks, fixtures=fixtures, mat={}, handover=handover)


@pytest.fixture(scope="module", params=["letter", "A4"])
def folder(request, boat, tmp_path_factory):
    given = HandedOver(
        scene_of(boat),
        check_float(boat),
        NUMBERS,
        [Located("bow_light", "light", boat.hull.line("gunwale", 2900.0))],
        revision="4",
        date="2026-06-01",
        paper=request.param,
    )
    return request.param, write_handover(boat, tmp_path_factory.mktemp("owner"), given)


@pytest.fixture(scope="module")
def texts(folder):
    return [" ".join(page.extract_text().split()) for page in pypdf.PdfReader(folder[1]).pages]


def test_every_thing_stands_in_it_with_its_part_number(boat, texts):
    whole = " ".join(texts)
    for thing in things_of(boat, NUMBERS):
        assert thing.name in whole
    for number in NUMBERS.values():
        assert number in whole


def test_places_are_those_of_the_model(boat, texts):
    whole = " ".join(texts)
    for plan in boat.layout.fixtures:
        x, y, _ = plan.frame.origin.tolist()
        side = "on the centreline" if abs(y) < 1 else f"{format_length(abs(y), 'mm')} to"
        assert f"{format_length(x, 'mm')} forward of the transom, {side}" in whole


def test_it_tells_the_owner_what_must_be_told(texts):
    whole = " ".join(texts)
    for words in (
        "a hunter of the north shore", "QX 17", "2026-06-01", "Mind the <step>.", "capacity plate stands",
        "bow light", "Where things are", "Care", "Pictures", "not approved engineering",
    ):  # fmt: skip
        assert words in whole
    assert "afloat.txt" not in whole, "which the owner has not got"
    assert "no price" not in whole


def test_every_page_is_of_its_paper_and_numbered(folder, texts):
    paper, path = folder
    wanted = PAPERS[paper].lists
    for number, page in enumerate(pypdf.PdfReader(path).pages, 1):
        size = (float(page.mediabox.width), float(page.mediabox.height))
        assert size == pytest.approx((wanted.width * 72 / 25.4, wanted.height * 72 / 25.4), abs=0.1)
        assert f"page {number} of {len(texts)}" in texts[number - 1]


def test_no_word_lies_on_another_nor_off_the_paper(folder):
    with pdfplumber.open(folder[1]) as pdf:
        for page in pdf.pages:
            words = page.extract_words()
            assert all(w["x0"] > 0 and w["x1"] < page.width and w["bottom"] < page.height for w in words)
            for a, b in itertools.combinations(words, 2):
                wide = min(a["x1"], b["x1"]) - max(a["x0"], b["x0"])
                high = min(a["bottom"], b["bottom"]) - max(a["top"], b["top"])
                least = min(a["bottom"] - a["top"], b["bottom"] - b["top"])
                assert wide <= 0.5 or high <= 0.3 * least, (page.page_number, a["text"], b["text"])


def test_how_to_get_at_things(boat):
    reach = {thing.name: thing.reach for thing in things_of(boat, {})}
    assert reach["battery"] == "under the sole: the deck comes up first"
    assert reach["seat pin"] == "in the open"
    assert reach["hatch lid"] == "in the open"


def test_numbers_run_from_aft_forward(boat):
    things = things_of(boat, {})
    assert [thing.number for thing in things] == list(range(1, len(things) + 1))
    assert [thing.at[0] for thing in things] == sorted(thing.at[0] for thing in things)


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("deck.front", "front deck"),
        ("deck.aft_deck", "aft deck"),
        ("deck.sole", "sole"),
        ("deck.wing.port", "wing deck, port"),
        ("seat.driver", "driver seat box"),
        ("console.helm", "helm console"),
        ("fixture.battery.starboard", "battery, starboard"),
        ("fixture.bow_motor", "bow motor"),
        ("deck.front/store.port/lid", "store lid, port"),
        ("seat.driver/lid/lid", "driver seat box lid"),
        ("locker.ice", "ice"),
    ],
)
def test_names_are_said_plainly(name, said):
    assert called(name) == said
