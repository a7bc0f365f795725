"""Templates at full size: outlines read back from the PDF's own vectors, judged by shapely and pdfplumber."""

from __future__ import annotations

import math

import numpy as np
import pdfplumber
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cutlists.packet.paper import PAPERS, Paper
from cutlists.packet.templates import (
    BORDER,
    FOOT,
    OVERLAP,
    RIM,
    Template,
    template_svg,
    tiling,
    write_roll,
    write_tiles,
)
from parts.outline import Loop

POINT = 25.4 / 72
SHAPE = Loop.rounded([[0, 0], [620, 40], [560, 480], [200, 430], [-30, 300]], 40.0)
HOLE = Loop.rectangle(150, 90, 12, centre=(250, 220))
TEMPLATE = Template("S9  test/sheet", (SHAPE, HOLE), note="1 off")


def drawn_on(page):
    """Curves and lines of the outline's width on a page, as points in mm from its upper left corner."""
    return [
        np.array(curve["pts"]) * POINT
        for curve in (*page.curves, *page.lines, *page.rects)
        if abs(float(curve["linewidth"]) * POINT - 0.35) < 0.02
    ]


def on_template(points, tiles, row, column, low_x, high_y):
    """Points of a page in the template's own mm."""
    step_x, step_y = tiles.steps
    x = points[:, 0] - BORDER + column * step_x + low_x
    y = high_y - (points[:, 1] - BORDER + row * step_y)
    return np.column_stack([x, y])


def inside_tile(points, tiles):
    x, y = points[:, 0] - BORDER, points[:, 1] - BORDER
    return (x > -0.01) & (x < tiles.wide + 0.01) & (y > -0.01) & (y < tiles.high + 0.01)


@pytest.mark.parametrize("paper", [PAPERS["letter"].lists, PAPERS["A4"].lists], ids=["letter", "A4"])
def test_tiles_put_together_give_the_outline_again(tmp_path, paper):
    tiles = write_tiles(tmp_path / "t.pdf", TEMPLATE, paper)
    wide, high = TEMPLATE.size
    laid = TEMPLATE if tiles == tiling((wide, high), paper) else TEMPLATE.turned()
    low_x, _, _, high_y = laid.box
    true = [loop.to_shapely(0.005).exterior for loop in laid.loops]
    true_points = np.concatenate([np.array(ring.coords) for ring in true])
    with pdfplumber.open(tmp_path / "t.pdf") as pdf:
        assert len(pdf.pages) == tiles.count + 1
        seen = []
        for number, page in enumerate(pdf.pages[1:]):
            assert (page.width, page.height) == pytest.approx((paper.width / POINT, paper.height / POINT))
            row, column = divmod(number, tiles.across)
            for points in drawn_on(page):
                own = points[inside_tile(points, tiles)]
                seen.append(on_template(own, tiles, row, column, low_x, high_y))
    seen = np.concatenate(seen)
    lines = shapely.MultiLineString([shapely.LineString(ring.coords) for ring in true])
    ends = shapely.distance(shapely.points(seen), lines)
    # End points of straight runs and of arcs lie on the outline; control points of arcs lie off it.
    assert np.quantile(ends, 0.5) < 0.1
    corners = np.concatenate([loop.points for loop in laid.loops])
    near = [np.hypot(*(seen - corner).T).min() for corner in corners]
    assert max(near) < 0.1
    assert len(true_points) > len(corners)


def test_the_fewest_tiles_are_taken():
    paper = PAPERS["letter"].lists
    tiles = tiling((620 + 2 * RIM, 480 + 2 * RIM), paper)
    shown = tiles.across * (tiles.wide - OVERLAP) + OVERLAP, tiles.down * (tiles.high - OVERLAP) + OVERLAP
    assert shown[0] >= 626
    assert shown[1] >= 486
    less = (tiles.across - 1) * (tiles.wide - OVERLAP) + OVERLAP
    assert less < 626


@given(st.floats(10, 3000), st.floats(10, 3000))
def test_tiles_cover_every_size(wide, high):
    tiles = tiling((wide, high), Paper("letter", 215.9, 279.4))
    assert tiles.across * (tiles.wide - OVERLAP) + OVERLAP >= wide - 1e-6
    assert tiles.down * (tiles.high - OVERLAP) + OVERLAP >= high - 1e-6
    assert tiles.high == pytest.approx(279.4 - 2 * BORDER - FOOT)


def test_scale_bars_are_true(tmp_path):
    write_roll(tmp_path / "r.pdf", TEMPLATE, 914.4)
    with pdfplumber.open(tmp_path / "r.pdf") as pdf:
        page = pdf.pages[0]
        words = page.extract_text()
        bars = {round((line["x1"] - line["x0"]) * POINT, 3) for line in page.lines}
    assert {100.0, 101.6} <= bars
    assert "100 mm" in words
    assert "4 in" in words


@settings(max_examples=10, deadline=None)
@given(st.floats(0.0, math.pi))
def test_a_roll_shows_the_whole_outline_at_its_size(tmp_path_factory, angle):
    """Whatever way the piece lies: width and height of what is drawn are those of the piece."""
    path = tmp_path_factory.mktemp("roll") / "r.pdf"
    piece = Template("S1  a", (Loop.rectangle(500, 200).turned(angle),))
    write_roll(path, piece, 1200.0)
    with pdfplumber.open(path) as pdf:
        points = np.concatenate(drawn_on(pdf.pages[0]))
    drawn = sorted(np.ptp(points, axis=0))
    wanted = sorted((piece.size[0] - 2 * RIM, piece.size[1] - 2 * RIM))
    assert drawn == pytest.approx(wanted, abs=0.1)


def test_a_roll_too_narrow_says_so(tmp_path):
    with pytest.raises(ValueError, match="the roll has room for 280 mm"):
        write_roll(tmp_path / "r.pdf", TEMPLATE, 300.0)
    assert not (tmp_path / "r.pdf").exists()


def test_svg_is_full_size():
    import xml.etree.ElementTree as ET

    root = ET.fromstring(template_svg(TEMPLATE))
    wide, high = TEMPLATE.size
    assert root.get("width") == f"{wide + 2 * BORDER:.3f}mm"
    assert root.get("viewBox").split()[2:] == [f"{wide + 2 * BORDER:.3f}", f"{high + 2 * BORDER:.3f}"]
