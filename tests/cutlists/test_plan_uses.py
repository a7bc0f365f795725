"""Nests and mat told as what they cut up: pieces once, stock by its items, offcuts that exist."""

from collections import Counter

import numpy as np
import pytest
import shapely

from cutlists.blank import Blank
from cutlists.mats.nest import nest_mats
from cutlists.nests.plan import plan_nests
from cutlists.nests.records import NestPiece, Stock
from cutlists.nests.settings import NestSettings
from cutlists.on_hand import OnHand, Picker, on_hand
from cutlists.plan_uses import (
    mat_uses,
    mats_on_hand,
    sheet_uses,
    sheets_on_hand,
    stick_uses,
    with_sticks_on_hand,
)
from cutlists.sticks.plan import plan_sticks
from cutlists.sticks.settings import Buyable, OnRack, StickSettings, Tube
from cutlists.store.stock import open_stock
from model.geometry import Frame
from model.mat.build import Matting
from model.mat.piece import MatPiece
from model.mat.settings import MatSettings, MatSheet
from model.member import Member
from parts.catalogue import starter
from parts.outline import Loop

SHEET = "5052-0.090"
WHOLE = Stock.sheet("48 x 96 in", 1219.2, 2438.4, 180.0)
SETTINGS = NestSettings(spacing=6.0, margin=6.0, seconds=1.0, effort=0.2)
NOTCHED = shapely.Polygon([(0, 0), (900, 0), (900, 300), (500, 300), (500, 700), (0, 700)])


def piece(name, width, height):
    return NestPiece(name, f"S{name[0]}", SHEET, Loop.rectangle(width, height))


@pytest.fixture
def stock(tmp_path):
    """Two like rectangles, one of them told apart by its place, and a notched offcut."""
    path = tmp_path / "stock.sqlite"
    with open_stock(path, create=True) as held:
        held.add([Blank("stick", "rect-2x1x0.125", 900.0)])
        held.add([Blank("sheet", SHEET, 800.0, 500.0)], "wall")
        held.add([Blank("sheet", SHEET, 800.0, 500.0)], "rack")
        held.add([Blank.of_polygon("sheet", SHEET, NOTCHED)])
    return on_hand(path)


def cut_piece(name, length):
    section = starter().get("section", "rect-2x1x0.125")
    return Member.along(name, section, np.zeros(3), np.array([length, 0.0, 0.0]), np.array([0.0, 0.0, 1.0]))


def plan(stock, pieces, shop=()):
    offcuts = (*sheets_on_hand(stock)[SHEET], *shop)
    return plan_nests(pieces, {SHEET: [WHOLE, *offcuts]}, SETTINGS)


def test_the_stock_is_handed_to_the_nests_as_it_lies(stock):
    rectangle, notched = sheets_on_hand(stock)[SHEET]
    assert (rectangle.label, rectangle.quantity, rectangle.size) == ("stock 2-3", 2, (800.0, 500.0))
    assert (notched.label, notched.quantity) == ("stock 4", 1)
    assert notched.polygon.equals(NOTCHED)
    assert sheets_on_hand(stock).keys() == {SHEET}


def test_pieces_from_the_stock_lead_back_to_its_items(stock):
    pieces = [piece("1a", 700, 400), piece("1b", 700, 400), piece("2a", 2000, 1000)]
    uses = list(sheet_uses(plan(stock, pieces), Picker(stock), 150.0))
    from_stock = {use.item: use for use in uses if use.source == "stock"}
    assert set(from_stock) == {2, 3}
    assert from_stock[2].label == "stock 2"
    assert from_stock[2].blank == Blank("sheet", SHEET, 800.0, 500.0)
    (bought,) = (use for use in uses if use.source == "buy")
    assert (bought.price, bought.pieces, bought.item) == (180.0, ("S2",), None)
    assert bought.blank == Blank("sheet", SHEET, 2438.4, 1219.2)
    assert bought.used == pytest.approx(2000 * 1000)


def test_an_offcut_of_the_shop_file_is_no_item(stock):
    door = Stock("by the door", Loop.rectangle(700, 650, centre=(350, 325)), (), 0.0, 1)
    uses = list(sheet_uses(plan(stock, [piece("1a", 600, 600)], [door]), Picker(stock), 150.0))
    assert [(use.source, use.label, use.item) for use in uses] == [("shop", "by the door", None)]


def test_every_piece_is_cut_once_and_what_is_kept_fits_beside_it(stock):
    pieces = [piece(f"{i}{c}", 300 + 40 * i, 200 + 30 * i) for i in range(1, 7) for c in "ab"]
    found = plan(stock, pieces)
    uses = list(sheet_uses(found, Picker(stock), 150.0))
    assert Counter(mark for use in uses for mark in use.pieces) == {f"S{i}": 2 for i in range(1, 7)}
    assert sum(use.used for use in uses) == pytest.approx(sum(p.area for p in pieces))
    for use in uses:
        assert use.used + sum(blank.extent for blank in use.kept) < use.blank.extent
        assert all(min(blank.length, blank.width) >= 150.0 - 1e-6 for blank in use.kept)


def test_mat_is_bought_and_a_whole_end_of_a_sheet_is_kept():
    settings = MatSettings(sheets=(MatSheet("grey", 2000.0, 1000.0, price=118.0),))
    outline = Loop.rectangle(600, 400)
    pieces = tuple(
        MatPiece(f"deck{i}/mat", f"deck{i}", "deck", Frame.level(0.0), outline, (), 6.0, None)
        for i in range(3)
    )
    marks = {one.name: "T1" for one in pieces}
    nest = nest_mats(Matting(pieces, marks, {}, (), settings))
    uses = list(mat_uses(nest, Picker(OnHand()), 200.0))
    assert [(use.source, use.price, use.blank) for use in uses] == [
        ("buy", 118.0, Blank("mat", "grey", 2000.0, 1000.0))
    ]
    (use,) = uses
    assert use.pieces == ("T1",) * 3
    assert use.used == pytest.approx(3 * 600 * 400)
    (end,) = use.kept
    assert (end.kind, end.name, end.width) == ("mat", "grey", 1000.0)
    # Three pieces of 600 x 400 mm: at least two abreast, so that an end of some 800 mm is left.
    assert 700.0 < end.length < 2000.0 - 2 * 400.0


def test_sticks_are_told_with_what_is_used_kept_and_paid(stock):
    """Two pieces of 400 from the 900 on hand, one of 5650 from a bought stick; kerf 3, no trim."""
    members = [cut_piece("a", 400.0), cut_piece("b", 400.0), cut_piece("c", 5650.0)]
    bought = Tube((Buyable(6000.0, 50.0),), (), 3.0, 0.0, 300.0)
    settings = with_sticks_on_hand(StickSettings(tubes={"rect-2x1x0.125": bought}), stock)
    assert settings.of("rect-2x1x0.125").offcuts == (OnRack("stock 1", 900.0, 1),)
    marks = {member.name: f"F{k}" for k, member in enumerate(members, start=1)}
    held, new = stick_uses(plan_sticks(members, marks, settings), Picker(stock))
    assert (held.source, held.item, held.label, held.price) == ("stock", 1, "stock 1", None)
    assert (held.used, held.kept, held.pieces) == (pytest.approx(800.0), (), ("F1", "F2"))
    assert (new.source, new.item, new.price) == ("buy", None, 50.0)
    assert new.blank == Blank("stick", "rect-2x1x0.125", 6000.0)
    (offcut,) = new.kept
    assert (offcut.kind, offcut.name, offcut.length) == ("stick", "rect-2x1x0.125", pytest.approx(347.0))


def test_mat_on_hand_is_laid_on_first_and_leads_back_to_its_item(tmp_path):
    """Of two kinds of rest the smaller that holds a piece is taken; grooved mat only over its full width."""
    path = tmp_path / "stock.sqlite"
    with open_stock(path, create=True) as held:
        held.add([Blank("mat", "grey", 900.0, 1000.0)])
        held.add([Blank("mat", "grey", 600.0, 500.0)])
        held.add([Blank("mat", "teak", 700.0, 400.0)])
        held.add([Blank("mat", "blue", 900.0, 900.0)])
    stock = on_hand(path)
    sheets = (
        MatSheet("grey", 2000.0, 1000.0, price=118.0),
        MatSheet("teak", 2400.0, 1200.0, True, 12.0, "half"),
    )
    shelf = mats_on_hand(stock, sheets)
    assert [(one.label, one.sheet.length, one.sheet.width) for one in shelf] == [
        ("stock 2", 600.0, 500.0), ("stock 1", 900.0, 1000.0),
    ]  # fmt: skip
    pieces = tuple(
        MatPiece(name, name, "deck", Frame.level(0.0), Loop.rectangle(along, across), (), 6.0, None)
        for name, along, across in (("a", 500.0, 400.0), ("b", 850.0, 950.0), ("c", 1500.0, 900.0))
    )
    settings = MatSettings(sheets=sheets[:1], margin=6.0, spacing=3.0)
    nest = nest_mats(Matting(pieces, {"a": "T1", "b": "T2", "c": "T3"}, {}, (), settings), held=shelf)
    uses = list(mat_uses(nest, Picker(stock), 200.0))
    assert [(use.source, use.item, use.price, use.pieces) for use in uses] == [
        ("stock", 2, None, ("T1",)), ("stock", 1, None, ("T2",)), ("buy", None, 118.0, ("T3",)),
    ]  # fmt: skip
    assert nest.cost == 118.0
    assert nest.bought == 2000.0 * 1000.0
