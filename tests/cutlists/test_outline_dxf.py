"""DXF outlines read back by ezdxf: areas from the plain lines and arcs of the file, layers, units, text."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pytest
import shapely
import shapely.affinity

from cutlists.outline_dxf import LAYERS, outline_drawing, write_outlines
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


DECK = panel(
    "deck.front",
    Loop.rounded([(-200, 50), (900, 50), (900, 700), (400, 450), (-200, 700)], [0, 30, 12, 60, 5]),
    Loop.circle(90, (0, 300)),
    Loop.rectangle(300, 120, 20, (500, 200)).reversed(),
)
TURN = np.linspace(0, 1.4, 60)
WALL = Strip(
    "well.wall",
    np.stack([900 * np.cos(TURN), 900 * np.sin(TURN), 0 * TURN], axis=1),
    np.stack([800 * np.cos(TURN), 800 * np.sin(TURN), 250 + 40 * TURN], axis=1),
    SHEET,
)


def ring_area(entity: Any) -> float:
    """Area within a closed entity by Green's theorem over the lines and arcs ezdxf breaks it into."""
    if entity.dxftype() == "CIRCLE":
        return float(math.pi * entity.dxf.radius**2)
    assert entity.dxftype() == "LWPOLYLINE"
    assert entity.closed
    total = 0.0
    for part in entity.virtual_entities():
        if part.dxftype() == "LINE":
            start, end = part.dxf.start, part.dxf.end
            total += (start.x * end.y - end.x * start.y) / 2
            continue
        # Arcs run counter-clockwise in the file; which way the polyline walks is told by its bulge sign.
        assert part.dxftype() == "ARC"
        centre, r = part.dxf.center, part.dxf.radius
        a = math.radians(part.dxf.start_angle)
        b = a + math.radians((part.dxf.end_angle - part.dxf.start_angle) % 360)
        swept = r * r * (b - a) + centre.x * r * (math.sin(b) - math.sin(a))
        swept -= centre.y * r * (math.cos(b) - math.cos(a))
        total += swept / 2 * walked(entity, part)
    return abs(total)


def walked(entity: Any, arc: Any) -> int:
    """1 where the polyline walks the arc counter-clockwise, else -1, by the vertex it starts from."""
    for x, y, _, _, bulge in entity.get_points():
        if bulge > 0 and math.hypot(x - arc.start_point.x, y - arc.start_point.y) < 1e-6:
            return 1
    return -1


def cut_area(drawing: Any) -> float:
    rings = sorted((ring_area(e) for e in drawing.modelspace().query('*[layer=="CUT"]')), reverse=True)
    return rings[0] - sum(rings[1:])


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("piece", [DECK, WALL, panel("disc", Loop.circle(120, (7, 7)))], ids=lambda p: p.name)
def test_file_read_back_has_the_area_of_the_piece(piece: Panel | Strip, units: Any, tmp_path: Path) -> None:
    (path,) = write_outlines(tmp_path, [piece], {piece.name: "S3"}, units)
    assert path == tmp_path / "S3.dxf"
    drawing = ezdxf.readfile(path)
    scale = {"mm": 1.0, "in": 25.4}[units]
    assert cut_area(drawing) * scale**2 == pytest.approx(piece.area, rel=1e-6)
    assert drawing.dxfversion == "AC1024"
    assert drawing.header["$INSUNITS"] == {"mm": 4, "in": 1}[units]
    assert not drawing.audit().errors
    for name, colour in LAYERS.items():
        assert drawing.layers.get(name).color == colour


def test_outline_starts_at_the_origin_and_is_as_large_as_the_piece() -> None:
    from ezdxf import bbox

    drawing = outline_drawing(DECK, "S1")
    box = bbox.extents(drawing.modelspace().query('LWPOLYLINE CIRCLE[layer=="CUT"]'), fast=False)
    assert (box.extmin.x, box.extmin.y) == pytest.approx((0, 0), abs=1e-6)
    assert (box.extmax.x, box.extmax.y) == pytest.approx(DECK.extents, abs=0.02)


def test_the_mark_lies_inside_the_metal() -> None:
    from ezdxf import bbox

    for piece in (
        DECK,
        WALL,
        panel("small", Loop.rectangle(30, 12)),
        panel("ring", Loop.circle(200), Loop.circle(150)),
    ):
        drawing = outline_drawing(piece, "S12")
        (text,) = drawing.modelspace().query("TEXT")
        assert text.dxf.text == "S12"
        assert text.dxf.layer == "TEXT"
        box = bbox.extents([text])
        written = shapely.box(box.extmin.x, box.extmin.y, box.extmax.x, box.extmax.y)
        low = np.array(piece.outline.bounds[:2])
        metal = shapely.affinity.translate(piece.polygon, *-low)
        assert metal.contains(written)


def test_rolled_pieces_show_their_rulings_and_flat_ones_none() -> None:
    lines = outline_drawing(WALL, "S1").modelspace().query('LINE[layer=="BEND"]')
    assert len(lines) > 10
    low = WALL.outline.bounds
    edge = shapely.transform(WALL.polygon.exterior, lambda p: p - low[:2])
    for line in lines:
        for end in (line.dxf.start, line.dxf.end):
            assert edge.distance(shapely.Point(end.x, end.y)) < 0.15
    x = np.linspace(0, 800, 20)
    flat = Strip(
        "flat", np.stack([x, 0 * x, 0 * x], axis=1), np.stack([x, 0 * x + 200, 0 * x], axis=1), SHEET
    )
    assert not outline_drawing(flat, "S1").modelspace().query('*[layer=="BEND"]')


def test_lines_to_scribe_are_on_their_layer() -> None:
    drawing = outline_drawing(DECK, "S1", "mm", [np.array([(-200.0, 300.0), (900.0, 300.0)])])
    (line,) = drawing.modelspace().query('*[layer=="MARK"]')
    assert [tuple(p[:2]) for p in line.get_points()] == [(0, 250), (1100, 250)]


def test_one_file_for_each_mark(tmp_path: Path) -> None:
    twin = panel("deck.rear", Loop.rectangle(300, 200))
    other = panel("deck.mid", Loop.rectangle(300, 200))
    marks = {"deck.front": "S1", "deck.rear": "S2", "deck.mid": "S2"}
    found = write_outlines(tmp_path, [DECK, twin, other], marks)
    assert [path.name for path in found] == ["S1.dxf", "S2.dxf"]
    assert sorted(p.name for p in tmp_path.iterdir()) == ["S1.dxf", "S2.dxf"]
