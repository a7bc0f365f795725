"""What of each surface is matted, against a box told by hand, and gaps everywhere on the demo boat."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import box

from model.flat_arcs import polygon_of
from model.mat.build import Matting, lining_names, mat_of, surface_names, unknown_names
from model.mat.piece import MatPiece
from model.mat.settings import MatSettings
from tests.model.mat_boats import BOX_MAT, box_boat, gaps, lake_boat, sloping_boat


@pytest.fixture(scope="module")
def boxed() -> Matting:
    return mat_of(box_boat(), BOX_MAT)


@pytest.fixture(scope="module")
def lake() -> Matting:
    return mat_of(lake_boat(), MatSettings())


def piece(matting: Matting, surface: str) -> MatPiece:
    (found,) = [p for p in matting.pieces if p.surface == surface]
    return found


# --- the box, by hand: decks 5 mm off sides that stand 500 mm off the centreline


def test_front_deck_reaches_over_its_riser_and_leaves_lids_and_openings_free(boxed):
    found = piece(boxed, "deck.front/top")
    # 4 mm over the riser at 1500; 10 mm of metal at the other edges
    assert found.outline.bounds == pytest.approx((1496, -485, 2690, 485), abs=0.01)
    # flush lid, 3 mm of clearance in an 8 mm gap: 2.5 mm off the cut-out; the lapped one 4 mm off the lid
    # (400 + 40) x (300 + 40); the open one 10 mm off its edge
    holes = (300 + 5) * (200 + 5) - (4 - math.pi) * 2.5**2
    holes += 448 * 348 - (4 - math.pi) * 4**2
    holes += 220 * 170 - (4 - math.pi) * 10**2
    assert found.area == pytest.approx((2690 - 1496) * 970 - holes, abs=2.0)


def test_lids_keep_half_the_gap_off_their_edges(boxed):
    # flush: a lid 3 mm smaller all round than its cut-out, and 2.5 mm inside its own edge
    flush, lapped = piece(boxed, "deck.front/flush/lid"), piece(boxed, "deck.front/lapped/lid")
    assert flush.area == pytest.approx((300 - 6 - 5) * (200 - 6 - 5), abs=0.1)
    assert lapped.area == pytest.approx((440 - 8) * (340 - 8), abs=0.1)
    deck = piece(boxed, "deck.front/top").polygon
    for lid in (flush, lapped):
        assert lid.polygon.distance(deck) == pytest.approx(8.0, abs=0.01)


def test_sole_stops_short_of_the_riser_and_of_the_seat_box(boxed):
    found = piece(boxed, "deck.sole/top")
    seat = 420 * 320 - (4 - math.pi) * 10**2
    assert found.outline.bounds == pytest.approx((210, -485, 1490, 485), abs=0.01)
    assert found.area == pytest.approx(1280 * 970 - seat, abs=1.0)


def test_riser_stands_between_the_mat_below_and_the_edge_above(boxed):
    found = piece(boxed, "deck.front/riser.aft.1")
    z = found.prism.box[:, 2]
    # sole 100, its mat 6 and 5 clear; deck edge 300, 5 short of it
    assert z == pytest.approx([100 + 6 + 5, 300 - 5], abs=0.01)
    (sheet,) = [p for p in box_boat().panels if p.name == "deck.front/riser.aft.1"]
    assert found.area == pytest.approx((sheet.extents[0] - 20) * 184, abs=1.0)


def test_seat_box_carries_mat_over_its_sides(boxed):
    top = piece(boxed, "seat.seat/top")
    lid = (300 + 5) * (200 + 5) - (4 - math.pi) * 2.5**2
    assert top.area == pytest.approx(408 * 308 - lid, abs=1.0)
    sides = [p for p in boxed.pieces if p.surface.startswith("seat.seat/riser")]
    assert len(sides) == 4
    for side in sides:
        assert side.prism.box[:, 2] == pytest.approx([111, 295], abs=0.01)


def test_area_to_glue_is_the_sum_of_the_pieces(boxed):
    assert boxed.area == pytest.approx(sum(shapely.area(p.polygon) for p in boxed.pieces), rel=1e-4)


def test_an_edge_whose_riser_is_left_out_keeps_its_reveal():
    found = mat_of(box_boat(), replace(BOX_MAT, leave_out=("deck.front/riser",)))
    assert not [p for p in found.pieces if "deck.front/riser" in p.surface]
    assert piece(found, "deck.front/top").outline.bounds[0] == pytest.approx(1510.0)


def test_leaving_a_deck_out_leaves_out_its_lids_and_risers():
    found = mat_of(box_boat(), replace(BOX_MAT, leave_out=("deck.front",)))
    assert {p.surface.split("/")[0] for p in found.pieces} == {"deck.sole", "seat.seat"}


def test_names_that_name_nothing_are_told():
    wrong = replace(BOX_MAT, leave_out=("deck.front/lapped", "deck.font"), line=("deck.front",))
    assert unknown_names(box_boat(), wrong) == [("leave_out", "deck.font"), ("line", "deck.front")]
    assert "deck.front/lapped/lid" in surface_names(box_boat())


# --- the demo boat


def test_no_two_pieces_of_the_demo_boat_touch(lake):
    found = gaps(lake.pieces)
    assert len(found) > 30
    (least, pair) = min((gap, pair) for pair, gap in found.items())
    # the smallest gap asked for is edge_gap, 1/8 in; joints are a groove wide, 1/8 in
    assert least > 25.4 / 8 - 0.1, pair


def test_pieces_keep_their_gap_where_a_deck_slopes_over_its_riser():
    found = mat_of(sloping_boat(), BOX_MAT)
    apart = gaps(found.pieces)
    # its mat comes down by 4 mm times the sine of 7 degrees over the riser's; asked for are 5 mm
    over = apart["deck.front/top/mat", "deck.front/riser.aft.1/mat"]
    assert over == pytest.approx(5.0, abs=0.3)
    joint = BOX_MAT.groove_width  # the least gap of all is that of a joint
    assert min(apart.values()) > joint - 0.01


def test_a_riser_is_bare_behind_a_deck_that_leaves_no_more_than_a_slot():
    # the step ends 10 mm before the riser, less than least_width
    found = piece(mat_of(sloping_boat(), BOX_MAT), "deck.front/riser.aft.1")
    edge = shapely.get_coordinates(shapely.segmentize(found.polygon.exterior, 5.0))
    points = found.frame.to_boat(edge)
    behind = points[np.abs(points[:, 1]) < 300]
    assert behind[:, 2].min() == pytest.approx(180 + 6 + 5, abs=0.01)
    assert points[:, 2].min() == pytest.approx(100 + 6 + 5, abs=0.01)


def test_lined_lockers_do_not_touch_either():
    boat = lake_boat()
    names = ("locker.livewell", "locker.ice/liner", "console.helm")
    assert {n.split("/")[0] for n in lining_names(boat)} >= {"locker.livewell", "console.helm"}
    found = mat_of(boat, replace(MatSettings(), line=names, leave_out=("deck", "seat")))
    assert len(found.pieces) >= 10
    assert min(gaps(found.pieces).values()) > 25.4 / 8 - 0.1


def test_reveal_is_kept_at_every_edge_but_those_over_risers(lake):
    boat = lake_boat()
    for name, deck in boat.layout.decks.items():
        edge = deck.area.boundary
        for riser in (p for p in boat.panels if p.role == "riser" and p.name.startswith(f"{name}/")):
            x0, _, x1, y1 = riser.outline.bounds
            top = deck.frame.to_frame(riser.frame.to_boat(np.array([(x0, y1), (x1, y1)])))[:, :2]
            # its ends too: there the mat turns from the overhang into the reveal
            edge = edge.difference(shapely.LineString(top).buffer(18.0))
        if edge.is_empty:  # a seat box has a riser under every edge
            assert name.startswith("seat.")
            continue
        for own in (p for p in lake.pieces if p.surface == f"{name}/top"):
            assert own.polygon.distance(edge) > 6.35 - 0.1


def test_mat_keeps_off_what_stands_on_the_deck(lake):
    boat = lake_boat()
    (pedestal,) = [f for f in boat.fixtures if f.name == "fixture.bow_pedestal"]
    (tray,) = [f for f in boat.fixtures if f.name == "fixture.pedal_tray"]
    feet = [
        shapely.transform(
            polygon_of(f.prisms[0].outline), lambda p, f=f: f.frame.to_boat(p)[:, :2]
        )
        for f in (pedestal, tray)
    ]  # fmt: skip
    deck = shapely.union_all([p.polygon for p in lake.pieces if p.surface == "deck.front/top"])
    for foot in feet:
        assert deck.distance(foot) == pytest.approx(6.35, abs=0.1)
    console = box(1739.9, -635, 2120.9, -127)  # 76 in forward, 15 by 20 in, 15 in to starboard
    sole = shapely.union_all([p.polygon for p in lake.pieces if p.surface == "deck.sole/top"])
    assert sole.distance(console) == pytest.approx(6.35, abs=0.1)


def test_nothing_is_laid_under_a_higher_deck_or_outside_the_boat(lake):
    boat = lake_boat()
    above = shapely.union_all([d.plan_area() for n, d in boat.layout.decks.items() if n != "deck.sole"])
    sole = shapely.union_all([p.polygon for p in lake.pieces if p.surface == "deck.sole/top"])
    assert sole.distance(above) > 6.35 - 0.1
    assert {b.surface for b in lake.bare} == {"seat.driver/lid/lid"}  # under the seat
    for own in lake.pieces:
        corners = own.prism.frame.to_boat(own.outline.points)
        assert boat.hull.gap(corners).min() > 6.0
