"""The panel list: grouping, sizes, and the files read back by csv and openpyxl."""

from __future__ import annotations

import csv
from io import StringIO
from pathlib import Path

import numpy as np
import openpyxl
import pytest
import shapely
from rich.console import Console

from cutlists.panel_list import COLUMNS, panel_rows, panel_table, write_panel_csv, write_panel_workbook
from model.blank import blank_size
from model.geometry import Frame
from model.panel import Panel
from model.strip import Strip
from parts.alloy import Alloy, Strength
from parts.outline import Loop
from parts.sheet import Sheet

NONE = Strength(0.0, "not used here")
SHEET = Sheet("3 mm", 3.0, Alloy("plain", "sheet", 2700.0, 7e4, 2.7e4, NONE, NONE, (), {}), ((1219, 2438),))


def panel(name: str, outline: Loop, *holes: Loop) -> Panel:
    return Panel(name, Frame.level(250.0), outline, holes, SHEET, "deck")


SIDE = 24 * 25.4
PIECES: list[Panel | Strip] = [
    panel("deck.front", Loop.rectangle(SIDE, 12.5 * 25.4)),
    panel("lid.1", Loop.circle(200), Loop.circle(20)),
    panel("deck.rear", Loop.rectangle(12.5 * 25.4, SIDE)),
    Strip("wall", np.array([(0, 0, 0), (500.0, 0, 0)]), np.array([(0, 0, 200), (500.0, 0, 200)]), SHEET),
]
MARKS = {"deck.front": "S1", "lid.1": "S2", "deck.rear": "S1", "wall": "S3"}


def test_rows_group_by_mark() -> None:
    rows = panel_rows(PIECES, MARKS)
    assert [(row.mark, row.quantity) for row in rows] == [("S1", 2), ("S2", 1), ("S3", 1)]
    assert rows[0].names == ("deck.front", "deck.rear")
    assert rows[0].mass == pytest.approx(SIDE * 12.5 * 25.4 * 3 * 2.7e-6)
    assert rows[0].total == pytest.approx(2 * rows[0].mass)
    assert rows[1].holes == 1
    assert rows[1].twist is None
    assert rows[2].twist == pytest.approx(0, abs=1e-9)


def test_files_read_back(tmp_path: Path) -> None:
    rows = panel_rows(PIECES, MARKS)
    write_panel_csv(tmp_path / "panels.csv", rows)
    with (tmp_path / "panels.csv").open(encoding="utf-8") as file:
        table = list(csv.DictReader(file))
    assert tuple(table[0]) == COLUMNS
    assert (table[0]["width"], table[0]["length"]) == ('12-1/2"', '24"')
    assert table[0]["pieces"] == "deck.front; deck.rear"
    write_panel_workbook(tmp_path / "panels.xlsx", rows)
    page = openpyxl.load_workbook(tmp_path / "panels.xlsx").active
    assert page is not None
    cells = list(page.iter_rows(values_only=True))
    assert cells[0] == COLUMNS
    assert cells[1][:4] == ("S1", 2, "3 mm", '12-1/2"')
    assert cells[4][1] == "=SUM(B2:B4)"


def test_table_fits_100_columns() -> None:
    long: list[Panel | Strip] = [
        panel("deck.front/a.very.long.name.of.a.piece.indeed." * 3, Loop.rectangle(2400, 1219)),
        *PIECES,
    ]
    out = Console(file=StringIO(), width=140)
    out.print(panel_table(panel_rows(long, {**MARKS, long[0].name: "S123"})))
    lines = out.file.getvalue().splitlines()  # type: ignore[attr-defined]
    assert max(map(len, lines)) <= 100
    assert any('48" x 94-1/2"' in line for line in lines)


@pytest.mark.parametrize("turn", [0.0, 0.4, 1.2, 2.7])
def test_blank_is_the_least_rectangle(turn: float) -> None:
    """Judge: shapely's minimum rotated rectangle of a finer tessellation, to the chord."""
    shape = Loop.rounded([(0, 0), (700, 0), (500, 300), (100, 260)], 40).turned(turn)
    width, length = blank_size(shape)
    box = shapely.oriented_envelope(shape.to_shapely(0.001))
    sides = np.hypot(*np.diff(shapely.get_coordinates(box), axis=0).T)
    assert width * length == pytest.approx(sides[0] * sides[1], rel=3e-4)
    assert blank_size(Loop.rectangle(400, 250, 30).turned(turn)) == pytest.approx((250, 400), abs=1e-6)
