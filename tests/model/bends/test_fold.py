"""Folded pieces against the CAD kernel and closed forms: valid solids, volumes, flat patterns."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from OCP.BRepCheck import BRepCheck_Analyzer

from model.bends.flange import Flange
from model.bends.fold import FoldError, fold
from model.bends.folded_panel import FoldedPanel
from model.geometry import Frame
from model.panel import Panel
from model.panel_sameness import signature
from model.prism_solid import joined_solid
from parts.catalogue import starter
from parts.outline import Loop
from tests.model.kernel_measure import box, volume_and_centre

SHEET = starter().sheets["5052-0.090"]
T = SHEET.thickness
FACE = Frame.make((100.0, 200.0, 300.0), (0.6, 0.8, 0.0), (0.1, 0.0, 1.0))


def plate(corners: list[tuple[float, float]], holes: tuple[Loop, ...] = ()) -> Panel:
    return Panel("plate", FACE, Loop.polygon(corners), holes, SHEET, "deck")


def flange(
    start: tuple[float, float],
    end: tuple[float, float],
    height: float = 25.0,
    degrees: float = 90.0,
    radius: float = 4.0,
    up: bool = True,
    k: float = 0.44,
) -> Flange:
    ends = np.array(start, dtype=float), np.array(end, dtype=float)
    return Flange("edge", *ends, height, math.radians(degrees), radius, T, k, up)


BOX = [(0.0, 0.0), (400.0, 0.0), (400.0, 200.0), (0.0, 200.0)]
RADII = st.one_of(st.just(0.0), st.floats(0.1, 12.0))
"""Inside radii, mm; a micron is as good as sharp."""
LOWER = ((0.0, 0.0), (400.0, 0.0))


def volume_by_hand(own: Flange, length: float) -> float:
    """A quarter ring, or so much of one, and a leg: (A/2)((R+T)^2 - R^2) + leg x T."""
    r = own.radius
    ring = own.angle / 2 * ((r + T) ** 2 - r**2)
    return (ring + (own.height - (r + T) * math.tan(own.angle / 2)) * T) * length


@settings(max_examples=15, deadline=None)
@given(degrees=st.floats(10, 140), radius=RADII, height=st.floats(60, 120), up=st.booleans())
def test_one_flange_is_a_valid_solid_of_the_volume_by_hand(
    degrees: float, radius: float, height: float, up: bool
) -> None:
    own = flange(*LOWER, height, degrees, radius, up)
    folded = fold(plate(BOX), [own], T)
    solid = joined_solid(folded.prisms)
    by_hand = 400.0 * (200.0 - own.setback) * T + volume_by_hand(own, 400.0)
    found, centre = volume_and_centre(solid)
    assert BRepCheck_Analyzer(solid).IsValid()
    assert found == pytest.approx(by_hand, rel=1e-9)
    assert folded.volume == pytest.approx(by_hand, rel=1e-9)
    assert np.allclose(centre, folded.centre, atol=1e-5)
    assert np.allclose(box(solid), folded.box, atol=1e-5)
    assert folded.mass == pytest.approx(by_hand * SHEET.alloy.density * 1e-9, rel=1e-9)


@settings(max_examples=15, deadline=None)
@given(degrees=st.floats(10, 140), radius=RADII, k=st.floats(0.3, 0.5))
def test_the_flat_pattern_is_the_neutral_surface_laid_out(degrees: float, radius: float, k: float) -> None:
    """Flat length = straight legs + A (R + K T), bendmath.com/sheet-metal/bend-deduction-calculator.

    With K = 1/2 its area is that of the middle of the folded sheet, area x thickness its volume; else they
    differ by what the allowance puts the neutral axis off the middle, A (1/2 - K) T for each mm of the bend.
    """
    own = flange(*LOWER, 80.0, degrees, radius, k=k)
    folded = fold(plate(BOX), [own], T)
    legs = (200.0 - own.setback) + (80.0 - own.setback)
    assert folded.cut_extents == pytest.approx((400.0, legs + own.angle * (radius + k * T)), abs=1e-6)
    off = folded.volume / T - folded.cut_polygon.area
    assert off == pytest.approx(400.0 * own.angle * (0.5 - k) * T, abs=0.1)  # rounding of a hair's lap


def test_worked_example_folded_and_laid_flat() -> None:
    """sheetmetalworkbook.com/90bends.htm: legs 0.740 and 0.420 in; one bend takes 0.079 in off."""
    inch = 25.4
    thin = starter().sheets["5052-0.063"].__class__("thin", 0.050 * inch, SHEET.alloy, SHEET.sizes)
    face = Panel("strip", FACE, Loop.rectangle(10 * inch, 0.740 * inch), (), thin, "wall")
    low = -0.740 * inch / 2
    ends = np.array([-5 * inch, low]), np.array([5 * inch, low])
    own = Flange("edge", *ends, 0.420 * inch, math.pi / 2, 0.032 * inch, 0.050 * inch, 0.4469, True)
    flat = fold(face, [own], thin.thickness).cut_extents[1] / inch
    assert f"{flat:.3f}" == f"{0.740 + 0.420 - 0.079:.3f}"


def test_the_outside_stays_where_the_edges_were() -> None:
    """A tray of four flanges is as long and wide outside as its outline, and as high as its flanges."""
    pairs = list(zip(BOX, [*BOX[1:], BOX[0]], strict=True))
    folded = fold(plate(BOX), [flange(*pair, height=40.0) for pair in pairs], T)
    solid = joined_solid(folded.prisms)
    here = folded.frame.to_frame(folded.mesh().vertices)
    assert np.allclose(here.min(axis=0), (0.0, 0.0, -T), atol=1e-6)
    assert np.allclose(here.max(axis=0), (400.0, 200.0, 40.0 - T), atol=1e-6)
    assert BRepCheck_Analyzer(solid).IsValid()
    assert volume_and_centre(solid)[0] == pytest.approx(folded.volume, rel=1e-9)
    # each flange ends where its neighbours begin to bend
    back = folded.folds[0].flange.setback
    assert [fold.length for fold in folded.folds] == pytest.approx(
        [400 - 2 * back, 200 - 2 * back] * 2, abs=0.01
    )


def test_metal_that_runs_on_is_set_free_by_a_notch() -> None:
    """A step in the edge: the flange is shortened by the relief, and the notch reaches past the bend."""
    corners = [(0.0, 0.0), (250.0, 0.0), (250.0, -60.0), (400.0, -60.0), (400.0, 200.0), (0.0, 200.0)]
    own = flange((0.0, 0.0), (250.0, 0.0))
    folded = fold(plate(corners), [own], 3.0)
    assert (folded.folds[0].low, folded.folds[0].high) == pytest.approx((0.0, 247.0), abs=0.01)
    flat = folded.cut_polygon
    assert not flat.contains(shapely.Point(248.5, -own.flat_reach / 2))
    assert not flat.contains(shapely.Point(248.5, own.setback + 2.9))
    assert flat.contains(shapely.Point(248.5, own.setback + 3.1))
    assert BRepCheck_Analyzer(joined_solid(folded.prisms)).IsValid()


def test_lip_round_an_opening_with_rounded_corners() -> None:
    hole = Loop.rectangle(200.0, 120.0, 30.0, (200.0, 100.0))
    walked = hole.cw()
    ends = [(walked.points[i], walked.points[(i + 1) % 8]) for i in range(8) if walked.bulges[i] == 0]
    lips = [flange(tuple(a), tuple(b), height=20.0, up=False) for a, b in ends]
    folded = fold(plate(BOX, (hole,)), lips, T)
    solid = joined_solid(folded.prisms)
    assert BRepCheck_Analyzer(solid).IsValid()
    assert volume_and_centre(solid)[0] == pytest.approx(folded.volume, rel=1e-9)
    # the lip hangs at the edge of the hole, which stays as large as it was drawn
    here = folded.frame.to_frame(folded.mesh().vertices)
    legs = here[here[:, 2] < -T - 1e-6]
    assert legs[:, 2].min() == pytest.approx(-20.0)
    inside = (abs(legs[:, 0] - 200.0) < 100.0 - 1e-6) & (abs(legs[:, 1] - 100.0) < 60.0 - 1e-6)
    assert not inside.any()
    assert len(folded.cut_holes) == 1
    # on the flat, notches beside the corners reach past the bends, and the lips into the hole
    past = lips[0].setback + T
    x0, y0, x1, y1 = folded.cut_holes[0].bounds
    assert (x1 - x0, y1 - y0) == pytest.approx((200.0 + 2 * past, 120.0 + 2 * past), abs=0.01)
    across = folded.cut_polygon.intersection(shapely.LineString([(200, -1), (200, 201)])).length
    assert across == pytest.approx(200.0 - 120.0 + 2 * lips[0].flat_reach, abs=1e-6)


def test_where_there_is_no_metal_no_bend_is_made() -> None:
    with pytest.raises(FoldError, match="no metal"):
        fold(plate([(0.0, 0.0), (400.0, 0.0), (400.0, 5.0), (0.0, 5.0)]), [flange(*LOWER)], T)


def bent(up: bool, height: float = 25.0, degrees: float = 90.0) -> FoldedPanel:
    return fold(plate([*BOX[:3], (50.0, 200.0)]), [flange(*LOWER, height, degrees, up=up)], T)


def test_pieces_are_alike_only_if_their_bends_are() -> None:
    """A corner cut off makes the outline one-handed; bent the other way it is another piece."""
    assert signature(bent(True)) == signature(bent(True))
    assert signature(bent(True)) != signature(bent(False))
    assert signature(bent(True)) != signature(bent(True, degrees=80.0))
    assert signature(bent(True)) != signature(plate([*BOX[:3], (50.0, 200.0)]))


def test_turned_over_a_mirrored_piece_bent_the_other_way_is_the_same() -> None:
    mirrored = plate([(0.0, 0.0), (400.0, 0.0), (350.0, 200.0), (0.0, 200.0)])
    other = fold(mirrored, [flange(*LOWER, up=False)], T)
    assert signature(bent(True)) == signature(other)
    assert signature(bent(True), both_faces=False) != signature(other, both_faces=False)
