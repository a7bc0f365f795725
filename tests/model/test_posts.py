"""Posts: where they stand, on what, how far apart, and what is told where they cannot."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiPoint

from model.boat import Boat
from parts.faults import BadInput
from tests.model.boats import (
    DECK,
    FIT,
    SHEET,
    TUBE_HEIGHT,
    build,
    deck_members,
    hull,
    named,
)
from tests.model.random_decks import random_boat

UNDER = 300 - SHEET - TUBE_HEIGHT


def posts(boat: Boat, deck: str = "deck.main"):
    return [m for m in boat.members if m.name.startswith(f"{deck}/") and "/post." in m.name]


def foot(boat: Boat, name: str):
    return next(j for j in boat.joints if j.member == name and j.end == "A")


def stations(boat: Boat, bar: str) -> list[float]:
    """Y of the posts under an athwart bar."""
    return sorted(float(m.b[1]) for m in posts(boat) if m.name.startswith(f"{bar}/post."))


def test_a_post_reaches_from_the_skin_to_under_its_beam():
    boat = build(decks={"main": DECK})
    post = named(boat, "deck.main/beam.2/post.1")
    assert post.length == pytest.approx(UNDER - FIT, abs=0.01)
    np.testing.assert_allclose(post.box[:, 2], (FIT, UNDER), atol=0.01)
    np.testing.assert_allclose(post.box[:, 0].mean(), named(boat, "deck.main/beam.2").a[0])
    joint = foot(boat, post.name)
    assert (joint.kind, joint.other) == ("hull", "hull")
    assert joint.gap == pytest.approx(FIT, abs=0.01)
    head = next(j for j in boat.joints if j.member == post.name and j.end == "B")
    assert (head.kind, head.other) == ("post", "deck.main/beam.2")


def test_beams_of_1144_mm_at_700_mm_take_one_post_near_the_middle():
    boat = build(decks={"main": DECK})
    (at,) = stations(boat, "deck.main/beam.1")
    assert abs(at) <= 5
    wide = build(decks={"main": {**DECK, "frame": {"post_span": 400}}})
    assert len(stations(wide, "deck.main/beam.1")) == 2
    none = build(decks={"main": {**DECK, "frame": {"post_span": 1200}}})
    assert stations(none, "deck.main/beam.1") == []
    assert posts(build(decks={"main": {**DECK, "frame": {"posts": False}}})) == []


def test_on_a_lower_deck_a_post_stands_on_its_sheet():
    boat = build(decks={"sole": {"height": 100, "aft": 300, "forward": 2700}, "main": DECK})
    post = named(boat, "deck.main/beam.2/post.1")
    assert foot(boat, post.name).other == "deck.sole/sheet"
    np.testing.assert_allclose(post.box[:, 2], (100, UNDER), atol=1e-6)


def test_posts_stand_on_ribs_and_stringers():
    """A stringer 40 high on the centreline; ribs 30 high that the beams lie over."""
    bars = {"stringers": [{"off_centre": 0, "from": 50, "to": 2950, "height": 40, "width": 40}]}
    boat = build(hull=hull(**bars), decks={"main": DECK})
    post = named(boat, "deck.main/beam.2/post.1")
    assert foot(boat, post.name).kind == "stringer"
    assert post.box[0, 2] == pytest.approx(40, abs=1e-6)
    beam = float(named(boat, "deck.main/beam.2").a[0])
    ribs = {"ribs": [{"at": beam, "height": 30, "width": 40}]}
    boat = build(hull=hull(**ribs), decks={"main": DECK})
    post = named(boat, "deck.main/beam.2/post.1")
    assert foot(boat, post.name).kind == "rib"
    assert post.box[0, 2] == pytest.approx(30, abs=1e-6)


def test_a_foot_on_a_sloping_skin_is_cut_to_it_and_clears_it_whole():
    """A bottom that rises 0.3 in 1: the foot leans with it, its nearest point at the fit gap."""
    lines = {"keel": [0, 0], "chine": [500, 150], "gunwale": [600, 500]}
    vee = hull(stations=[{"at": x, **lines} for x in (0, 1500, 3000)])
    boat = build(hull=vee, decks={"main": {**DECK, "height": 400, "frame": {"post_span": 350}}})
    off_centre = [m for m in posts(boat) if abs(m.b[1]) > 60 and foot(boat, m.name).kind == "hull"]
    assert off_centre
    for post in off_centre:
        joint = foot(boat, post.name)
        assert joint.gap == pytest.approx(FIT, abs=0.02)
        assert joint.widest - joint.gap < 0.1
        slope = abs(post.end_a.normal[1] / post.end_a.normal[2])
        assert slope == pytest.approx(0.3, abs=1e-6)


def test_corners_of_free_edges_have_a_post_each():
    boat = build(decks={"main": {**DECK, "port": 300, "starboard": -300}})
    for x, y in ((200, -300), (200, 300), (2800, -300), (2800, 300)):
        near = [m for m in posts(boat) if np.hypot(m.b[0] - x, m.b[1] - y) < 80]
        assert len(near) == 1, (x, y)


def test_no_post_stands_where_it_must_not():
    area = [[500, -100], [2500, -100], [2500, 100], [500, 100]]
    boat = build(decks={"main": {**DECK, "frame": {"no_posts": [area]}}})
    for bar in range(1, 7):
        for y in stations(boat, f"deck.main/beam.{bar}"):
            assert abs(y) > 100
    wide = [[500, -400], [2500, -400], [2500, 400], [500, 400]]
    boat = build(decks={"main": {**DECK, "frame": {"no_posts": [wide]}}})
    told = [f for f in boat.findings if f.kind == "posts"]
    assert told
    assert "without a post, over the 700 mm" in told[0].what
    assert told[0].place.key == "decks.main"


def test_lockers_and_consoles_and_fixtures_keep_posts_out():
    locker = {"under": "main", "aft": 1000, "forward": 1600, "port": 200, "starboard": -200, "floor": 80}
    boat = build(decks={"main": DECK}, lockers={"bin": locker})
    for post in posts(boat):
        x, y = post.b[:2]
        assert not (990 < x < 1610 and -210 < y < 210), post.name
    tank = {"part": "group-31", "on": "hull", "at": [1500, 0]}
    boat = build(decks={"main": DECK}, fixtures={"battery": tank})
    (plan,) = boat.layout.fixtures
    x0, y0, _, x1, y1, _ = plan.part.bounds
    for post in posts(boat):
        x, y = post.b[:2]
        assert not (1500 + x0 - 10 < x < 1500 + x1 + 10 and y0 - 10 < y < y1 + 10), post.name


def test_what_stands_on_a_deck_does_not_bar_the_posts_under_it():
    """A box on the sole is above the sole's own posts."""
    sole = {"height": 200, "aft": 200, "forward": 2800}
    box = {"on": "sole", "centre": [1500, 0], "length": 500, "width": 500, "height": 200}
    boat = build(decks={"sole": sole}, seat_boxes={"seat": box})
    plain = build(decks={"sole": sole})
    assert [m.name for m in posts(boat, "deck.sole")] == [m.name for m in posts(plain, "deck.sole")]
    for a, b in zip(posts(boat, "deck.sole"), posts(plain, "deck.sole"), strict=True):
        np.testing.assert_allclose(a.b, b.b)


def test_a_post_may_be_turned_by_name():
    tube = {"post_section": "rect-25x50x3"}
    plain = build(decks={"main": {**DECK, "frame": tube}})
    turned = build(decks={"main": {**DECK, "frame": {**tube, "turn": {"beam.2/post.1": 90}}}})
    a, b = (np.ptp(named(boat, "deck.main/beam.2/post.1").box, axis=0) for boat in (plain, turned))
    np.testing.assert_allclose(a[:2], b[1::-1], atol=1e-6)
    assert a[0] != pytest.approx(a[1])


@settings(max_examples=40, deadline=None, derandomize=True, database=None)
@given(seed=st.integers(0, 2**32 - 1))
def test_spans_between_posts_hold_or_are_told(seed):
    rng = np.random.default_rng(seed)
    while True:
        try:
            boat = build(**random_boat(rng))
            break
        except BadInput:
            continue
    span = boat.layout.decks["deck.main"].rules.post_span
    told = {piece for f in boat.findings for piece in f.pieces}
    shapes = [MultiPoint(m.corners.reshape(-1, 3)[:, :2]).convex_hull for m in posts(boat)]
    for i, shape in enumerate(shapes):
        assert all(shape.intersection(other).area < 1.0 for other in shapes[:i])
    for member in deck_members(boat, "deck.main"):
        role = member.name.rpartition("/")[2].partition(".")[0]
        if role not in ("rim", "header", "beam") or member.name in told:
            continue
        along = (member.corners.reshape(2, 4, 3) - member.a) @ member.axis
        tops = sorted(
            float((m.b - member.a) @ member.axis) for m in posts(boat) if m.name.startswith(f"{member.name}/")
        )
        assert max(np.diff([along[0].max(), *tops, along[1].min()])) <= span + 1.0, member.name
