"""`athwart price`: quotes, alternatives, what a change costs, actuals and learning, from the command line."""

import csv
import io
import json
import re
import shutil
from datetime import date
from decimal import Decimal

import pytest
import yaml

from app import main
from cutlists.store.work_log import Written, open_work
from tests.model.boats import DECK, boat_file

QUICK = ("--seconds", "0.1", "--date", "2026-11-25")
SHOP = """
units: mm
sticks: {lengths: [{length: 6 m, price: 61.10}]}
nests: {sheets: {5052-2mm: {sizes: [{width: 1500, length: 3000, price: 152.35}]}}}
quote:
  currency: USD
  rates: {usual: 60, weld: 70}
  consumables: {filler: {per: filler_kg, unit: kg, price: 18}}
  overhead: 12
  markup: 20
  tax: [{name: sales tax, percent: 7, of: [materials, fittings, consumables]}]
  valid: 30
"""


def boat_text(name="pond", edge=2200):
    hatch = {"aft": 1000, "forward": 1600, "port": 200, "starboard": -200, "lid": {"flange": 20}}
    decks = {"main": {**DECK, "forward": "edge", "openings": {"hatch": hatch}}}
    return yaml.safe_dump(
        {**boat_file(decks=decks, dimensions={"edge": edge}), "boat": name}, sort_keys=False
    )


@pytest.fixture(scope="module")
def yard(tmp_path_factory):
    """A small boat and its shop."""
    folder = tmp_path_factory.mktemp("yard")
    (folder / "boat.yaml").write_text(boat_text())
    (folder / "shop.yaml").write_text(SHOP)
    return folder


@pytest.fixture
def price(yard, monkeypatch, capsys):
    monkeypatch.chdir(yard)

    def run(*words):
        code = main.run(["price", *words])
        said = capsys.readouterr()
        return code, said.out, said.err

    return run


def total(text):
    (found,) = re.findall(r"(?m)^total +([\d,.]+) +[A-Z]{3}$", text)
    return Decimal(found.replace(",", ""))


def test_a_boat_is_priced_and_every_line_adds_up(price):
    code, out, _ = price("boat.yaml", *QUICK)
    assert code == 0
    assert "2026-11-25, in USD, holds until 2026-12-25" in out
    assert "lid made to order, 440.0 mm x 640.0 mm" in " ".join(out.split())
    assert "made to order" in out.partition("for want of a price")[2]
    assert all(len(line) <= 100 for line in out.splitlines())
    _, told, _ = price("boat.yaml", "--csv", *QUICK)
    rows = list(csv.reader(io.StringIO(told)))[1:]
    kinds = {"materials", "fittings", "consumables", "labour", "extras"}
    cost = sum(Decimal(row[6]) for row in rows if row[0] in kinds and row[6] != "no price")
    sums = {row[0]: Decimal(row[6]) for row in rows if row[0] not in kinds}
    assert cost == sums["cost"]
    assert sums["total"] == total(out)
    assert any(row[0] == "labour" and row[1] == "weld" and row[5] == "70.00" for row in rows)


def test_a_dimension_moved_costs_what_it_says_and_the_file_stays(price, yard):
    before = (yard / "boat.yaml").read_text()
    code, out, _ = price("boat.yaml", "--set", "edge=2000", *QUICK)
    assert code == 0
    assert "pond, with edge = 2000" in out
    head, *_, hours = out.partition("difference\n")[2].split("\n\n")[0].splitlines()
    cost = re.fullmatch(r"cost +([\d,.]+) +([\d,.]+) +([-+][\d,.]+)", head)
    old, new, difference = (Decimal(text.replace(",", "")) for text in cost.groups())
    assert new - old == difference < 0
    assert re.fullmatch(r"hours +[\d.]+ +[\d.]+ +-[\d.]+", hours)
    money = re.findall(r"(?m)^(?:changed|new|gone) +(?:materials|labour|consumables) .* ([-+][\d.,]+)$", out)
    assert sum(Decimal(text.replace(",", "")) for text in money) == difference
    assert re.search(r"(?m)^changed  F\d+ ", out)
    assert (yard / "boat.yaml").read_text() == before


def test_a_dimension_that_is_not_there_or_says_nothing_is_told(price):
    code, _, err = price("boat.yaml", "--set", "egde=30")
    assert (code, "did you mean 'edge'?" in err) == (2, True)
    code, _, err = price("boat.yaml", "--set", "edge")
    assert (code, "'edge' sets nothing; write deck=13-1/2" in err) == (2, True)
    assert price("boat.yaml", "--set", "a=1", "--since", "x")[0] == 2
    assert price("boat.yaml", "boat.yaml", "--pdf", "x")[0] == 2


def test_a_shop_that_does_not_price_is_told_how(price, tmp_path):
    (tmp_path / "boat.yaml").write_text(boat_text())
    code, _, err = price(str(tmp_path / "boat.yaml"))
    assert code == 2
    assert "shop.yaml quote: it does not say how boats are priced" in err


def test_alternatives_stand_side_by_side(price, yard):
    (yard / "other.yaml").write_text(boat_text("short", 2000))
    code, out, _ = price("boat.yaml", "other.yaml", "--lines", *QUICK)
    assert code == 0
    assert re.match(r" +pond +short\n", out)
    totals = re.search(r"(?m)^total +([\d,.]+) +([\d,.]+)$", out)
    beside = re.search(r"(?m)^beside the first +([-+][\d,.]+)$", out)
    one, two = (Decimal(text.replace(",", "")) for text in totals.groups())
    assert two - one == Decimal(beside[1].replace(",", ""))
    assert "short, beside pond" in out


def test_what_changed_since_a_quote_was_written(price, yard, tmp_path):
    code, out, _ = price("boat.yaml", "--pdf", str(tmp_path / "q"), *QUICK)
    assert code == 0
    assert sorted(path.name for path in (tmp_path / "q").glob("[!.]*")) == [
        "quote-shop.pdf", "quote.csv", "quote.json", "quote.pdf",
    ]  # fmt: skip
    shop = (yard / "shop.yaml").read_text()
    (yard / "shop.yaml").write_text(shop.replace("weld: 70", "weld: 80"))
    code, out, _ = price("boat.yaml", "--since", str(tmp_path / "q"), *QUICK)
    (yard / "shop.yaml").write_text(shop)
    assert code == 0
    assert "since the quote of 2026-11-25" in out
    changed = re.findall(r"(?m)^changed +(\w+) ", out)
    assert set(changed) == {"labour"}
    assert "at 70 -> 80" in out
    assert price("boat.yaml", "--since", str(yard))[0] == 2
    # Two builds beside each other, from what they left: here one and the same.
    code, out, _ = price(str(tmp_path / "q"), str(tmp_path / "q"), "--lines")
    assert code == 0
    assert re.search(r"(?m)^beside the first +0.00$", out)
    code, _, err = price(str(tmp_path / "q"), "--set", "edge=3")
    assert (code, "a boat file is needed" in err) == (2, True)
    code, out, _ = price("actual", "boat.yaml", "--against", str(tmp_path / "q"))
    assert (code, "pond: estimate of 2026-11-25 against actual" in out) == (0, True)


def test_the_revision_goes_on_from_the_last_build(price, yard):
    build = yard / "out" / "boat"
    build.mkdir(parents=True)
    old = {"format": "athwart-boat", "version": 1, "revision": 4, "marks": [], "pieces": []}
    (build / "boat.json").write_text(json.dumps(old))
    code, _, err = price("boat.yaml", "--pdf", "q5", *QUICK)
    shutil.rmtree(yard / "out")
    assert code == 0, err
    assert json.loads((yard / "q5" / "quote.json").read_text())["quote"]["revision"] == "5"


def test_hours_of_the_works_checklist_count(price, yard):
    (yard / "ticked.yaml").write_text(boat_text("ticked"))
    with open_work(yard / "stock.sqlite") as log:
        log.write(Written("ticked", "weld.main", "weld", "hours", date(2026, 11, 20), hours=2.25))
        log.write(Written("ticked", "weld.main", "weld", "hours", date(2026, 11, 21), hours=1.5))
        log.write(Written("ticked", "weld.main", "weld", "tick", date(2026, 11, 21), planned=1.0))
    out = price("actual", "ticked.yaml", "--seconds", "0.1")[1]
    assert re.search(r"(?m)^weld +[\d.]+ h +3.75 h +", out)
    price("actual", "ticked.yaml", "--task", "weld.main", "--hours", "4")
    out = price("actual", "ticked.yaml", "--seconds", "0.1")[1]
    assert re.search(r"(?m)^weld +[\d.]+ h +4.00 h +", out)
    assert price("actual", "ticked.yaml", "--undo")[1] == "undone: weld.main, 4 h\n"


def test_a_quote_replaces_no_build(price, tmp_path):
    (tmp_path / "boat.json").write_text("{}")
    (tmp_path / ".athwart-build").write_text('{"files": ["boat.json"]}')
    code, _, err = price("boat.yaml", "--pdf", str(tmp_path))
    assert (code, "this is the build of a boat, which the quote would replace" in err) == (2, True)
    assert (tmp_path / "boat.json").exists()


def test_what_a_boat_took_is_noted_finished_and_learnt_from(price, yard):
    for k, hours in enumerate(("5.3", "5.9"), 1):
        (yard / f"b{k}.yaml").write_text(boat_text(f"hull-{k}", 1900 + 200 * k))
        code, out, _ = price("actual", f"b{k}.yaml", "--task", "weld", "--hours", hours)
        assert (code, out) == (0, f"noted: all weld, {hours} h\n")
        out = price("actual", f"b{k}.yaml", "--seconds", "0.1")[1]
        assert re.search(rf"(?m)^weld +[\d.]+ h +{hours}0 h +\+\d+ %$", out)
        code, out, _ = price("finish", f"b{k}.yaml", "--seconds", "0.1")
        assert code == 0
        assert "rates are learnt from her weld" in out
    code, out, _ = price("learn", "boat.yaml", "--seconds", "0.1")
    assert code == 0
    assert re.search(r"(?m)^weld +metres of seam +[\d.]+ h +[\d.]+ h +[\d.]+ +2 +[\d.]+ h", out)
    assert "from 2 boats only" in out
    assert "does not use them" in out
    own = price("boat.yaml", *QUICK)[1]
    assert price("boat.yaml", "--use-learned", *QUICK)[1].count("hours are the shop's own") == 1
    shop = (yard / "shop.yaml").read_text()
    (yard / "shop.yaml").write_text(
        shop.replace("  valid: 30", "  valid: 30\n  learn: {use: true, boats: 2}")
    )
    learnt = price("boat.yaml", *QUICK)[1]
    (yard / "shop.yaml").write_text(shop)
    assert "h learnt from 2 boats, in place of" in learnt
    assert total(learnt) > total(own)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--task", "weld.man", "--hours", "2"), "the boat has no task 'weld.man'; did you mean 'weld.main'"),
        (("--task", "weld", "--hours", "-2"), "-2 cannot be; give a number above zero"),
        (("--task", "weld", "--hours", "nan"), "cannot be"),
        (("--task", "weld", "--hours", "two"), "'two' is no number"),
        (("--material", "tub", "--cost", "3"), "the quote has no 'tub'; did you mean 'tube'?"),
        (("--material", "tube", "--cost", "3.005"), "3.005 is no sum in USD"),
        (("--material", "tube", "--hours", "3"), "give --task with --hours"),
        (("--hours", "3"), "give --task with --hours"),
    ],
)
def test_what_cannot_be_noted_is_told(words, told, price):
    code, _, err = price("actual", "boat.yaml", *words)
    assert code == 2
    assert told in err
