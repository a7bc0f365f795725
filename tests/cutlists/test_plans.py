"""A boat's plans use what is on hand first, say what to buy, and marking one changes the next."""

import csv
import json
from collections import Counter
from dataclasses import replace
from importlib import resources

import pytest

from app import main
from cutlists.blank import Blank
from cutlists.mats.nest import nest_mats
from cutlists.plan_file import read_plans
from cutlists.plans import make_plans
from cutlists.plans_out import plan_tables, write_plans
from cutlists.shop_file import read_shop
from cutlists.store.stock import open_stock
from model.boat import load_boat
from parts.faults import BadInput

SHEET = "5052-0.100"


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """The starter boat and shop; the search for sticks and nests cut short."""
    folder = tmp_path_factory.mktemp("shop")
    starter = resources.files("app").joinpath("starter")
    (folder / "boat.yaml").write_text(starter.joinpath("boat.yaml").read_text(encoding="utf-8"))
    shop = starter.joinpath("shop.yaml").read_text(encoding="utf-8")
    assert "seconds: 4 " in shop
    assert "seconds: 5 " in shop
    (folder / "shop.yaml").write_text(
        shop.replace("seconds: 4 ", "seconds: 0.4 ").replace("seconds: 5 ", "seconds: 0.4 ")
    )
    return folder


@pytest.fixture(scope="module")
def boat(folder):
    return load_boat(folder / "boat.yaml")


@pytest.fixture
def shop(folder):
    yield read_shop(folder / "shop.yaml")
    for path in folder.glob("stock.sqlite*"):
        path.unlink()


def test_without_a_stock_file_all_is_bought_and_none_is_begun(boat, shop, folder):
    plans = make_plans(boat, shop)
    assert {use.source for use in plans.cut.uses} == {"buy"}
    assert plans.cut.stock == ""
    assert not (folder / "stock.sqlite").exists()
    marks = [mark for use in plans.cut.uses for mark in use.pieces]
    sheet = [boat.marks[piece.name] for piece in (*boat.panels, *boat.strips)]
    assert sorted(mark for mark in marks if mark[0] == "S") == sorted(sheet)
    assert sorted(mark for mark in marks if mark[0] == "T") == sorted(plans.matting.marks.values())
    frame = [boat.marks[member.name] for member in boat.members]
    assert sorted(mark for mark in marks if mark[0] == "F") == sorted(frame)
    by_hand = sum(use.price for use in plans.cut.uses) + 96 + 54
    assert plans.buy.cost == pytest.approx(by_hand)
    assert [line.name for line in plans.buy.without_price] == ["made to order", "group-27", "strut-128"]


def test_a_plan_uses_the_stock_is_marked_from_its_folder_and_the_next_one_differs(
    boat, shop, folder, tmp_path, capsys, monkeypatch
):
    with open_stock(folder / "stock.sqlite", create=True) as stock:
        stock.add([Blank("sheet", SHEET, 3048.0, 1524.0)], "wall")
        stock.add([Blank("mat", "grey", 2032.0, 1016.0)])
        stock.add([Blank("stick", "rect-1.5x1x0.125", 5000.0)] * 2, "rack 1")
    plans = make_plans(boat, shop)
    sticks = [use for use in plans.cut.uses if use.source == "stock" and use.blank.kind == "stick"]
    assert [(use.item, use.label, use.blank.length) for use in sticks] == [
        (3, "stock 3", 5000.0), (4, "stock 4", 5000.0),
    ]  # fmt: skip
    first = next(u for u in plans.cut.uses if u.source == "stock" and u.blank.kind == "sheet")
    assert (first.item, first.blank.name) == (1, SHEET)
    mats = [line for line in plans.buy.lines if line.material == "mat"]
    assert sum(line.on_hand for line in mats) == 1
    assert sum(line.buy for line in mats) == len(plans.mats.sheets) - 1

    write_plans(plans, boat, shop, tmp_path)
    assert read_plans(tmp_path).identity == plans.cut.identity
    monkeypatch.chdir(folder)
    assert main.run(["stock", "cut", str(tmp_path), "--place", "rack 3"]) == 0
    said = capsys.readouterr().out.splitlines()
    assert said[1] == "  out of the stock: items 1-4"
    with open_stock(folder / "stock.sqlite") as stock:
        left = stock.items()
    kept = [blank for use in plans.cut.uses for blank in use.kept]
    assert Counter(item.blank for item in left) == Counter(kept)
    assert {item.place for item in left} == {"rack 3"}
    assert main.run(["stock", "cut", str(tmp_path)]) == 2
    assert "marked as cut already" in capsys.readouterr().err
    again = make_plans(boat, shop)
    assert again.cut.identity != plans.cut.identity
    assert {use.item for use in again.cut.uses if use.source == "stock"} <= {item.id for item in left}


def test_the_files_of_the_plans_hold_what_the_plans_say(boat, shop, tmp_path):
    plans = make_plans(boat, shop)
    write_plans(plans, boat, shop, tmp_path)
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "buy-list.csv", "buy-list.xlsx", "mat", "nests", "plans.json", "sticks",
    ]  # fmt: skip
    rows = list(csv.DictReader((tmp_path / "buy-list.csv").open()))
    assert rows[-1]["cost"] == f"{plans.buy.cost:.2f}"
    told = json.loads((tmp_path / "plans.json").read_text())
    assert len(told["uses"]) == len(plans.cut.uses)
    sheets = {path.stem for path in (tmp_path / "nests").glob("*.dxf")}
    assert len(sheets) == sum(use["kind"] == "sheet" for use in told["uses"])
    sticks = {path.stem for path in (tmp_path / "sticks").glob("*.svg")}
    assert len(sticks) == sum(use["kind"] == "stick" for use in told["uses"])
    assert len(list((tmp_path / "mat").glob("mat-sheet-*.dxf"))) == len(plans.mats.sheets)


def test_the_tables_keep_to_100_columns(boat, shop):
    import io

    from rich.console import Console

    console = Console(file=io.StringIO(), width=100)
    for table in plan_tables(make_plans(boat, shop), boat.units):
        console.print(table)
    assert max(len(line) for line in console.file.getvalue().splitlines()) <= 100


def test_marks_of_mat_are_handed_on_to_the_next_build(boat, shop):
    plans = make_plans(boat, shop)
    known = {name: (f"T{90 + i}", told) for i, (name, (_, told)) in enumerate(plans.mat_marks.items())}
    later = make_plans(boat, shop, known)
    assert {mark for mark, _ in later.mat_marks.values()} <= {mark for mark, _ in known.values()}


def test_a_piece_of_mat_that_no_sheet_holds_is_refused_with_its_place(boat, shop, monkeypatch):
    def leave_over(matting, tell, held):
        return replace(nest_mats(matting, tell, held), left_over={"deck.bow/top/mat": "it is 900 mm long"})

    monkeypatch.setattr("cutlists.plans.nest_mats", leave_over)
    with pytest.raises(BadInput) as caught:
        make_plans(boat, shop)
    (told,) = (str(fault) for fault in caught.value.faults)
    assert told.startswith(str(boat.place("deck.bow")))
    assert "deck.bow/top/mat fits no sheet of mat: it is 900 mm long; name a larger sheet" in told


def test_sheet_that_nothing_holds_is_refused(boat, shop):
    nests = replace(shop.nests, materials={}, margin=700.0)
    with pytest.raises(BadInput) as caught:
        make_plans(boat, replace(shop, nests=nests))
    assert len(caught.value.faults) > 1
    assert all("is larger than any sheet of" in str(fault) for fault in caught.value.faults)
