"""Bent pieces from their end: what is shown is the folded section, drawn once, with outside lengths."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from cutlists.drawing.end_view import LONG, end_views
from cutlists.drawing.panel_drawing import panel_svg
from model.bends.flange import Flange
from model.bends.fold import fold
from model.bends.folded_panel import FoldedPanel
from model.bends.hat import HatShape, hat_piece
from model.bends.profile import Turn
from model.geometry import Frame
from model.panel import Panel
from parts.catalogue import starter
from parts.outline import Loop

SHEET = starter().sheets["5052-2mm"]
T = SHEET.thickness
HAT = HatShape(40.0, 30.0, 20.0, math.pi / 2, 4.0, SHEET, 0.44)


def plate(*edges: int, up: bool = True, returned: bool = True) -> FoldedPanel:
    corners = np.array([(0.0, 0.0), (400.0, 0.0), (400.0, 200.0), (0.0, 200.0)])
    further = (Turn(20.0, math.pi / 2, 4.0),) if returned else ()
    own = [
        Flange("edge", corners[i], corners[(i + 1) % 4], 35.0, math.pi / 2, 4.0, T, 0.44, up, further)
        for i in edges
    ]
    return fold(Panel("plate", Frame.level(0.0), Loop.polygon(corners), (), SHEET, "deck"), own, T)


def test_a_hat_is_shown_whole_and_once() -> None:
    (view,) = end_views(hat_piece("hat", HAT, Frame.level(0.0), 300.0, T))
    section = HAT.section("hat")
    assert sum(abs(loop.area) for loop in view.loops) == pytest.approx(section.area)
    shapes = [loop.to_shapely(0.01) for loop in view.loops]
    whole = shapely.union_all([shape.buffer(1e-6) for shape in shapes])
    assert whole.geom_type == "Polygon"
    low_x, low_y, high_x, high_y = whole.bounds
    assert (high_x - low_x, high_y - low_y) == pytest.approx((section.width, section.height), abs=1e-4)
    # its web is the face and lies below: the sides turn away from the face
    assert view.lengths == pytest.approx((20, 30, 40, 30, 20))


@pytest.mark.parametrize("up", [True, False])
def test_of_a_wide_sheet_only_what_is_beside_the_flange_is_shown(up: bool) -> None:
    (view,) = end_views(plate(0, up=up))
    assert view.lengths == pytest.approx((35, 20))
    low, high = (np.array([loop.bounds for loop in view.loops])[:, k] for k in (1, 3))
    assert (high.max() - low.min()) == pytest.approx(35.0)
    assert (high.max() > T + 1.0) == up
    assert min(loop.bounds[0] for loop in view.loops) == pytest.approx(-LONG)


def test_plain_flanges_and_plain_sheet_need_none() -> None:
    assert end_views(plate(0, 2, returned=False)) == []
    flat = plate(0)
    assert end_views(Panel("p", flat.frame, flat.outline, (), SHEET, "deck")) == []


def test_the_drawing_has_it_above_the_flat_pattern() -> None:
    told = panel_svg(hat_piece("hat", HAT, Frame.level(0.0), 300.0, T), "S1", 2, (190, 110), "mm")
    assert "outside 20.0 mm, 30.0 mm, 40.0 mm, 30.0 mm, 20.0 mm" in told
    assert "bend 1 up 90 deg" in told
