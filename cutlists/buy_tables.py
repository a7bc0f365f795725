"""The buy list as CSV, as a workbook that adds up what is filled in, and for the terminal."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import TYPE_CHECKING

from cutlists.buy_list import BuyLine, BuyList, Shares
from parts.faults import one_line

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet
    from rich.table import Table

COLUMNS = (
    "material", "name", "size", "size mm", "need", "on hand", "buy", "price each", "cost",
    "used %", "kept %", "waste %", "note",
)  # fmt: skip
"""Headings; used becomes pieces, kept are offcuts worth keeping, waste is the rest."""

CAUTIONS = (
    "Prices are those of the shop file; ask before you order, and check the stock in the rack.",
    "Sizes of catalogue parts are generic: measure the part in hand before its hole is cut.",
)
_WIDTHS = (10, 22, 26, 20, 7, 9, 7, 11, 12, 8, 8, 9, 44)
_MONEY = "#,##0.00"


def buy_csv(found: BuyList) -> str:
    """The list as CSV (RFC 4180): headings, a row a line, then the total."""
    text = io.StringIO()
    out = csv.writer(text)
    out.writerow(COLUMNS)
    out.writerows(_cells(line) for line in found.lines)
    out.writerow(["total", "", "", "", "", "", "", "", f"{found.cost:.2f}", "", "", "", _total_note(found)])
    return text.getvalue()


def _cells(line: BuyLine) -> list[str | int]:
    return [
        line.material, line.name, line.size, line.size_mm, line.need, line.on_hand, line.buy,
        _money(line.price), _money(line.cost), *_shares(line.shares), _note(line),
    ]  # fmt: skip


def _money(value: float | None) -> str:
    return "" if value is None else f"{value:.2f}"


def _shares(shares: Shares | None) -> tuple[str, str, str]:
    if shares is None:
        return "", "", ""
    used, kept, waste = (
        f"{shares.percent(part) + 0.0:.1f}" for part in (shares.used, shares.kept, shares.waste)
    )
    return used, kept, waste


def _note(line: BuyLine) -> str:
    return "; ".join(part for part in ("no price" if line.wants_price else "", line.note) if part)


def _total_note(found: BuyList) -> str:
    names = ", ".join(dict.fromkeys(line.name for line in found.without_price))
    return f"without {len(found.without_price)} that have no price: {names}" if names else ""


def write_buy_xlsx(found: BuyList, path: Path) -> None:
    """Write the workbook; its costs and total are formulas, so that a price filled in adds up."""
    from openpyxl import Workbook
    from openpyxl.styles import Font

    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Buy list"
    _head(sheet)
    for row, line in enumerate(found.lines, start=2):
        _fill(sheet, row, line)
    last = len(found.lines) + 1
    total = sheet.cell(last + 1, 9, f"=SUM(I2:I{last})" if found.lines else 0)
    total.number_format = _MONEY
    sheet.cell(last + 1, 1, "total")
    for cell in sheet[last + 1]:
        cell.font = Font(bold=True)
    missing = _total_note(found)
    for offset, text in enumerate([missing, *CAUTIONS] if missing else CAUTIONS):
        sheet.cell(last + 3 + offset, 1, one_line(text)).data_type = "s"
    book.save(path)


def _head(sheet: Worksheet) -> None:
    from openpyxl.styles import Font, PatternFill
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.properties import PageSetupProperties

    for place, (title, width) in enumerate(zip(COLUMNS, _WIDTHS, strict=True), start=1):
        cell = sheet.cell(1, place, title)
        cell.font, cell.fill = Font(bold=True), PatternFill("solid", fgColor="FFDDE4E6")
        sheet.column_dimensions[get_column_letter(place)].width = width
    sheet.freeze_panes = "C2"
    sheet.print_title_rows = "1:1"
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)


def _fill(sheet: Worksheet, row: int, line: BuyLine) -> None:
    shares = line.shares
    parts = (shares.used, shares.kept, shares.waste) if shares else ()
    values = [
        *(one_line(text) for text in (line.material, line.name, line.size, line.size_mm)),
        line.need, line.on_hand, f"=E{row}-F{row}",
        line.price, f"=G{row}*H{row}", *(round(shares.percent(part), 1) for part in parts if shares),
    ]  # fmt: skip
    for place, value in enumerate(values, start=1):
        cell = sheet.cell(row, place, value)
        # Text of the shop's stays text even where it begins like a formula.
        if place <= 4:
            cell.data_type = "s"
    sheet.cell(row, 13, one_line(_note(line))).data_type = "s"
    for place in (8, 9):
        sheet.cell(row, place).number_format = _MONEY


def buy_table(found: BuyList) -> Table:
    """The list for a terminal, at most 100 columns wide."""
    from rich.table import Table
    from rich.text import Text

    table = Table(
        title="To buy", caption=Text(_caption(found)), width=100, header_style="bold", pad_edge=False
    )
    for name in ("", "name", "size", "need", "here", "buy", "each", "cost", "waste"):
        numeric = name in ("need", "here", "buy", "each", "cost", "waste")
        table.add_column(name, justify="right" if numeric else "left", no_wrap=True, overflow="ellipsis")
    for line in found.lines:
        waste = f"{line.shares.percent(line.shares.waste) + 0.0:.0f} %" if line.shares else ""
        cost = "no price" if line.wants_price else _money(line.cost)
        cells = (line.need, line.on_hand or "", line.buy or "", _money(line.price), cost, waste)
        told = (line.material, line.name, line.size, *(str(cell) for cell in cells))
        table.add_row(*(Text(one_line(text)) for text in told))
    return table


def _caption(found: BuyList) -> str:
    wasted = [
        f"{material} {shares.percent(shares.waste) + 0.0:.0f} %"
        for material in ("tube", "sheet", "mat")
        if (shares := found.shares(material)) is not None
    ]
    waste = f"; waste: {', '.join(wasted)}" if wasted else ""
    return f"total {found.total_words()}{waste}"
