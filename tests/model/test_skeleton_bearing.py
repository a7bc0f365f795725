"""What bears what: headers off the corners of the ring, odd openings tied, posts on something firm."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
import shapely

from tests.model.boats import (
    DECK,
    FIT,
    SHEET,
    TUBE_HEIGHT,
    TUBE_WIDTH,
    build,
    deck_members,
    demo,
    footprint,
    hull,
    named,
)

SOLE_POST = re.compile(r"deck\.sole/.*/post\.")
SOLE = {"height": 100, "aft": 200, "forward": 2800}


def names(boat, deck="deck.main"):
    return [m.name.removeprefix(f"{deck}/") for m in deck_members(boat, deck)]


def feet(boat, deck="deck.main"):
    return {m.name.removeprefix(f"{deck}/"): footprint(boat, deck, m) for m in deck_members(boat, deck)}


def joints_closed(boat):
    return all(j.gap < 0.5 for j in boat.joints if j.kind in ("corner", "tee", "post"))


# --- headers


def test_openings_almost_in_line_share_their_headers():
    """Aft sides at 1000 and 1012: one header stands at the one further aft, side to side."""
    hatches = {
        "one": {"aft": 1000, "forward": 1400, "port": -100, "starboard": -400},
        "two": {"aft": 1012, "forward": 1400, "port": 400, "starboard": 100},
    }
    boat = build(decks={"main": {**DECK, "openings": hatches}})
    assert [n for n in names(boat) if "header.aft" in n] == ["one/header.aft"]
    low, high = feet(boat)["one/header.aft"].bounds[0::2]
    assert (low, high) == pytest.approx((1000 - TUBE_WIDTH, 1000))


@pytest.mark.parametrize("between", [TUBE_WIDTH, 40.0, 2 * TUBE_WIDTH + 10])
def test_facing_openings_without_room_for_two_headers_share_one(between):
    hatches = {
        "aft": {"aft": 900, "forward": 1200, "port": 200, "starboard": -200},
        "fore": {"aft": 1200 + between, "forward": 1600, "port": 200, "starboard": -200},
    }
    boat = build(decks={"main": {**DECK, "openings": hatches}})
    assert boat.findings == ()
    headers = {n: f for n, f in feet(boat).items() if "header" in n}
    assert len(headers) == 3
    shared = headers["aft/header.forward"].bounds
    assert (shared[0] + shared[2]) / 2 == pytest.approx(1200 + between / 2)


def test_facing_openings_with_room_have_a_header_each():
    hatches = {
        "aft": {"aft": 900, "forward": 1200, "port": 200, "starboard": -200},
        "fore": {"aft": 1300, "forward": 1600, "port": 200, "starboard": -200},
    }
    boat = build(decks={"main": {**DECK, "openings": hatches}})
    assert sum("header" in n for n in names(boat)) == 4


@pytest.mark.parametrize("turn_at", range(1440, 1560, 13))
@pytest.mark.parametrize(("edge", "angle", "end"), [(-200, 225, -600), (-400, 135, -100)])
def test_a_header_never_ends_across_a_corner_of_the_ring(turn_at, edge, angle, end):
    """A face turns out, or in, at 45 degrees somewhere about the hatch's after header, at 1475 to 1500."""
    face = [[2800, edge], [turn_at, edge], {"angle": angle, "to_y": end}]
    hatch = {"aft": 1500, "forward": 1900, "starboard": -140, "port": 200}
    boat = build(decks={"main": {**DECK, "starboard": face, "openings": {"hatch": hatch}}})
    assert boat.findings == ()
    assert joints_closed(boat)
    clear = shapely.box(1500, -140, 1900, 200)
    assert all(foot.intersection(clear).area < 1e-6 for foot in feet(boat).values())
    header = named(boat, "deck.main/hatch/header.aft")
    assert 1500 - 2.3 * TUBE_WIDTH <= footprint(boat, "deck.main", header).bounds[2] <= 1500
    assert lands_whole(boat, header)


def lands_whole(boat, member):
    """Whether each corner of a member's footprint touches the ring round its deck."""
    corners = shapely.points(footprint(boat, "deck.main", member).exterior.coords[:-1])
    ring = [f for n, f in feet(boat).items() if n.startswith(("ledger", "rim"))]
    return max(min(c.distance(r) for r in ring) for c in corners) < 0.01


def narrowing(ends=(600, 590, 560, 500, 400, 280)):
    stations = np.linspace(0, 3000, len(ends))
    return hull(
        loft="fair",
        stations=[
            {"at": float(x), "keel": [0, 0], "chine": [w, 0], "gunwale": [w, 500]}
            for x, w in zip(stations, ends, strict=True)
        ],
    )


def test_both_sides_of_a_symmetrical_boat_turn_at_the_same_stations():
    boat = build(hull=narrowing(), decks={"main": DECK})
    sides = [
        sorted(float(f.bounds[0]) for n, f in feet(boat).items() if n.startswith(f"ledger.{side}"))
        for side in ("port", "starboard")
    ]
    assert len(sides[0]) > 2
    np.testing.assert_allclose(*sides, atol=1e-6)


@pytest.mark.parametrize("aft", [*range(1145, 1205, 12), *range(1850, 1905, 11)])
def test_ledgers_turn_clear_of_headers(aft):
    """Left to themselves the ledgers of this hull turn near 1160 and 1870."""
    hatch = {"aft": aft, "length": 200, "starboard": -150, "port": 150}
    boat = build(hull=narrowing(), decks={"main": {**DECK, "openings": {"hatch": hatch}}})
    assert boat.findings == ()
    assert joints_closed(boat)
    members = [m for m in deck_members(boat, "deck.main") if "header" in m.name]
    ledgers = {j.member: j for j in boat.joints if j.kind == "tee" and "header" in j.member}
    assert len(ledgers) == len(members) == 2
    assert all(lands_whole(boat, member) for member in members)


def test_the_ledger_on_the_transom_is_named_aft():
    deck = {**DECK, "aft": "hull", "forward": "hull"}
    assert {n for n in names(build(decks={"main": deck})) if "ledger" in n} == {
        "ledger.aft.1",
        "ledger.forward.1",
        "ledger.port.1",
        "ledger.starboard.1",
    }


# --- odd openings


@pytest.mark.parametrize("direction", ["athwart", "fore_aft"])
def test_the_ring_round_an_odd_opening_is_held_on_both_sides(direction):
    """A trapezoid that no beam happens to meet squarely is tied along the beams on both hands."""
    shape = [[1300, 100], [1500, 140], [1500, 340], [1300, 380]]
    if direction == "athwart":
        shape = [[1300, 100], [1500, 100], [1460, 300], [1340, 300]]
    hatch = {"outline": shape}
    frame = {"direction": direction, "beam_span": 500}
    boat = build(decks={"main": {**DECK, "frame": frame, "openings": {"hatch": hatch}}})
    assert boat.findings == ()
    assert joints_closed(boat)
    ring = {m.name for m in boat.members if m.name.startswith("deck.main/hatch/frame.")}
    met = {}
    for joint in boat.joints:
        if joint.other in ring and joint.member not in ring:
            met.setdefault(joint.other, []).append(joint.member)
    axis = 1 if direction == "athwart" else 0
    middle = {
        name: float(footprint(boat, "deck.main", named(boat, name)).centroid.coords[0][axis]) for name in met
    }
    hole = float(shapely.Polygon(shape).centroid.coords[0][axis])
    assert min(middle.values()) < hole < max(middle.values())


# --- posts


def test_posts_stand_over_members_of_the_deck_below_when_spacing_allows():
    """A step over a sole with beams 186 mm apart: the post in the middle of its rim finds one."""
    step = {"height": 300, "aft": 500, "forward": 2500, "port": 200, "starboard": -200}
    sole = {**SOLE, "frame": {"beam_span": 200}}
    boat = build(decks={"sole": sole, "main": {**step, "frame": {"post_span": 1100}}})
    below = shapely.union_all([footprint(boat, "deck.sole", m) for m in deck_members(boat, "deck.sole")])
    rims = [m for m in boat.members if "/post." in m.name and "rim.port" in m.name]
    inner = [m for m in rims if 600 < m.a[0] < 2400]
    assert inner
    for post in inner:
        assert below.contains(shapely.Point(post.a[:2])), post.name
    stations = sorted([500.0, 2500.0, *(float(p.a[0]) for p in rims)])
    assert np.diff(stations).max() <= 1100 + TUBE_WIDTH
    assert len(inner) == 1


def test_no_post_stands_on_a_lid_of_the_deck_below():
    """The hatch reaches to y = 180, its lid 40 mm further; the step's rim stands over the lid's flange."""
    hatch = {"aft": 1000, "forward": 2000, "port": 180, "starboard": -180, "lid": {"flange": 40}}
    step = {"height": 300, "aft": 500, "forward": 2500, "port": 212, "starboard": -400}
    rules = {"post_span": 1200}
    boat = build(decks={"sole": {**SOLE, "openings": {"hatch": hatch}}, "main": {**step, "frame": rules}})
    lid = shapely.box(960, -220, 2040, 220)
    for member in boat.members:
        if "/post." in member.name and member.name.startswith("deck.main"):
            foot = shapely.MultiPoint(member.corners.reshape(-1, 3)[:, :2]).convex_hull
            assert not foot.intersects(lid), member.name


def test_a_ramp_does_not_take_the_posts_of_the_sole_it_stands_on():
    """The ramp's plane, run on aft, dips below the sole; the sole's posts are there all the same."""
    ramp = {"height": 160, "slope": 20, "aft": 2200, "forward": 2700, "port": 300, "starboard": -300}
    alone = build(decks={"sole": SOLE})
    with_ramp = build(decks={"sole": SOLE, "ramp": ramp})
    posts, same = ([m.name for m in b.members if SOLE_POST.match(m.name)] for b in (alone, with_ramp))
    assert posts
    assert same == posts


@pytest.mark.parametrize(("clear", "told"), [(2.0, False), (15.0, True), (30.0, False)])
def test_a_frame_too_near_the_bottom_for_posts_is_told(clear, told):
    """A frame 2 mm up rests on the bottom; 15 mm is too little for a post; 30 mm takes one."""
    height = SHEET + TUBE_HEIGHT + FIT + clear
    boat = build(decks={"main": {**DECK, "height": height, "starboard": -500, "port": 500}})
    what = [f for f in boat.findings if f.kind == "posts"]
    assert bool(what) is told
    if told:
        assert "too near" in what[0].what
        assert "raise the deck" in what[0].cure
    assert any("/post." in m.name for m in boat.members) is (clear >= 30)


def test_no_post_is_cut_to_a_knife_edge():
    """Sides that stand at 70 degrees: the posts that the span asks for keep to the flat bottom."""
    steep = hull(bottom=200.0, flare=1 / math.tan(math.radians(70)))
    deck = {**DECK, "height": 260, "aft": 1400, "frame": {"post_span": 200}}
    boat = build(hull=steep, decks={"main": deck})
    posts = [m for m in boat.members if "/post." in m.name]
    assert posts
    assert max(abs(float(p.a[1])) for p in posts) < 200


HATCH = {"aft": 900, "forward": 2500, "port": 150, "starboard": -150}


def stations_of_posts(boat, bar):
    return sorted(float(m.a[0]) for m in boat.members if m.name.startswith(f"deck.main/{bar}/post."))


@pytest.mark.parametrize("bar", ["hatch/carling.port", "hatch/carling.starboard"])
def test_a_long_carling_has_posts_at_the_span(bar):
    """The carlings run 1600 mm beside the hatch; posts may be 700 mm apart."""
    boat = build(decks={"main": {**DECK, "openings": {"hatch": HATCH}}})
    at = stations_of_posts(boat, bar)
    assert len(at) == 2
    assert np.diff([900.0, *at, 2500.0]).max() <= 700


def test_the_posts_of_one_bar_are_left_out_by_its_name():
    rules = {"leave_out": ["hatch/carling.port/posts"]}
    boat = build(decks={"main": {**DECK, "openings": {"hatch": HATCH}, "frame": rules}})
    assert stations_of_posts(boat, "hatch/carling.port") == []
    assert len(stations_of_posts(boat, "hatch/carling.starboard")) == 2


@pytest.mark.parametrize("turn_at", range(1300, 1900, 40))
def test_beams_moved_off_a_corner_still_keep_to_the_span(turn_at):
    """A side that turns inward there: the beams move off the turn, and one more is laid if they must."""
    side = [[2800, -400], [turn_at, -400], {"angle": 135, "to_y": -100}]
    boat = build(decks={"main": {**DECK, "starboard": side}})
    assert boat.findings == ()
    ends = [m for m in deck_members(boat, "deck.main") if m.name.split("/")[1].startswith("rim.")]
    low = min(float(footprint(boat, "deck.main", m).bounds[0]) for m in ends) + TUBE_WIDTH / 2
    beams = {
        round(float(footprint(boat, "deck.main", m).centroid.x), 1)
        for m in deck_members(boat, "deck.main")
        if "/beam." in m.name and "post" not in m.name
    }
    assert np.diff([low, *sorted(beams), 2800 - TUBE_WIDTH / 2]).max() <= 400 + 0.2


# --- skin


def test_a_frame_just_above_a_chine_clears_the_bottom_as_well():
    """Where the frame's lower face crosses the V boat's chine the skin below it is the nearer one."""
    boat = demo("vee18")
    area = boat.layout.decks["deck.sole"].frame_area
    deck = boat.layout.decks["deck.sole"]
    depth = deck.sheet.thickness + deck.rules.section.height
    ring = np.array(area.exterior.coords)
    points = deck.frame.moved(dz=-depth).to_boat(ring)
    assert boat.hull.gap(points).min() >= boat.layout.fit_gap - 0.02
