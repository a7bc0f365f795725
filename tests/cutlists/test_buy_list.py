"""The buy list counts what plans and fittings ask for, against what is on hand, with what it costs."""

import csv
import io
from types import SimpleNamespace

import pytest
from openpyxl import load_workbook

from cutlists.blank import Blank
from cutlists.buy_list import BuyList, Shares, buy_list
from cutlists.buy_tables import CAUTIONS, COLUMNS, buy_csv, buy_table, write_buy_xlsx
from cutlists.plan_file import Use

TUBE, SHEET = "rect-2x1x0.125", "5052-0.090"
STICK = Blank("stick", TUBE, 6000.0)
WHOLE = Blank("sheet", SHEET, 2438.4, 1219.2)
GREY = Blank("mat", "grey", 2000.0, 1000.0)
USES = [
    Use(WHOLE, "buy", price=180.0, used=2.0e6, kept=(Blank("sheet", SHEET, 1000.0, 500.0),)),
    Use(STICK, "buy", price=60.0, used=5400.0, kept=(Blank("stick", TUBE, 500.0),)),
    Use(Blank("stick", TUBE, 1500.0), "stock", "stock 4", 4, used=1400.0),
    Use(STICK, "buy", price=60.0, used=5900.0),
    Use(Blank("stick", TUBE, 1500.2), "shop", "by the door", used=1450.0),
    Use(GREY, "buy", used=1.5e6),
    Use(GREY, "buy", used=1.1e6),
]


def fitting(kind, name, **order):
    return SimpleNamespace(kind=kind, part=SimpleNamespace(name=name) if name else None, order=order)


FITTINGS = [
    fitting("seat", "seat-18"),
    fitting("lid", "lid-18x12"),
    fitting("seat", "seat-18"),
    fitting("lid", "", length=600.0, width=400.0),
    fitting("lid", "", length=600.02, width=399.98),
]


@pytest.fixture
def found():
    return buy_list(USES, FITTINGS, [GREY, STICK, GREY, GREY], {"seat-18": 90.0}, "mm")


def test_lines_are_by_material_what_is_to_buy_first(found):
    assert [(line.material, line.name, line.size_mm, line.need, line.buy) for line in found.lines] == [
        ("tube", TUBE, "6000.0", 2, 1),
        ("tube", TUBE, "1500.2", 2, 0),
        ("sheet", SHEET, "1219.2 x 2438.4", 1, 1),
        ("mat", "grey", "1000.0 x 2000.0", 2, 0),
        ("lid", "lid-18x12", "", 1, 1),
        ("lid", "made to order", "400.0 x 600.0", 2, 2),
        ("seat", "seat-18", "", 2, 2),
    ]


def test_stock_of_the_size_to_be_bought_counts_once_and_no_more_than_is_needed(found):
    tube, _, _, mat, *_ = found.lines
    assert (tube.on_hand, tube.note) == (1, "1 in the stock")
    assert (mat.on_hand, mat.cost) == (2, 0.0)


def test_costs_add_up_and_missing_prices_are_told(found):
    # One stick of 60, one sheet of 180, two seats of 90; no lid has a price, and the mat lies in the rack.
    assert found.cost == 60 + 180 + 180
    assert [line.name for line in found.without_price] == ["lid-18x12", "made to order"]
    assert found.total_words() == "420.00, without 2 lines that have no price"
    assert buy_list(USES[:1]).total_words() == "180.00"
    assert buy_list(USES[-1:]).total_words() == "0.00, without 1 line that has no price"
    assert BuyList(()).total_words() == "0.00"


def test_what_is_cut_up_is_used_kept_or_waste(found):
    shares = found.lines[0].shares
    # By hand: 2 x 6000 mm; 5400 + 5900 used, 500 kept.
    assert shares == Shares(12000.0, 11300.0, 500.0)
    assert shares.waste == pytest.approx(200.0)
    assert shares.percent(shares.waste) == pytest.approx(100 * 200 / 12000)
    whole = found.shares("tube")
    assert (whole.whole, whole.used) == (pytest.approx(15000.2), pytest.approx(14150.0))
    assert found.shares("sheet").percent(5e5) == pytest.approx(100 * 5e5 / (2438.4 * 1219.2))
    assert found.shares("lid") is None


def test_another_price_or_shape_is_a_line_of_its_own():
    notch = Blank("sheet", SHEET, 2438.4, 1219.2, (((0.0, 0.0), (2438.4, 0.0), (2438.4, 1219.2)),))
    uses = [Use(WHOLE, price=180.0), Use(WHOLE, price=150.0), Use(WHOLE), Use(notch, "stock", "stock 2", 2)]
    assert [line.price for line in buy_list(uses).lines] == [None, 150.0, 180.0, None]


def test_the_csv_holds_every_line_and_the_total(found):
    head, *rows, total = csv.reader(io.StringIO(buy_csv(found)))
    assert tuple(head) == COLUMNS
    assert len(rows) == len(found.lines)
    tube = dict(zip(head, rows[0], strict=True))
    assert tube["size"] == "6000.0 mm"
    assert (tube["need"], tube["on hand"], tube["buy"], tube["cost"]) == ("2", "1", "1", "60.00")
    assert (tube["used %"], tube["kept %"], tube["waste %"]) == ("94.2", "4.2", "1.7")
    assert dict(zip(head, rows[1], strict=True))["note"] == "on hand: by the door, stock 4"
    assert dict(zip(head, rows[5], strict=True))["note"] == "no price; sizes in lids.csv"
    assert total[0] == "total"
    assert total[8] == "420.00"
    assert total[-1] == "without 2 that have no price: lid-18x12, made to order"


def worth(sheet, cell):
    """The value of a cell whose formula is a product, a difference or a sum, as these are."""
    value = sheet[cell].value
    if not isinstance(value, str) or not value.startswith("="):
        return value or 0
    if value.startswith("=SUM("):
        column, low, high = value[5], *(int(part[1:]) for part in value[5:-1].split(":"))
        return sum(worth(sheet, f"{column}{row}") for row in range(low, high + 1))
    sign = "-" if "-" in value else "*"
    one, other = (worth(sheet, part) for part in value[1:].split(sign))
    return one - other if sign == "-" else one * other


def test_the_workbook_adds_up_and_follows_a_price_that_is_filled_in(found, tmp_path):
    write_buy_xlsx(found, tmp_path / "buy.xlsx")
    sheet = load_workbook(tmp_path / "buy.xlsx").active
    last = len(found.lines) + 2
    assert [cell.value for cell in sheet[1]] == list(COLUMNS)
    assert (sheet.cell(last, 1).value, worth(sheet, f"I{last}")) == ("total", 420.0)
    assert [worth(sheet, f"G{row}") for row in range(2, last)] == [line.buy for line in found.lines]
    assert sheet["B7"].value == "made to order"
    sheet["H7"] = 75.0
    assert worth(sheet, f"I{last}") == 420.0 + 2 * 75.0
    assert {CAUTIONS[0], "without 2 that have no price: lid-18x12, made to order"} <= {
        row[0].value for row in sheet.iter_rows(min_row=last)
    }


def test_text_of_the_shop_is_no_formula_and_no_markup(tmp_path):
    from rich.console import Console

    hostile = Use(Blank("mat", "=1+1 [/red]\x1b[2J", 2000.0, 1000.0), "shop", "=2+2")
    found = buy_list([hostile])
    write_buy_xlsx(found, tmp_path / "buy.xlsx")
    sheet = load_workbook(tmp_path / "buy.xlsx").active
    assert (sheet["B2"].data_type, sheet["M2"].data_type) == ("s", "s")
    console = Console(file=io.StringIO(), width=100)
    console.print(buy_table(found))
    assert "=1+1 [/red]" in console.file.getvalue()
    assert "\x1b" not in console.file.getvalue()


def test_the_terminal_table_keeps_to_100_columns_and_says_what_is_missing(found):
    from rich.console import Console

    console = Console(file=io.StringIO(), width=100)
    console.print(buy_table(found))
    lines = console.file.getvalue().splitlines()
    assert max(map(len, lines)) <= 100
    text = " ".join(" ".join(lines).split())
    assert "total 420.00, without 2 lines that have no price; waste: tube" in text
    assert text.count("no price") == 3


def test_a_boat_without_plans_or_fittings_has_an_empty_list(tmp_path):
    empty = buy_list([])
    assert len(buy_csv(empty).splitlines()) == 2
    write_buy_xlsx(empty, tmp_path / "buy.xlsx")
    assert load_workbook(tmp_path / "buy.xlsx").active["I2"].value == 0
