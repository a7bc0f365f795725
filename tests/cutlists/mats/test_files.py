"""The mat's files: drawings read back by ezdxf, pictures as XML, lists that add up."""

from __future__ import annotations

import csv
import io
import math
import xml.etree.ElementTree as ET
from collections import Counter
from dataclasses import replace

import ezdxf
import numpy as np
import pytest
import shapely

from cutlists.mats.files import files_of, mat_files
from cutlists.mats.mat_list import CAUTIONS, COLUMNS, by_mark, mat_rows, mat_table
from model.mat.build import Matting, mat_of
from model.mat.settings import MatSettings
from tests.cutlists.mats.nest_check import lake_nest
from tests.model.mat_boats import lake_boat


@pytest.fixture(scope="module")
def mat() -> Matting:
    return lake_nest("grooved")[0]


@pytest.fixture(scope="module")
def files(mat) -> dict[str, bytes]:
    found = list(files_of(lake_boat(), *lake_nest("grooved")))
    assert len({name for name, _ in found}) == len(found)
    return dict(found)


@pytest.fixture(scope="module")
def plain_files() -> dict[str, bytes]:
    heard: list[str] = []
    found = dict(mat_files(lake_boat(), MatSettings(), heard.append, units="in"))
    assert any("nesting" in words for words in heard)
    return found


def drawing(data: bytes):
    return ezdxf.read(io.StringIO(data.decode()))


def cut_area(space) -> float:
    """Area within CUT of a drawing, holes taken out, arcs flattened by ezdxf."""
    total = 0.0
    for entity in space.query('LWPOLYLINE[layer=="CUT"]'):
        assert entity.closed
        path = ezdxf.path.make_path(entity)
        points = np.array([(p.x, p.y) for p in path.flattening(0.01)])
        x, y = points.T
        total += float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum()) / 2
    for circle in space.query('CIRCLE[layer=="CUT"]'):
        total -= math.pi * circle.dxf.radius**2
    return total


def test_each_mark_has_a_drawing_of_its_true_area_and_grooves(mat, files):
    for mark, pieces in by_mark(mat).items():
        doc = drawing(files[f"{mark}.dxf"])
        assert doc.header["$INSUNITS"] == 4
        space = doc.modelspace()
        assert cut_area(space) == pytest.approx(pieces[0].area, rel=2e-4)
        lines = space.query('LINE[layer=="GROOVE"]')
        assert len(lines) == len(pieces[0].grooves())
        assert [t.dxf.text for t in space.query("TEXT")] == [mark]
        y = np.array([line.dxf.start.y for line in lines])
        if len(y):
            steps = (y - y[0]) / pieces[0].lines.spacing
            assert np.abs(steps - np.round(steps)).max() < 1e-6


def test_drawings_may_be_in_inches(plain_files):
    mat = mat_of(lake_boat(), MatSettings())
    piece = by_mark(mat)["T1"][0]
    doc = drawing(plain_files["T1.dxf"])
    assert doc.header["$INSUNITS"] == 1
    assert cut_area(doc.modelspace()) == pytest.approx(piece.area / 25.4**2, rel=2e-3)


def test_a_grooved_sheet_shows_its_own_grooves_and_cuts_none(mat, files):
    space = drawing(files["mat-sheet-1.dxf"]).modelspace()
    assert not space.query('LINE[layer=="GROOVE"]')
    own = sorted(line.dxf.start.y for line in space.query('LINE[layer=="SHEET"]'))
    assert own == pytest.approx([25.4 + 50.8 * k for k in range(20)])
    (edge,) = space.query('LWPOLYLINE[layer=="SHEET"]')
    assert np.ptp([p[0] for p in edge.get_points()]) == pytest.approx(2032.0)


def test_a_plain_sheet_has_the_grooves_of_its_pieces_to_cut(plain_files):
    mat = mat_of(lake_boat(), MatSettings())
    names = [name for name in plain_files if name.startswith("mat-sheet-") and name.endswith(".dxf")]
    lines = sum(len(drawing(plain_files[n]).modelspace().query('LINE[layer=="GROOVE"]')) for n in names)
    assert lines == sum(len(piece.grooves()) for piece in mat.pieces)


def test_sheets_together_hold_all_of_the_mat(mat, files):
    names = [name for name in files if name.startswith("mat-sheet-") and name.endswith(".dxf")]
    cut = sum(cut_area(drawing(files[name]).modelspace()) for name in names)
    assert cut == pytest.approx(mat.area, rel=2e-4)
    marks = Counter(t.dxf.text for n in names for t in drawing(files[n]).modelspace().query("TEXT"))
    assert marks == Counter(mat.marks.values())


def test_pictures_are_sound_and_the_deck_shows_every_piece(mat, files):
    for name, data in files.items():
        if name.endswith(".svg"):
            ET.fromstring(data)
    root = ET.fromstring(files["mat-deck.svg"])
    named = [group.get("data-name") for group in root.iter("{http://www.w3.org/2000/svg}g")]
    assert sorted(named) == sorted(mat.marks)


def test_the_list_adds_up(mat, files):
    rows = list(csv.DictReader(io.StringIO(files["mat-list.csv"].decode())))
    assert tuple(rows[0]) == COLUMNS
    assert sum(int(row["quantity"]) for row in rows) == len(mat.pieces)
    glued = sum(shapely.area(piece.polygon) for piece in mat.pieces) * 1e-6
    assert sum(float(row["total m2"]) for row in rows) == pytest.approx(glued, rel=1e-3)
    first = {row["mark"]: row["first groove mm"] for row in rows}
    box = by_mark(mat)[mat.marks["deck.box/ice/lid/mat"]][0]
    # lid 421.. off the centreline: its low edge lies at -(679.45 - 3.175), the next groove at -13 x 50.8
    assert float(first[mat.marks[box.name]]) == pytest.approx(679.45 - 3.175 - 13 * 50.8, abs=0.02)


def test_the_list_of_places_names_every_piece_once(mat, files):
    rows = list(csv.DictReader(io.StringIO(files["mat-sheets.csv"].decode())))
    assert sorted(row["piece"] for row in rows) == sorted(mat.marks)
    assert {row["turned"] for row in rows} <= {"0", "180"}


def test_notes_tell_areas_what_is_bare_what_cannot_meet_and_the_cautions(mat, files):
    notes = files["mat-notes.txt"].decode()
    flat = " ".join(notes.split())
    assert f"{mat.area * 1e-6:.2f} m2 to glue" in notes
    assert "bare: seat.driver/lid/lid" in notes
    assert "deck.rods/riser.starboard.1/mat: its grooves would stand wider" in notes
    assert "price of the sheets" in notes
    assert all(caution in flat.replace("- ", "") or caution in flat for caution in CAUTIONS)


def test_the_table_has_a_row_for_each_mark(mat):
    table = mat_table(mat_rows(mat), "caption")
    assert table.row_count == len(set(mat.marks.values()))


def test_nothing_is_written_where_nothing_is_matted():
    assert list(mat_files(lake_boat(), replace(MatSettings(), leave_out=("deck", "seat")))) == []
