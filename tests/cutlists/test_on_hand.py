"""What lies in the stock is named in lots, and a name leads back to each item once."""

import pytest

from cutlists.blank import Blank
from cutlists.on_hand import OnHand, Picker, on_hand
from cutlists.store.stock import open_stock

SHORT, LONG = Blank("stick", "rect-2x1x0.125", 900.0), Blank("stick", "rect-2x1x0.125", 2100.0)
SHEET = Blank("sheet", "5052-0.090", 1500.0, 700.0)


@pytest.fixture
def path(tmp_path):
    with open_stock(tmp_path / "stock.sqlite", create=True) as stock:
        stock.add([LONG, SHORT, LONG, LONG, SHEET])
        stock.take([3])
    return tmp_path / "stock.sqlite"


def test_without_a_file_nothing_is_on_hand_and_none_is_begun(tmp_path):
    assert on_hand(None) == on_hand(tmp_path / "stock.sqlite") == OnHand()
    assert list(tmp_path.iterdir()) == []


def test_like_items_are_one_lot_by_its_numbers(path):
    found = on_hand(path)
    assert [(lot.label, lot.blank) for lot in found.of_kind("stick")] == [
        ("stock 2", SHORT), ("stock 1, 4", LONG),
    ]  # fmt: skip
    assert [lot.label for lot in found.of_kind("sheet")] == ["stock 5"]
    with open_stock(path) as stock:
        assert found.identity == stock.identity


def test_each_item_is_picked_once_and_the_rest_is_spare(path):
    picker = Picker(on_hand(path))
    assert [picker.pick("stock 1, 4").id for _ in range(2)] == [1, 4]
    assert picker.pick("by the door") is None
    assert picker.rest() == [SHORT, SHEET]
    with pytest.raises(IndexError):
        picker.pick("stock 1, 4")
