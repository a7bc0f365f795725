"""Panels: numbers from their solids, and when two are one piece for the shop."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
import shapely
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from model.flat_arcs import polygon_of
from model.geometry import Frame
from model.panel import Panel, panel_from_polygon, panels_from_shape
from model.panel_sameness import signature, tidied
from parts.alloy import Alloy, Strength
from parts.outline import Loop
from parts.sheet import Sheet

NONE = Strength(0.0, "not used here")
SHEET = Sheet("3 mm", 3.0, Alloy("plain", "sheet", 2700.0, 7e4, 2.7e4, NONE, NONE, (), {}), ((1219, 2438),))
FLOOR = Frame.level(250.0)


def panel(outline: Loop, *holes: Loop, frame: Frame = FLOOR) -> Panel:
    return Panel("p", frame, outline, holes, SHEET, "deck")


LID = panel(
    Loop.rounded([(0, 0), (500, 0), (500, 300), (0, 200)], 25),
    Loop.circle(40, (100, 80)),
    Loop.rectangle(120, 60, 10, (350, 120)),
)


def moved(piece: Panel, turn: float, dx: float, dy: float, start: int = 0, mirror: bool = False) -> Panel:
    """The same outline drawn elsewhere, perhaps from its other side, its vertices counted from `start`."""

    def one(loop: Loop) -> Loop:
        drawn = loop.transformed([(-1, 0), (0, 1)]) if mirror else loop
        drawn = drawn.turned(turn).moved(dx, dy)
        return Loop(np.roll(drawn.points, start, axis=0), np.roll(drawn.bulges, start))

    return dataclasses.replace(
        piece, outline=one(piece.outline), holes=tuple(one(hole) for hole in reversed(piece.holes))
    )


def test_mass_and_place_of_a_tilted_panel() -> None:
    """Judge: trimesh; mass by hand: 600 x 400 x 3 mm at 2700 kg/m3 is 1.944 kg."""
    frame = Frame.make((1000, 200, 300), (1, 0.2, 0), (0.5, 0, 1))
    found = panel(Loop.rectangle(600, 400), frame=frame)
    assert found.mass == pytest.approx(1.944)
    assert found.extents == pytest.approx((600, 400))
    mesh = found.mesh()
    solid = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    assert solid.is_watertight
    assert solid.volume == pytest.approx(found.volume)
    assert np.allclose(solid.center_mass, found.centre)
    depth = frame.to_frame(mesh.vertices)[:, 2]
    assert depth.max() == pytest.approx(0.0, abs=1e-9)
    assert depth.min() == pytest.approx(-3.0)


@settings(max_examples=60, deadline=None)
@given(st.floats(-4, 4), st.floats(-4000, 4000), st.floats(-2000, 2000), st.integers(0, 7), st.booleans())
def test_signature_does_not_see_where_a_piece_is_drawn(
    turn: float, dx: float, dy: float, start: int, mirror: bool
) -> None:
    again = moved(LID, turn, dx, dy, start, mirror)
    assert signature(again) == signature(LID)
    assert (signature(again, both_faces=False) == signature(LID, both_faces=False)) is not mirror


@pytest.mark.parametrize(
    "shape",
    [Loop.rectangle(400, 200), Loop.rectangle(300, 300), Loop.rectangle(400, 200, 30), Loop.circle(250)],
    ids=["rectangle", "square", "rounded", "disc"],
)
def test_symmetrical_pieces_have_no_hand(shape: Loop) -> None:
    piece = panel(shape, Loop.circle(30))
    for turn in (0.0, np.pi / 2, np.pi, 2.2):
        again = moved(piece, turn, 700, -50, 1, mirror=True)
        assert signature(again, both_faces=False) == signature(piece, both_faces=False)


def test_a_disc_with_holes_is_told_by_how_they_lie() -> None:
    three = panel(
        Loop.circle(250), *(Loop.circle(d, p) for d, p in ((20, (80, 0)), (10, (0, 60)), (10, (-40, 0))))
    )
    assert signature(moved(three, 1.1, 5, 5), both_faces=False) == signature(three, both_faces=False)
    assert signature(moved(three, 1.1, 5, 5, mirror=True), both_faces=False) != signature(
        three, both_faces=False
    )


@pytest.mark.parametrize(
    "other",
    [
        panel(LID.outline, LID.holes[0]),
        panel(LID.outline, LID.holes[0].moved(0.2, 0), LID.holes[1]),
        panel(Loop.rounded([(0, 0), (500.3, 0), (500.3, 300), (0, 200)], 25), *LID.holes),
        panel(Loop.rounded([(0, 0), (500, 0), (500, 300), (0, 200)], [25, 25, 25, 24]), *LID.holes),
        dataclasses.replace(LID, sheet=dataclasses.replace(SHEET, name="4 mm", thickness=4.0)),
    ],
    ids=["hole missing", "hole moved", "longer", "one radius", "other sheet"],
)
def test_a_small_change_is_another_piece(other: Panel) -> None:
    assert signature(other) != signature(LID)


def test_split_edges_make_no_difference() -> None:
    """Corners along a straight edge and joints within an arc are not part of the shape."""
    whole = Loop.rectangle(400, 200, 50)
    for edge in range(len(whole.points)):
        points = np.insert(whole.points, edge + 1, whole.apexes[edge], axis=0)
        half = np.tan(np.arctan(whole.bulges[edge]) / 2)
        bulges = np.insert(whole.bulges, edge, half)
        bulges[edge + 1] = half
        split = Loop(points, bulges)
        assert split.area == pytest.approx(whole.area)
        assert signature(panel(split)) == signature(panel(whole))
        assert tidied(split).area == pytest.approx(whole.area)
        assert len(tidied(split).points) == len(whole.points)


def test_panel_from_polygon_gets_its_arcs_back() -> None:
    again = panel_from_polygon("p", FLOOR, polygon_of(LID.outline, LID.holes), SHEET, "deck")
    assert again.area == pytest.approx(LID.area, rel=1e-10)
    assert signature(again) == signature(LID)


def test_several_polygons_make_numbered_panels() -> None:
    shape = shapely.MultiPolygon([shapely.box(500, 0, 600, 90), shapely.box(0, 0, 100, 50)])
    found = panels_from_shape("sole", FLOOR, shape, SHEET, "floor")
    assert [p.name for p in found] == ["sole.1", "sole.2"]
    assert found[0].extents == pytest.approx((100, 50))
    assert [p.name for p in panels_from_shape("sole", FLOOR, shape.geoms[0], SHEET, "floor")] == ["sole"]
    assert panels_from_shape("sole", FLOOR, shapely.Polygon(), SHEET, "floor") == []


def test_what_cannot_be_cut_is_refused() -> None:
    bow_tie = shapely.Polygon([(0, 0), (100, 80), (100, 0), (0, 90)])
    with pytest.raises(ValueError, match=r"lid\.x cannot be cut.*intersection"):
        panel_from_polygon("lid.x", FLOOR, bow_tie, SHEET, "lid")
    with pytest.raises(ValueError, match="empty"):
        panel_from_polygon("lid.x", FLOOR, shapely.Polygon(), SHEET, "lid")
