"""What leaves the house: DXF read back by ezdxf, ordinates put together again, pictures, lists."""

from __future__ import annotations

import csv
import io
import math
import re
from fractions import Fraction
from typing import Any
from xml.etree import ElementTree

import ezdxf
import numpy as np
import pytest
import shapely

from cutlists.nests.nest_files import plan_files
from cutlists.nests.nest_table import nest_table, nests_csv, nests_text, summary
from cutlists.nests.ordinates import ordinates_csv, ordinates_text
from cutlists.nests.plan import plan_nests
from cutlists.nests.records import NestPlan, Placement, Stock
from cutlists.nests.sheet_dxf import LAYERS, Units, sheet_dxf
from cutlists.nests.sheet_svg import sheet_svg
from parts.outline import Loop
from tests.cutlists.nests.nest_samples import QUICK, at, box, deck_like, frame, offcut, piece
from tests.cutlists.test_outline_dxf import ring_area

SETTINGS = QUICK


@pytest.fixture(scope="module")
def plan() -> NestPlan:
    pieces = [*deck_like(np.random.default_rng(4), 9), frame("F1.1", 300, 200), box("S9.1", 150, 90)]
    lines = (np.array([(-20.0, -10.0), (-20.0, 10.0)]), np.array([(20.0, -10.0), (20.0, 10.0)]))
    pieces.append(piece("S8.1", Loop.rectangle(90, 40, 5.0), may_flip=True, lines=lines))
    stock = [Stock.sheet('36" x 60"', 914.4, 1524.0, 120.0), offcut("left <1>", [(0, 0), (500, 0), (0, 400)])]
    return plan_nests(pieces, {"plate": stock}, SETTINGS)


def read(data: bytes) -> Any:
    return ezdxf.read(io.StringIO(data.decode()))


@pytest.mark.parametrize(("units", "scale", "code"), [("mm", 1.0, 4), ("in", 25.4, 1)])
def test_dxf_holds_every_outline_with_its_arcs(plan: NestPlan, units: Units, scale: float, code: int) -> None:
    for nest in plan.materials[0].sheets:
        drawing = read(sheet_dxf(nest, units))
        assert drawing.header["$INSUNITS"] == code
        assert set(LAYERS) <= {layer.dxf.name for layer in drawing.layers}
        cuts = list(drawing.modelspace().query('*[layer=="CUT"]'))
        loops = [loop for placement in nest.placements for loop in placement.loops]
        assert len(cuts) == len(loops)
        found = sorted(ring_area(entity) * scale**2 for entity in cuts)
        assert found == pytest.approx(sorted(abs(loop.area) for loop in loops), rel=1e-6)
        curved = sum(int(np.count_nonzero(loop.bulges)) for loop in loops if len(loop.points) > 2)
        bulges = [p[4] for e in cuts if e.dxftype() == "LWPOLYLINE" for p in e.get_points()]
        assert np.count_nonzero(bulges) == curved
        marks = sorted(e.dxf.text.split()[0] for e in drawing.modelspace().query('TEXT[layer=="TEXT"]'))
        assert marks == sorted(placement.piece.mark for placement in nest.placements)
        edge = max(ring_area(e) * scale**2 for e in drawing.modelspace().query('LWPOLYLINE[layer=="SHEET"]'))
        assert edge == pytest.approx(nest.stock.area, rel=1e-6)


def test_lines_to_mark_lie_within_their_piece(plan: NestPlan) -> None:
    nests = plan.materials[0].sheets
    nest, placement = next((n, p) for n in nests for p in n.placements if p.piece.mark == "S8")
    lines = read(sheet_dxf(nest)).modelspace().query('*[layer=="MARK"]')
    assert len(lines) == 2
    for line in lines:
        assert placement.polygon().covers(shapely.LineString([p[:2] for p in line.get_points()]))


def arc(start: tuple[float, float], through: tuple[float, float], end: tuple[float, float]) -> list[Any]:
    """Points along the circle through three points, from the first to the last, by its centre."""
    (ax, ay), (bx, by), (cx, cy) = start, through, end
    d = 2 * (ax * (by - cy) + bx * (cy - ay) + cx * (ay - by))
    a, b, c = ax * ax + ay * ay, bx * bx + by * by, cx * cx + cy * cy
    if abs(d) < 1e-9:  # half a circle's three points are never in line; a flat arc is straight enough
        return [start]
    x, y = (
        (a * (by - cy) + b * (cy - ay) + c * (ay - by)) / d,
        (a * (cx - bx) + b * (ax - cx) + c * (bx - ax)) / d,
    )
    t0, t1, t2 = (math.atan2(q - y, p - x) for p, q in (start, through, end))
    ccw = (t1 - t0) % (2 * math.pi) < (t2 - t0) % (2 * math.pi)
    sweep = (t2 - t0) % (2 * math.pi) if ccw else -((t0 - t2) % (2 * math.pi))
    r = math.hypot(ax - x, ay - y)
    return [
        (x + r * math.cos(t0 + sweep * k / 400), y + r * math.sin(t0 + sweep * k / 400)) for k in range(400)
    ]


def test_ordinates_put_together_give_the_pieces_again(plan: NestPlan) -> None:
    """Corners and arcs of the CSV file as polygons, against the placed outlines; a hundredth of a mm each."""
    rings: dict[tuple[str, str], list[dict[str, str]]] = {}
    for row in csv.DictReader(io.StringIO(ordinates_csv(plan))):
        rings.setdefault((row["piece"], row["line"]), []).append(row)
    placed = {p.piece.name: p for nest in plan.materials[0].sheets for p in nest.placements}
    for name, placement in placed.items():
        outline, *holes = (polygon(rings[key]) for key in rings if key[0] == name)
        found = outline.difference(shapely.union_all(holes))
        true = placement.polygon(1e-3)
        assert found.symmetric_difference(true).area < 0.02 * true.length, name


def polygon(rows: list[dict[str, str]]) -> shapely.Polygon:
    points: list[Any] = []
    for k, row in enumerate(rows):
        start = (float(row["x mm"]), float(row["y mm"]))
        after = rows[(k + 1) % len(rows)]
        end = (float(after["x mm"]), float(after["y mm"]))
        if row["to the next"] == "arc":
            points += arc(start, (float(row["through x mm"]), float(row["through y mm"])), end)
        else:
            points.append(start)
    return shapely.Polygon(points)


def test_ordinates_start_low_and_say_fractions(plan: NestPlan) -> None:
    text = ordinates_text(plan)
    assert max(len(line) for line in text.splitlines()) <= 100
    rows = re.findall(r"x +([0-9/-]+)\"  y +([0-9/-]+)\" +([0-9.]+) +([0-9.]+) mm", text)
    assert len(rows) == len(list(csv.DictReader(io.StringIO(ordinates_csv(plan)))))
    for fraction, _, mm, _ in rows:
        whole = sum(Fraction(part) for part in fraction.split("-"))
        assert float(whole) * 25.4 == pytest.approx(float(mm), abs=25.4 / 32 + 0.006)


def test_pictures_are_well_formed_and_show_every_mark(plan: NestPlan) -> None:
    for nest in plan.materials[0].sheets:
        for units in ("in", "mm"):
            root = ElementTree.fromstring(sheet_svg(nest, "plate & <1>", units, grain=True))
            said = [node.text for node in root.iter("{http://www.w3.org/2000/svg}text")]
            assert said[0] == "plate & <1>"
            marks = [node.text for node in root.iter() if node.get("class") == "mark"]
            assert sorted(map(str, marks)) == sorted(p.piece.mark for p in nest.placements)
            wide, high = (float(v) for v in str(root.get("viewBox")).split()[2:])
            assert max(wide, high) < 400


def test_the_table_keeps_to_100_columns_and_says_how_close(plan: NestPlan) -> None:
    text = nests_text(plan)
    assert max(len(line) for line in text.splitlines()) <= 100
    assert nest_table(plan).row_count == len(plan.materials[0].sheets)
    material = plan.materials[0]
    (line,) = [said for said in summary(plan) if said.startswith("plate")]
    assert f"{material.cost:.2f}" in line
    assert ("no plan costs less" in line) == material.is_least
    rows = list(csv.DictReader(io.StringIO(nests_csv(plan))))
    used = sum(p.piece.area for nest in material.sheets for p in nest.placements)
    area = sum(
        float(row["used %"]) / 100 * nest.stock.area for row, nest in zip(rows, material.sheets, strict=True)
    )
    assert area == pytest.approx(used, rel=1e-3)


def test_files_are_named_by_material_and_number(plan: NestPlan) -> None:
    names = [name for name, data in plan_files(plan, SETTINGS) if data]
    count = len(plan.materials[0].sheets)
    sheets = [f"plate-{k}.{kind}" for k in range(1, count + 1) for kind in ("dxf", "svg")]
    assert names == [*sheets, "nests.txt", "nests.csv", "ordinates.txt", "ordinates.csv"]


def test_a_flipped_piece_is_told() -> None:
    mould = offcut("mould", [(0, 0), (600, 0), (600, 400)])
    shape = shapely.Polygon([(0, 0), (600, 0), (600, 400)]).buffer(-11, join_style="mitre")
    mirrored = [(-x, y) for x, y in list(shape.exterior.coords)[:-1]]
    stock = [Stock.sheet("new", 500.0, 700.0, 9.0), mould]
    found = plan_nests([piece("T.1", mirrored, may_flip=True)], {"plate": stock}, SETTINGS)
    (nest,) = found.materials[0].sheets
    texts = [e.dxf.text for e in read(sheet_dxf(nest)).modelspace().query("TEXT")]
    assert texts == ["T face down"]
    assert "tan: cut face down" in sheet_svg(nest, "t")
    assert "face down" in ordinates_text(found)
    assert csv.DictReader(io.StringIO(ordinates_csv(found))).__next__()["face"] == "down"


def test_lines_turn_and_flip_with_their_piece() -> None:
    one = piece("A.1", [(0, 0), (100, 0), (100, 40), (0, 60)], lines=(np.array([(10.0, 5.0), (10.0, 30.0)]),))
    for placement in (
        at(one, 7, 9, turn, flipped) for turn in (0, 90, 180, 270) for flipped in (False, True)
    ):
        (line,) = placement.lines
        assert shapely.LineString(line).length == pytest.approx(25)
        assert corner_gap(placement, line) == pytest.approx([math.hypot(10, 5), math.hypot(10, 30)])


def corner_gap(placement: Placement, line: Any) -> list[float]:
    """Distances of a line's ends from where the piece's own origin lies."""
    return [float(math.hypot(x - placement.x, y - placement.y)) for x, y in line]
