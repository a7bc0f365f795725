"""Bent pieces on their way to the shop: flat in DXF, lists and nests, folded in STEP, mesh and JSON."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pytest
from OCP.BRepCheck import BRepCheck_Analyzer

from cutlists.boat_json import boat_data
from cutlists.nests.pieces import nest_pieces
from cutlists.nests.settings import NestSettings
from cutlists.outline_dxf import write_outlines
from cutlists.outline_svg import outline_svg
from cutlists.packet.templates import sheet_template
from cutlists.panel_list import panel_rows
from cutlists.scene import scene_of
from cutlists.step_solids import step_pieces
from model.boat import Boat
from model.panel import Panel
from tests.model.boats import demo
from tests.model.kernel_measure import volume_and_centre

NAME = "bulkhead.bow/sheet"
T, RADIUS, HEIGHT, TURN = 2.0, 3.175, 25.0, 87.5
"""As `configs/flat14.yaml` has it: 2 mm sheet, least radius 3 mm, so a punch of 1/8 in; 90 less 2.5 deg."""
ACROSS = 800.0


@pytest.fixture(scope="module")
def boat() -> Boat:
    return demo("flat14")


@pytest.fixture(scope="module")
def piece(boat: Boat) -> Panel:
    return next(panel for panel in boat.panels if panel.name == NAME)


def flat_height(piece: Panel) -> float:
    """Mould dimensions less the deduction, 2 (R + T) tan(A/2) - BA, in mm.

    BA = (0.01743 R + 0.0078 T) A in degrees: sheetmetalworkbook.com/90bends.htm.
    """
    allowance = (0.01743 * RADIUS + 0.0078 * T) * TURN
    deduction = 2 * (RADIUS + T) * math.tan(math.radians(TURN) / 2) - allowance
    return piece.extents[1] + HEIGHT - deduction


def test_the_cutter_gets_the_flat_pattern_with_its_bend(boat: Boat, piece: Panel, tmp_path: Path) -> None:
    (path,) = write_outlines(tmp_path, [piece], boat.marks)
    space = ezdxf.readfile(path).modelspace()
    (outline,) = space.query('LWPOLYLINE[layer=="CUT"]')
    points = np.array([point[:2] for point in outline.get_points()])
    # 0.01743 as printed is pi / 180 less 0.000023, of which R and the angle make 0.0065 mm
    assert np.ptp(points, axis=0) == pytest.approx((ACROSS, flat_height(piece)), abs=0.01)
    (line,) = space.query('LINE[layer=="BEND"]')
    assert line.dxf.start.distance(line.dxf.end) == pytest.approx(ACROSS, abs=0.01)
    # the middle of the bend: as far from the flange's edge as leg and half the allowance
    leg = HEIGHT - (RADIUS + T) * math.tan(math.radians(TURN) / 2)
    off = leg + (0.01743 * RADIUS + 0.0078 * T) * TURN / 2
    assert points[:, 1].max() - line.dxf.start.y == pytest.approx(off, abs=0.01)
    (text,) = space.query('TEXT[layer=="BEND"]')
    assert text.dxf.text == "up 87.5 deg R 3.2 mm"


def test_lists_nests_and_templates_go_by_the_flat_pattern(boat: Boat, piece: Panel) -> None:
    (row,) = panel_rows([piece], boat.marks)
    assert (row.width, row.length) == pytest.approx((flat_height(piece), ACROSS), abs=0.01)
    (nested,) = nest_pieces([piece], boat.marks, NestSettings())
    assert nested.area == pytest.approx(ACROSS * flat_height(piece), rel=1e-4)
    assert len(nested.lines) == 1
    template = sheet_template(piece, "S1", 1)
    assert abs(template.loops[0].area) == pytest.approx(nested.area, rel=1e-9)
    assert len(template.lines) == 1
    assert template.note.endswith('bends 1 x up 87.5 deg R 1/8"')
    assert "up 87.5 deg" in outline_svg(piece, "S1", 1, "in")


def test_step_and_mesh_show_it_folded(boat: Boat, piece: Panel) -> None:
    only = boat.__class__(**{**vars(boat), "members": (), "panels": (piece,), "strips": (), "fixtures": ()})
    solid = next(step.part for step in step_pieces(only) if step.name == NAME)
    assert BRepCheck_Analyzer(solid).IsValid()
    assert volume_and_centre(solid)[0] == pytest.approx(piece.volume, rel=1e-9)
    (mesh,) = (shown.mesh for shown in scene_of(only).pieces if shown.name == NAME)
    reach = np.ptp(mesh.vertices, axis=0)
    # the leg stands forward of the after side of the sheet; its upper corner leans further by its thickness
    leg = HEIGHT * math.sin(math.radians(TURN)) + T * math.cos(math.radians(TURN))
    assert reach[0] == pytest.approx(leg, abs=0.01)


def test_json_tells_the_bends(boat: Boat) -> None:
    pieces: dict[str, Any] = {row["name"]: row for row in boat_data(boat, {})["pieces"]}
    (bend,) = pieces[NAME]["flat"]["bends"]
    assert (bend["direction"], bend["angle"], bend["inside_radius"]) == ("up", TURN, RADIUS)
    hats = {f"deck.front/hat.front.{side}" for side in ("port", "starboard")}
    assert {name for name, row in pieces.items() if "flat" in row} == {NAME, *hats}
    (hat, *_) = (pieces[name]["flat"]["bends"] for name in sorted(hats))
    assert sorted(bend["step"] for bend in hat) == [1, 2, 3, 4]


def test_the_flange_lies_along_the_frame(boat: Boat, piece: Panel) -> None:
    """Its outer face against the underside of the deck's frame, which rises 2.5 degrees."""
    deck = boat.layout.decks["deck.front"]
    here = deck.frame.to_frame(piece.mesh().vertices)
    under = -deck.sheet.thickness - deck.rules.section.height
    assert here[:, 2].max() == pytest.approx(under, abs=1e-6)
    outer = here[here[:, 2] > under - 1e-6]
    leg = HEIGHT - (RADIUS + T) * math.tan(math.radians(TURN) / 2)
    assert np.ptp(outer[:, 0]) == pytest.approx(leg, abs=1e-6)
