"""The ring round a deck: straight runs along edges and hull, mitres, tees at sharp corners."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon, box, union_all

from model.layout.edges import OUTLINE, Edge, area_within
from model.skeleton.ring import inner_area, meeting, ring_bars, ring_runs
from parts.sections import rect_tube
from tests.model.member_samples import ALLOY

TUBE = rect_tube("25 x 50", 25.0, 50.0, 3.0, ALLOY)
RECTANGLE = box(0, -300, 1000, 300)


def outlined(points):
    edge = Edge.outline(np.array(points, dtype=float))
    return edge.inner_area(), {OUTLINE: edge}


def bars_of(area, edges, gap=10.0):
    runs = ring_runs(area, edges, gap)
    return runs, ring_bars(runs, TUBE, "deck")


def shapes(bars):
    return [Polygon(bar.corners()) for bar in bars]


def test_a_rectangle_gives_four_mitred_bars_to_its_outside():
    area, edges = outlined([(0, -300), (1000, -300), (1000, 300), (0, 300)])
    _, bars = bars_of(area, edges)
    assert len(bars) == 4
    assert all(bar.role == "rim" for bar in bars)
    assert sorted(bar.name for bar in bars) == [f"deck/rim.outline.{k}" for k in (1, 2, 3, 4)]
    ring = union_all(shapes(bars))
    assert ring.area == pytest.approx(1000 * 600 - 950 * 550)
    assert ring.bounds == pytest.approx((0, -300, 1000, 300))
    for bar in bars:
        assert bar.cut_p.kind == bar.cut_q.kind == "corner"
        # at a right angle the cut is turned 45 degrees from the axis
        assert abs(float(bar.cut_q.normal @ bar.direction)) == pytest.approx(math.sqrt(0.5))


def test_the_inner_area_is_inside_the_bars():
    area, edges = outlined([(0, -300), (1000, -300), (1000, 300), (0, 300)])
    runs, _ = bars_of(area, edges)
    assert inner_area(runs, 25).area == pytest.approx(950 * 550)
    assert inner_area(runs, 400).area < 1000 * 600


def test_edges_give_rims_and_the_hull_ledgers():
    edges = {
        "aft": Edge.line("aft", 0.0),
        "forward": Edge.line("forward", 1000.0),
        "port": Edge("port", None),
        "starboard": Edge("starboard", None),
    }
    _, bars = bars_of(RECTANGLE, edges)
    assert [bar.name.removeprefix("deck/") for bar in bars] == [
        "rim.aft.1",
        "ledger.starboard.1",
        "rim.forward.1",
        "ledger.port.1",
    ]


def test_a_ledger_across_the_boat_is_named_by_its_end():
    hull = {side: Edge(side, None) for side in ("aft", "forward", "port", "starboard")}
    _, bars = bars_of(RECTANGLE, hull)
    assert {bar.name.removeprefix("deck/") for bar in bars} == {
        "ledger.aft.1",
        "ledger.starboard.1",
        "ledger.forward.1",
        "ledger.port.1",
    }


def curved_side(gap: float):
    """A deck whose port side is an arc of 2 m radius from (0, 0) to (1500, ...)."""
    turn = np.linspace(0, 0.8, 120)
    side = np.stack([2000 * np.sin(turn), 2000 * np.cos(turn) - 1600], axis=1)
    area = Polygon([(0, -300), (side[-1, 0], -300), *side[::-1]])
    edges = {
        "aft": Edge.line("aft", 0.0),
        "forward": Edge.line("forward", float(side[-1, 0])),
        "starboard": Edge.line("starboard", -300.0),
        "port": Edge("port", None),
    }
    return side, *bars_of(area_within(area, edges), edges, gap)


@pytest.mark.parametrize("gap", [2.0, 5.0, 12.0])
def test_ledgers_keep_within_their_gap_of_a_curved_side_in_the_fewest_pieces(gap):
    """A chord of an arc of radius R that stands off it by g at most turns by 2 acos(1 - g / R)."""
    side, _runs, bars = curved_side(gap)
    ledgers = [bar for bar in bars if bar.role == "ledger"]
    line = LineString(side)
    outer = [LineString(bar.corners()[:2]) for bar in ledgers]  # the right of a counter-clockwise bar
    for piece in outer:
        assert line.hausdorff_distance(piece) >= 0
        for t in np.linspace(0.02, 0.98, 25):
            assert line.distance(piece.interpolate(t, normalized=True)) <= gap + 0.05
    chord = 2 * math.acos(1 - gap / 2000)
    fewest = math.ceil(0.8 / chord - 1e-6)
    assert fewest <= len(ledgers) <= fewest + 1


def test_ledgers_stay_inside_the_area():
    side, _runs, bars = curved_side(6.0)
    area = Polygon([(0, -300), (side[-1, 0], -300), *side[::-1]]).buffer(0.01)
    for bar in bars:
        assert area.covers(Polygon(bar.corners())), bar.name


def test_a_corner_sharper_than_a_saw_cuts_is_teed():
    area, edges = outlined([(0, 0), (1000, 0), (0, 600)])
    _, bars = bars_of(area, edges)
    sharp = [bar for bar in bars for cut in (bar.cut_p, bar.cut_q) if cut.kind == "tee"]
    assert sharp
    whole = union_all(shapes(bars))
    assert sum(s.area for s in shapes(bars)) == pytest.approx(whole.area, rel=1e-6)


def test_meeting():
    area, edges = outlined([(0, -300), (1000, -300), (1000, 300), (0, 300)])
    runs, _ = bars_of(area, edges)
    np.testing.assert_allclose(
        sorted(tuple(np.round(meeting(runs[i - 1], runs[i]), 9)) for i in range(4)),
        [(0, -300), (0, 300), (1000, -300), (1000, 300)],
    )


@settings(max_examples=60, deadline=None, derandomize=True, database=None)
@given(
    jitter=st.lists(st.floats(-0.3, 0.3), min_size=4, max_size=8),
    radii=st.lists(st.floats(450, 700), min_size=8, max_size=8),
)
def test_any_outline_gets_a_closed_ring_that_nothing_is_counted_twice_in(jitter, radii):
    """Stars whose runs are long enough for their mitres, with no spike thinner than two members."""
    angles = [2 * math.pi * (k + j) / len(jitter) for k, j in enumerate(jitter)]
    points = [(r * math.cos(a), r * math.sin(a)) for a, r in zip(angles, radii, strict=False)]
    area, edges = outlined(points)
    assume(area.is_valid and area.buffer(-60).geom_type == "Polygon" and area.buffer(-60).area > 0)
    assume(area.buffer(-60).buffer(90).covers(area))
    _, bars = bars_of(area, edges)
    assume(all(bar.shortest() > 0 for bar in bars))
    found = shapes(bars)
    whole = union_all(found)
    assert sum(s.area for s in found) == pytest.approx(whole.area, rel=1e-6)
    assert len(whole.buffer(0.01).interiors) == 1
    by_name = {bar.name: bar for bar in bars}
    for bar in bars:
        for cut in (bar.cut_p, bar.cut_q):
            if cut.kind == "corner":
                other = by_name[cut.meets]
                assert any(
                    np.allclose(cut.normal, -c.normal) and cut.offset == pytest.approx(-c.offset, abs=1e-6)
                    for c in (other.cut_p, other.cut_q)
                )
