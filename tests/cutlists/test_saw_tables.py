"""Saw tables read back: CSV by the csv module, the workbook by openpyxl, drawings by an XML parser."""

from __future__ import annotations

import csv
import io
import math
import xml.etree.ElementTree as ElementTree
from dataclasses import replace

import numpy as np
import openpyxl
import pytest
from rich.console import Console

from cutlists.piece_drawing import SIDE_ROOM, WIDTH, piece_svg, write_piece_drawings
from cutlists.piece_views import Stretch, views, visible_shapes
from cutlists.saw_list import SawList, ShopSaw, saw_list
from cutlists.saw_tables import CAUTION, print_saw_list, records, saw_csv, saw_text, write_saw_xlsx
from model.marks import assign_marks
from model.sameness import signatures
from tests.cutlists.test_saw_list import listed, pair
from tests.model.member_samples import random_members
from tests.model.test_end_cut import piece, ring

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def saw() -> SawList:
    """Random pieces of all families, a mirror pair, a ring, a long list of names, one past the saw."""
    members = [*random_members(21, seed=5), *pair(), *ring(6, 0.0)]
    members += [replace(piece(length=900.0), name=f"deck.front/beam.{2 * k}") for k in range(40)]
    members += [replace(piece(end_b=(1, 3, 0)), name='=1+1, "odd"')]
    members += [replace(piece(end_b=(1, 5, 0), length=20.0), name="gone")]
    return saw_list(members, assign_marks(signatures(members), "F"))


def test_csv_reads_back_with_full_names_and_exact_numbers(saw: SawList) -> None:
    rows = list(csv.DictReader(io.StringIO(saw_csv(saw))))
    assert [row["mark"] for row in rows] == [row.mark for row in saw.rows]
    for told, row in zip(rows, saw.rows, strict=True):
        assert float(told["length_mm"]) == pytest.approx(row.length, abs=0.005)
        assert float(told["length_in"]) * 25.4 == pytest.approx(row.length, abs=0.002)
        assert float(told["short_a_mm"]) == pytest.approx(row.short_a, abs=0.005)
        assert float(told["end_b_mitre_deg"]) == pytest.approx(
            abs(math.degrees(row.cuts.end_b.mitre)), abs=5e-4
        )
        assert told["where"] == "; ".join(row.names)
    assert saw_csv(listed([])) == ""


def test_records_hold_plain_values_for_json(saw: SawList) -> None:
    for told in records(saw):
        assert all(value is None or type(value) in (str, int, float) for value in told.values())


def test_text_fits_and_says_everything(saw: SawList) -> None:
    lines = [line.plain for line in saw_text(saw)]
    assert max(len(line) for line in lines) <= 100
    text = "\n".join(lines)
    for row in saw.rows:
        assert any(line.startswith(f"{row.mark} ") and f"{row.length:.1f}" in line for line in lines)
    assert "mirror of" in text
    assert "past the saw" in text
    assert "No piece, its own end cuts meet: gone" in text
    assert CAUTION in text


def test_text_is_plain_when_piped_and_coloured_on_a_terminal(saw: SawList) -> None:
    piped, shown = io.StringIO(), io.StringIO()
    print_saw_list(saw, Console(file=piped, width=40))
    print_saw_list(saw, Console(file=shown, force_terminal=True, color_system="standard", width=100))
    assert "\x1b" not in piped.getvalue()
    assert "\x1b" in shown.getvalue()
    assert max(len(line) for line in piped.getvalue().splitlines()) <= 100


def test_workbook_reads_back_with_a_sheet_a_section(saw: SawList, tmp_path) -> None:
    path = tmp_path / "saw.xlsx"
    write_saw_xlsx(saw, path)
    book = openpyxl.load_workbook(path)
    assert book.sheetnames[0] == "Summary"
    assert len(book.sheetnames) == 1 + len(saw.by_section)
    seen = {}
    for sheet in book.worksheets[1:]:
        assert sheet.freeze_panes == "B2"
        for mark, number, marked, _, mm, *rest in sheet.iter_rows(min_row=2, values_only=True):
            seen[mark] = (number, marked, mm, rest[-1])
    for row in saw.rows:
        expected = (row.quantity, saw.shop.marked(row.length), round(row.length, 1), ", ".join(row.names))
        assert seen[row.mark] == expected
    formulas = [c for s in book.worksheets for line in s.iter_rows() for c in line if c.data_type == "f"]
    assert formulas == []
    summary = book["Summary"]
    total = next(line for line in summary.iter_rows(values_only=True) if line[0] == "all")
    assert total[1:3] == (len(saw.rows), sum(row.quantity for row in saw.rows))


def test_sections_alike_in_their_first_letters_get_a_sheet_each(tmp_path) -> None:
    long = "rectangular tube as ordered from stock, "
    members = []
    for k, sizes in enumerate(("1/2", "1-2", "x")):
        plain = piece()
        members.append(replace(plain, name=f"m{k}", section=replace(plain.section, name=long + sizes)))
    write_saw_xlsx(listed(members), tmp_path / "saw.xlsx")
    assert len(openpyxl.load_workbook(tmp_path / "saw.xlsx").sheetnames) == 4


def test_a_drawing_a_mark_is_written_and_well_formed(saw: SawList, tmp_path) -> None:
    paths = write_piece_drawings(saw, tmp_path / "pieces")
    assert [path.name for path in paths] == [f"{row.mark}.svg" for row in saw.rows]
    for path, row in zip(paths, saw.rows, strict=True):
        root = ElementTree.parse(path).getroot()
        words = " ".join(text.text or "" for text in root.iter(f"{SVG}text"))
        assert f"long {saw.shop.marked(row.length)} ({row.length:.1f} mm)" in words
        assert all(flag in words for flag in row.flags)


def test_an_unbroken_drawing_has_the_pieces_true_angle_and_length() -> None:
    row = listed([piece(end_b=(1, 1, 0), length=120.0)]).rows[0]
    stretch = Stretch.of(row, SIDE_ROOM, WIDTH - SIDE_ROOM)
    assert not stretch.cuts
    top, _ = views(row)
    faces = [shape for shape in visible_shapes(row, top, stretch, 0.0) if shape.kind == "face"]
    points = np.array([point for shape in faces for point in shape.points])
    assert np.ptp(points[:, 0]) == pytest.approx(row.length * stretch.scale)
    assert np.ptp(points[:, 1]) == pytest.approx(row.section.width * stretch.scale)
    # A 45 degree end: on the flat top the page rises as much as it runs.
    slopes = [_slope(s) for s in visible_shapes(row, top, stretch, 0.0) if s.kind == "line"]
    assert any(abs(slope) == pytest.approx(45.0) for slope in slopes)


def _slope(shape) -> float:
    (x0, y0), (x1, y1) = shape.points[0], shape.points[-1]
    return math.degrees(math.atan2(y1 - y0, x1 - x0))


def test_a_long_piece_is_broken_out_between_its_cuts_and_fits_the_page() -> None:
    row = listed([piece(end_a=(-1, 2, 0), end_b=(1, 0, 1.5), length=3000.0)]).rows[0]
    stretch = Stretch.of(row, SIDE_ROOM, WIDTH - SIDE_ROOM)
    assert len(stretch.cuts) == 1
    prism = row.member.prism
    assert stretch.cuts[0][0] > float(prism.near_short[0])
    assert stretch.cuts[0][1] < float(prism.far_short[0])
    assert stretch.page(stretch.first) == pytest.approx(SIDE_ROOM)
    assert stretch.page(stretch.last) == pytest.approx(WIDTH - SIDE_ROOM)


def test_an_end_that_leans_away_from_the_eye_is_not_seen() -> None:
    row = listed([piece(end_a=(-1, 0, 0.5), end_b=(1, 0, -0.5))]).rows[0]
    stretch = Stretch.of(row, SIDE_ROOM, WIDTH - SIDE_ROOM)
    edge, flat = views(row)
    # From above (flat), end A faces up and shows its bore; end B faces down.
    kinds = [shape.kind for shape in visible_shapes(row, flat, stretch, 0.0)]
    assert (kinds.count("end"), kinds.count("bore")) == (1, 1)
    assert "end" not in [shape.kind for shape in visible_shapes(row, edge, stretch, 0.0)]


def test_the_drawing_names_the_shops_fraction() -> None:
    row = listed([piece(length=1003.0)]).rows[0]  # 39.4882 in
    for denominator, marked in ((8, '39-1/2"'), (64, '39-31/64"')):
        assert f"long {marked} (1003.0 mm)" in piece_svg(row, ShopSaw(denominator))
