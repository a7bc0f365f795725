"""Lengths of welds against the kernel's edges of the same ends, and closed forms of square tubes."""

from __future__ import annotations

import math

import cadquery
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutlists.welds import POSITIONS, WeldRates, WeldSum, seam_lengths, weld_csv, welds_of
from model.geometry import Plane
from model.member import Member
from model.member_solid import member_solid
from parts.catalogue import starter
from tests.model.boats import DECK, build, demo

TUBE = starter().section("rect-25x50x3")
DECKS = {"main": {**DECK, "port": 300, "starboard": -300}}


def straight(angle=0.0, along=(1.0, 0.0, 0.0)):
    """A tube 500 mm long, its end B mitred about the upright by `angle`."""
    way = np.array(along)
    end = Plane.through(500 * way, (math.cos(angle), math.sin(angle), 0.0) if along[0] else way)
    return Member.along("m", TUBE, np.zeros(3), 500 * way, up=(0, 0, 1) if along[0] else (1, 0, 0), end_b=end)


def test_a_square_end_has_the_outline_of_its_tube():
    lengths = seam_lengths(straight(), "A")
    assert lengths.sum() == pytest.approx(TUBE.outer.perimeter, rel=1e-3)
    flat, horizontal, vertical, overhead = lengths
    assert flat == pytest.approx(overhead)
    assert vertical > horizontal
    assert vertical == pytest.approx(2 * 50, rel=0.1)


def test_the_end_of_a_post_is_horizontal_all_round():
    lengths = seam_lengths(straight(along=(0.0, 0.0, 1.0)), "B")
    assert lengths[POSITIONS.index("horizontal")] == pytest.approx(lengths.sum())


@settings(max_examples=15, deadline=None)
@given(st.floats(-1.1, 1.1))
def test_seams_against_the_edges_that_the_kernel_finds(angle):
    member = straight(angle)
    faces = [f for f in cadquery.Solid(member_solid(member)).Faces() if _is_end(f, angle)]
    far = max(faces, key=lambda face: face.Center().x)
    outer = far.outerWire().Length()
    assert seam_lengths(member, "B").sum() == pytest.approx(outer, rel=2e-3)


def _is_end(face, angle):
    normal = face.normalAt()
    return abs(normal.x * math.cos(angle) + normal.y * math.sin(angle)) > 0.9999


def test_every_corner_is_welded_once_and_every_tee_at_each_end():
    boat = build(decks=DECKS)
    welds = welds_of(boat)
    kinds = {kind: sum(w.kind == kind for w in welds) for kind in ("corner", "tee", "post")}
    ends = {kind: sum(j.kind == kind for j in boat.joints) for kind in kinds}
    assert kinds["corner"] * 2 == ends["corner"]
    assert kinds["tee"] == ends["tee"]
    assert kinds["post"] == ends["post"]
    assert not any(w.kind == "hull" for w in welds)


@pytest.mark.parametrize("name", ["lake16", "flat14", "vee18"])
def test_every_welded_end_of_a_demo_boat_is_told(name):
    boat = demo(name)
    welds = welds_of(boat)
    told = {w.member for w in welds} | {w.other for w in welds}
    assert {m.name for m in boat.members} <= told
    assert all(weld.length > 40 for weld in welds)


@pytest.mark.parametrize(("side", "place"), [("face", "flat"), ("back", "overhead")])
def test_a_hat_is_welded_along_both_feet(side, place):
    on = {"on": "deck.main/sheet.1", "side": side, "along": [[700, 0, 300], [900, 0, 300]]}
    boat = build(decks=DECKS, hats={"rib": {"height": 30, "width": 40, "foot": 20, **on}})
    (weld,) = (w for w in welds_of(boat) if w.kind == "hat")
    assert (weld.member, weld.other) == ("deck.main/hat.rib", "deck.main/sheet.1")
    assert weld.lengths[POSITIONS.index(place)] == pytest.approx(2 * 200)
    assert weld.length == pytest.approx(2 * 200)
    assert weld.leg == pytest.approx(2.0)


def test_filler_gas_and_time_follow_the_rates():
    """Ten metres of 3 mm fillet: 9/2 mm2 x 10 m x 2660 kg/m3 is 119.7 g; at 250 mm a minute 40 minutes."""
    weld = welds_of(build(decks=DECKS))[0]
    long = type(weld)("tee", "a", "b", np.array([10_000.0, 0, 0, 0]), 3.0)
    told = WeldSum.of([long], WeldRates(travel=250.0, share=0.5, gas=10.0, loss=0.0))
    assert told.filler == pytest.approx(0.1197)
    assert (told.arc, told.work, told.gas) == pytest.approx((40.0, 80.0, 400.0))


def test_the_list_holds_every_weld():
    boat = build(decks=DECKS)
    welds = welds_of(boat)
    rows = weld_csv(welds, "mm").splitlines()
    assert len(rows) == len(welds) + 1
