"""Schedule, fuse map, diagram, labels and pages of the wires: read back with other libraries."""

from __future__ import annotations

import csv
import io
import json
from xml.etree import ElementTree

import pdfplumber
import pytest

from cutlists.electrics.budget_tables import budget_csv
from cutlists.electrics.buy import wire_buy_lines
from cutlists.electrics.diagram import diagram_svg
from cutlists.electrics.files import wires_text, write_electrics
from cutlists.electrics.labels import wire_labels
from cutlists.electrics.schedule import fuse_csv, schedule_csv
from cutlists.electrics.spool_file import WireStock
from cutlists.electrics.words import CAUTIONS
from cutlists.packet.electrics_pages import electrics_pages
from cutlists.packet.page import Stamp, write_pages
from cutlists.packet.paper import PAPERS
from model.electrics.report import ElectricsReport
from model.electrics.settings import Use
from tests.model.boats import build_text
from tests.model.electrics.small import bank, circuit, device, electrics, house, load, report


@pytest.fixture(scope="module")
def wired() -> ElectricsReport:
    """A battery with a box of two circuits, one of them switched, and a circuit of its own."""
    own = house(
        circuit("bilge_pump", "box", "bilge_pump", "helm", back="bus", colour="brown"),
        circuit("lamps", "box", "lamps", "cabin_and_deck", back="bus", kind="other"),
        circuit("plug", "motor", "plug", "breaker", kind="other"),
        circuit("spare", "third", "spare_lamp", "spare_fuse", kind="other"),
        loads=[
            load("bilge_pump", 9.0, 3.0, day=0.1),
            load("lamps", 5.0, 1.5, night=1.0),
            load("plug", 14.0, 40.0),
            load("spare_lamp", 9.0, 1.0),
        ],
        uses=[Use("day", 6.0, {}), Use("night", 3.0, {})],
    )
    own.devices["helm"] = device("helm", "switch", 5.0)  # type: ignore[index]
    own.devices["cabin_and_deck"] = device("cabin_and_deck", "switch", 5.0)  # type: ignore[index]
    own.devices["spare_fuse"] = device("spare_fuse", "fuse", 1.0)  # type: ignore[index]
    own.banks["third"] = bank("third", 0.0)  # type: ignore[index]
    own.devices["breaker"] = device("breaker", "fuse", 1.0)  # type: ignore[index]
    own.banks["motor"] = bank("motor", 0.0, 12.0, 12.0)  # type: ignore[index]
    return report(own)


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def test_the_schedule_has_every_wire_once(wired):
    found = rows(schedule_csv(wired))
    assert len(found) == len({row["label"] for row in found}) == len(wired.wires)
    pump = [row for row in found if row["circuit"] == "bilge_pump"]
    assert [(row["from"], row["to"], row["colour"]) for row in pump] == [
        ("box", "helm", "brown"), ("helm", "bilge_pump", "brown"), ("bilge_pump", "bus", "black"),
    ]  # fmt: skip
    assert {row["fuse A"] for row in pump} == {"5.0"}


def test_the_fuse_map_has_every_fuse_at_its_place(wired):
    found = rows(fuse_csv(wired))
    assert [(row["at"], row["place"], row["circuit"]) for row in found] == [
        ("main", "1", "feed"), ("box", "1", "bilge_pump"), ("box", "2", "lamps"),
        ("spare_fuse", "1", "spare"), ("breaker", "1", "plug"),
    ]  # fmt: skip


def test_what_is_bought_holds_what_is_cut(wired):
    lines = wire_buy_lines(wired, WireStock(), {"fuse-5": 0.5})
    for gauge, colour in {(cut.gauge, cut.colour) for cut in wired.wires}:
        own = [line for line in lines if line.name == f"AWG {gauge} {colour}"]
        length = sum(float(line.size_mm) * line.need for line in own)
        assert length >= sum(cut.cut for cut in wired.wires if (cut.gauge, cut.colour) == (gauge, colour))
    ends = sum(line.need for line in lines if line.material == "terminal")
    assert ends == 2 * len(wired.wires)
    (fuse,) = [line for line in lines if line.name == "fuse-5"]
    assert fuse.cost == 0.5


def test_the_day_as_csv(wired):
    found = rows(budget_csv(wired))
    assert {(row["load or battery"], row["use"]) for row in found} >= {("lamps", "night"), ("house", "day")}
    (lamps,) = [row for row in found if row["load or battery"] == "lamps" and row["use"] == "night"]
    assert float(lamps["Ah"]) == pytest.approx(4.5)


def test_the_diagram_names_everything_and_no_letter_lies_on_another(wired, tmp_path):
    svg = diagram_svg(wired)
    words = [text for node in ElementTree.fromstring(svg).iter() if (text := (node.text or "").strip())]
    told = " ".join(words)
    for name in ("house", "motor", "main", "breaker", "box", "helm", "bilge_pump", "lamps", "plug", "AWG"):
        assert name in told
    # set into the packet as it is printed, and measured there
    boxes = letters(wired, tmp_path)
    for k, one in enumerate(boxes):
        for other in boxes[k + 1 :]:
            across = min(one["x1"], other["x1"]) - max(one["x0"], other["x0"])
            down = min(one["bottom"], other["bottom"]) - max(one["top"], other["top"])
            assert across < 0.5 or down < 1.0, (one["text"], other["text"])


def letters(wired, folder) -> list[dict]:
    """Words of the diagram's page with their places; all of them within the page."""
    boat = build_text(PUNT)
    first = next(iter(electrics_pages(boat, wired, PAPERS["letter"])))
    write_pages(folder / "one.pdf", [first], Stamp("boat", "1", "today", "inches", "marked"))
    with pdfplumber.open(folder / "one.pdf") as pdf:
        (page,) = pdf.pages
        words = page.extract_words(keep_blank_chars=True, x_tolerance=1.0)
        assert all(w["x0"] > 0 and w["x1"] < page.width for w in words)
    return words


def test_pages_tell_cautions_circuits_and_wires(wired, tmp_path):
    boat = build_text(PUNT)
    pages = list(electrics_pages(boat, wired, PAPERS["A4"]))
    write_pages(tmp_path / "all.pdf", pages, Stamp("boat", "1", "today", "inches", "marked"))
    with pdfplumber.open(tmp_path / "all.pdf") as pdf:
        text = " ".join((page.extract_text() or "") for page in pdf.pages)
    for label in ("bilge_pump back", "plug 1", "Fuse map", "183.425", "licensed"):
        assert label in text
    assert list(electrics_pages(boat, None, PAPERS["A4"])) == []


def test_a_build_folder_and_its_text(wired, tmp_path):
    boat = build_text(PUNT)
    write_electrics(boat, wired, WireStock(), {}, tmp_path)
    names = {path.name for path in (tmp_path / "electrics").iterdir()}
    assert names == {"schedule.csv", "fuse-map.csv", "buy.csv", "wires.txt", "wires.json", "diagram.svg",
                     "runs.svg", "labels.pdf", "budget.csv"}  # fmt: skip
    text = (tmp_path / "electrics" / "wires.txt").read_text()
    assert all(len(line) <= 100 for line in text.splitlines())
    assert text == wires_text(boat, wired, WireStock(), {})
    assert CAUTIONS[0].split(".")[0][:40] in text
    told = json.loads((tmp_path / "electrics" / "wires.json").read_text())
    assert {c["name"] for c in told["circuits"]} == {"feed", "bilge_pump", "lamps", "plug", "spare"}
    assert told["day"]["batteries"]["house"]["left"]["night"] < 1.0


def test_a_boat_without_wires_writes_nothing(tmp_path):
    write_electrics(build_text(PUNT), ElectricsReport("in"), WireStock(), {}, tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_two_labels_a_wire(wired):
    told = wire_labels(wired)
    assert len(told) == 2 * len(wired.wires)
    assert [label.cuts for label in told[:2]] == [
        ("at house", "leads to main"),
        ("at main", "leads to house"),
    ]


PUNT = """
boat: punt
hull:
  lines: [keel, chine, gunwale]
  thickness: 0.1
  stations:
    - {at: 0, keel: [0, 0], chine: [20, 0], gunwale: [24, 16]}
    - {at: 60, keel: [0, 0], chine: [20, 0], gunwale: [24, 16]}
    - {at: 120, keel: [0, 1], chine: [18, 1], gunwale: [22, 17]}
    - {at: 170, keel: [0, 3], chine: [14, 3], gunwale: [18, 18]}
decks:
  sole: {height: 4, aft: 10, forward: 150}
"""


@pytest.mark.parametrize("batteries", [[], [bank("house", 0.0)]])
def test_electrics_without_a_circuit_are_written_too(batteries, tmp_path):
    boat, found = build_text(PUNT), report(electrics(batteries, [], [], [], uses=[Use("day", 2.0, {})]))
    write_electrics(boat, found, WireStock(), {}, tmp_path)
    assert "no circuits" in (tmp_path / "electrics" / "diagram.svg").read_text()
    pages = list(electrics_pages(boat, found, PAPERS["letter"]))
    write_pages(tmp_path / "all.pdf", pages, Stamp("boat", "1", "today", "inches", "marked"))
    assert (tmp_path / "all.pdf").stat().st_size > 0
