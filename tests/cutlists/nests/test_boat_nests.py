"""The demo boat's nests: every panel and strip once, each mirror image by its own outline."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from cutlists.nests.check import faults_of
from cutlists.nests.nest_files import nest_files
from cutlists.nests.pieces import nest_pieces
from cutlists.nests.plan import nest_plan
from cutlists.nests.records import Stock
from cutlists.nests.settings import Material, NestSettings
from model.boat import Boat, load_boat
from parts.faults import BadInput

QUICK = NestSettings(seconds=120.0, effort=0.3)


@pytest.fixture(scope="module")
def boat() -> Boat:
    return load_boat(Path(__file__).parents[3] / "configs" / "lake16.yaml")


def test_every_piece_of_the_boat_once(boat: Boat) -> None:
    panels = [*boat.panels, *boat.strips]
    plan = nest_plan(boat, QUICK)
    assert faults_of(plan, [p.piece for m in plan.materials for n in m.sheets for p in n.placements]) == []
    laid = [p.piece.name for m in plan.materials for n in m.sheets for p in n.placements]
    assert sorted(laid) == sorted(panel.name for panel in panels)
    area = sum(abs(p.cut_outline.area) - sum(abs(hole.area) for hole in p.cut_holes) for p in panels)
    assert sum(n.used * n.stock.area for m in plan.materials for n in m.sheets) == pytest.approx(
        area, rel=1e-9
    )


def test_files_of_the_boat(boat: Boat) -> None:
    told: list[str] = []
    files = dict(nest_files(boat, QUICK, told.append))
    assert told
    assert {"nests.txt", "nests.csv", "ordinates.txt", "ordinates.csv"} <= files.keys()
    marks = {boat.marks[panel.name] for panel in (*boat.panels, *boat.strips)}
    listed = {line.split(",")[3] for line in files["ordinates.csv"].decode().splitlines()[1:]}
    assert listed == marks


def test_pieces_that_share_a_mark_keep_their_own_hand(boat: Boat) -> None:
    """Where no face may be turned down, the port and the starboard piece of one mark lie as drawn."""
    panels = [*boat.panels, *boat.strips]
    name = panels[0].sheet.name
    settings = replace(QUICK, materials={name: Material(flip=False)})
    pieces = nest_pieces(panels, boat.marks, settings)
    assert not any(piece.may_flip for piece in pieces if piece.sheet == name)
    for piece, panel in zip(pieces, panels, strict=True):
        assert np.allclose(piece.outline.centroid, panel.cut_outline.centroid)
        assert piece.mark == boat.marks[panel.name]
        assert len(piece.lines) == 0 or panel in boat.strips or panel.bend_lines


def test_a_boat_that_needs_larger_sheets_is_refused_at_its_line(boat: Boat) -> None:
    name = boat.panels[0].sheet.name
    small = Material((Stock.sheet("700 x 1000 mm", 700.0, 1000.0),))
    with pytest.raises(BadInput) as caught:
        nest_plan(boat, replace(QUICK, materials={name: small}))
    assert all("is larger than any sheet of" in fault.wrong for fault in caught.value.faults)
    assert all(
        fault.place.line is not None and fault.place.file.endswith("lake16.yaml")
        for fault in caught.value.faults
    )
    assert any("seam" in fault.right for fault in caught.value.faults)
