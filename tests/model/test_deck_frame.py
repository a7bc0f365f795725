"""The frame of a deck: what its rules give by hand, and what must hold of any (shapely is the judge)."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiPoint, Polygon, union_all

from model.boat import Boat
from parts.faults import BadInput
from tests.model.boats import (
    BEAM_SPAN,
    DECK,
    FIT,
    HALF,
    SHEET,
    TUBE_HEIGHT,
    TUBE_WIDTH,
    build,
    deck_members,
    footprint,
    named,
)
from tests.model.random_decks import random_boat

TOP = 300 - SHEET


def frame(**deck) -> Boat:
    return build(decks={"main": {**DECK, **deck}})


def names(boat: Boat) -> list[str]:
    return [m.name.removeprefix("deck.main/") for m in deck_members(boat, "deck.main")]


HATCH = {"aft": 1000, "forward": 1400, "starboard": -200, "port": 200}


# --- by hand


def test_a_plain_deck_is_a_ring_and_beams():
    """2600 mm between edges: axes 2575 mm apart, so seven bays of at most 400 mm and six beams."""
    boat = frame()
    assert names(boat) == [
        "rim.aft.1",
        "ledger.starboard.1",
        "rim.forward.1",
        "ledger.port.1",
        *(f"beam.{i}" for i in range(1, 7)),
    ]
    bay = (2600 - TUBE_WIDTH) / 7
    assert bay <= BEAM_SPAN
    stations = [named(boat, f"deck.main/beam.{i}").a[0] for i in range(1, 7)]
    np.testing.assert_allclose(np.diff([200 + TUBE_WIDTH / 2, *stations, 2800 - TUBE_WIDTH / 2]), bay)
    beam = named(boat, "deck.main/beam.1")
    assert beam.length == pytest.approx(2 * (HALF - FIT - TUBE_WIDTH))
    np.testing.assert_allclose(beam.box[:, 2], (TOP - TUBE_HEIGHT, TOP), atol=1e-9)
    rim = named(boat, "deck.main/rim.aft.1")
    assert rim.length == pytest.approx(2 * (HALF - FIT))
    assert rim.short_lengths[0] == pytest.approx(2 * (HALF - FIT) - TUBE_WIDTH)


def test_a_hatch_is_framed_by_two_headers_and_two_carlings():
    boat = frame(openings={"hatch": HATCH})
    u0, v0, u1, v1 = 1000, -200, 1400, 200
    bounds = {
        side: footprint(boat, "deck.main", named(boat, f"deck.main/hatch/{side}")).bounds
        for side in ("header.aft", "header.forward", "carling.starboard", "carling.port")
    }
    w = TUBE_WIDTH
    inner = HALF - FIT - w
    np.testing.assert_allclose(bounds["header.aft"], (u0 - w, -inner, u0, inner), atol=1e-6)
    np.testing.assert_allclose(bounds["header.forward"], (u1, -inner, u1 + w, inner), atol=1e-6)
    np.testing.assert_allclose(bounds["carling.port"], (u0, v1, u1, v1 + w), atol=1e-6)
    np.testing.assert_allclose(bounds["carling.starboard"], (u0, v0 - w, u1, v0), atol=1e-6)


def test_fore_and_aft_beams():
    boat = frame(frame={"direction": "fore_aft", "beam_span": 300}, openings={"hatch": HATCH})
    assert "hatch/carling.port" in names(boat)
    beam = named(boat, "deck.main/beam.1")
    assert abs(beam.axis[0]) == pytest.approx(1)
    inner = 2600 - 2 * TUBE_WIDTH
    assert named(boat, "deck.main/hatch/carling.port").length == pytest.approx(inner)
    assert named(boat, "deck.main/hatch/header.aft").length == pytest.approx(400)


def test_an_opening_against_the_rim_needs_no_header_there():
    """Its aft edge 12 mm off the inner side of the rim: the rim frames it."""
    boat = frame(openings={"hatch": {**HATCH, "aft": 200 + TUBE_WIDTH + 12}})
    assert "hatch/header.aft" not in names(boat)
    assert "hatch/header.forward" in names(boat)
    assert not boat.findings


def test_an_opening_over_the_rim_is_told():
    boat = frame(openings={"hatch": {**HATCH, "aft": 210}})
    (finding,) = [f for f in boat.findings if "reaches over" in f.what]
    assert finding.pieces == ("deck.main/hatch",)
    assert finding.place.key == "decks.main.openings.hatch"


def test_neighbours_in_one_line_share_a_header():
    boat = frame(
        openings={
            "a": {**HATCH, "starboard": -400, "port": -100},
            "b": {**HATCH, "starboard": 100, "port": 400},
        }
    )
    assert "a/header.aft" in names(boat)
    assert "b/header.aft" not in names(boat)


def test_a_turned_opening_has_a_ring_of_its_own():
    boat = frame(openings={"hatch": {"centre": [1500, 0], "length": 300, "width": 300, "rotate": 45}})
    ring = [m for m in deck_members(boat, "deck.main") if "/hatch/frame." in m.name]
    assert len(ring) == 4
    for member in ring:
        assert member.length == pytest.approx(300 + 2 * TUBE_WIDTH)
    joints = [j for j in boat.joints if "/hatch/frame." in j.member and j.kind == "corner"]
    assert len(joints) == 8


def test_a_sharp_corner_is_teed_instead_of_mitred():
    boat = frame(forward=[[2800, -600], [1000, 600]])
    kinds = {j.kind for j in boat.joints if "/rim.forward" in j.member or "/ledger.starboard" in j.member}
    assert "tee" in kinds


def test_seams_asked_for_lie_on_beams():
    boat = frame(seams=[900, 1900])
    stations = sorted(m.a[0] for m in deck_members(boat, "deck.main") if "/beam." in m.name)
    for seam in (900, 1900):
        assert any(abs(s - seam) < 1e-6 for s in stations)
    assert max(np.diff(stations)) <= BEAM_SPAN + 1e-6


def test_seams_on_a_sloping_deck_are_stations():
    boat = frame(height=150, slope=6, seams=[900])
    stations = [m.a[0] for m in deck_members(boat, "deck.main") if "/beam." in m.name]
    # the beam's middle lies half its depth below the sheet, so a little forward of the seam on the slope
    lean = (SHEET + TUBE_HEIGHT / 2) * np.sin(np.radians(6))
    assert any(abs(s - lean - 900) < 1e-6 for s in stations)


def test_an_added_member_is_trimmed_to_what_it_meets():
    boat = frame(frame={"add": {"tie": {"start": [205, 300], "end": [700, 300]}}})
    tie = named(boat, "deck.main/tie")
    ends = sorted(p[0] for p in (tie.a, tie.b))
    assert ends[0] >= 200
    joints = {j.other for j in boat.joints if j.member == "deck.main/tie"}
    assert "deck.main/rim.aft.1" in joints
    low = footprint(boat, "deck.main", tie).bounds[0]
    assert low == pytest.approx(200 + TUBE_WIDTH)


# --- the file's changes


@pytest.mark.parametrize(
    "what",
    ["beam.3", "rim.aft.1", "ledger.port.1", "hatch/carling.port", "hatch/header.aft", "beam.1/post.1"],
)
def test_leave_out_takes_that_member_and_renames_no_other(what):
    whole = frame(openings={"hatch": HATCH})
    less = frame(openings={"hatch": HATCH}, frame={"leave_out": [what]})
    before = {m.name for m in whole.members}
    after = {m.name for m in less.members}
    gone = before - after
    assert f"deck.main/{what}" in gone
    assert all(name == f"deck.main/{what}" or name.startswith(f"deck.main/{what}/") for name in gone)
    assert after <= before
    for member in less.members:
        twin = named(whole, member.name)
        np.testing.assert_allclose(member.a, twin.a)
        np.testing.assert_allclose(member.b, twin.b)
        assert member.length == pytest.approx(twin.length)


def test_what_loses_its_partner_is_told():
    less = frame(frame={"leave_out": ["ledger.port.1"]})
    assert any("left out" in f.what for f in less.findings)
    told = {f.pieces[0] for f in less.findings if "left out" in f.what}
    assert {"deck.main/rim.aft.1", "deck.main/rim.forward.1", "deck.main/beam.1"} <= told


def test_move_takes_the_beam_along_and_leaves_the_others():
    whole, moved = frame(), frame(frame={"move": {"beam.3": 37}})
    for member in deck_members(whole, "deck.main"):
        other = named(moved, member.name)
        shift = (37, 0, 0) if member.name.endswith("beam.3") else (0, 0, 0)
        np.testing.assert_allclose(other.a, member.a + shift, atol=1e-9)


def test_a_moved_beam_wider_than_the_span_is_told():
    boat = frame(frame={"move": {"beam.3": 120}})
    assert any("the sheet spans" in f.what for f in boat.findings)


@pytest.mark.parametrize("name", ["beam.3", "rim.aft.1", "hatch/header.aft", "hatch/carling.port"])
def test_turn_lays_a_member_flat_and_keeps_its_outer_face(name):
    openings = {"hatch": HATCH}
    whole, turned = frame(openings=openings), frame(openings=openings, frame={"turn": {name: 90}})
    assert [m.name for m in whole.members] == [m.name for m in turned.members]
    before, after = (footprint(b, "deck.main", named(b, f"deck.main/{name}")) for b in (whole, turned))
    w0, w1 = (min(np.ptp(np.array(f.bounds).reshape(2, 2), axis=0)) for f in (before, after))
    assert (w0, w1) == pytest.approx((TUBE_WIDTH, TUBE_HEIGHT))
    member = named(turned, f"deck.main/{name}")
    np.testing.assert_allclose(member.box[:, 2], (TOP - TUBE_WIDTH, TOP), atol=1e-9)
    if name == "hatch/header.aft":
        assert after.bounds[2] == pytest.approx(1000)
    if name == "hatch/carling.port":
        assert after.bounds[1] == pytest.approx(200)
    if name == "rim.aft.1":
        assert after.bounds[0] == pytest.approx(200)
    assert not overlapping(turned)


def test_on_both_sides_names_are_taken_as_they_stand():
    deck = {**DECK, "starboard": 150, "both_sides": True, "frame": {"leave_out": ["ledger.port.1"]}}
    boat = build(decks={"main": deck})
    found = {m.name for m in boat.members}
    assert "deck.main.port/ledger.port.1" not in found
    assert "deck.main.starboard/ledger.starboard.1" in found


def test_fore_and_aft_beams_of_both_sides_are_numbered_from_the_same_hand():
    deck = {
        **DECK,
        "starboard": 150,
        "both_sides": True,
        "frame": {"direction": "fore_aft", "beam_span": 150, "move": {"beam.1": 10}},
    }
    boat = build(decks={"main": deck})
    port, starboard = (named(boat, f"deck.main.{side}/beam.1").a[1] for side in ("port", "starboard"))
    assert port == pytest.approx(-starboard)


# --- of any frame


def overlapping(boat: Boat) -> list[tuple[str, str]]:
    """Pairs of bars of the deck that share more than 1 mm2, unless a finding tells of one of them."""
    shapes = {m.name: footprint(boat, "deck.main", m) for m in deck_members(boat, "deck.main")}
    told = {piece for f in boat.findings for piece in f.pieces}
    return [
        (a, b)
        for (a, p), (b, q) in itertools.combinations(shapes.items(), 2)
        if not {a, b} & told and p.intersection(q).area > 1.0
    ]


def any_boat(seed: int) -> Boat:
    """A boat with one deck at random; openings that overlap or reach off it are drawn anew."""
    rng = np.random.default_rng(seed)
    while True:
        try:
            return build(**random_boat(rng))
        except BadInput:
            continue


def check_places(boat: Boat, shapes: dict[str, Polygon]) -> None:
    """Members share no place and keep within the deck; no two have one name."""
    assert not overlapping(boat)
    room = boat.layout.decks["deck.main"].frame_area.buffer(0.1)
    for name, shape in shapes.items():
        assert room.covers(shape), name
    assert len({m.name for m in boat.members}) == len(boat.members)


def check_ring(boat: Boat, shapes: dict[str, Polygon]) -> None:
    """The ring is closed, and members that meet in a corner share its plane."""
    by_name = {m.name: m for m in boat.members}
    for joint in boat.joints:
        if joint.kind == "corner" and joint.other in by_name:
            own, other = by_name[joint.member], by_name[joint.other]
            plane = own.end_a if joint.end == "A" else own.end_b
            assert any(
                np.allclose(plane.normal, -end.normal, atol=1e-9) and abs(plane.offset + end.offset) < 1e-6
                for end in (other.end_a, other.end_b)
            ), joint
    ring = [s for n, s in shapes.items() if n.split("/")[1].partition(".")[0] in ("rim", "ledger")]
    whole = union_all(ring).buffer(0.05, join_style="mitre")
    assert whole.geom_type == "Polygon"
    assert len(whole.interiors) >= 1  # it goes all the way round


def check_openings(boat: Boat, shapes: dict[str, Polygon]) -> None:
    """Framed all round, within two widths (a header may step off a corner of the ring), and kept clear."""
    deck = boat.layout.decks["deck.main"]
    whole = union_all(list(shapes.values()))
    near = whole.buffer(2 * deck.rules.section.width + 1)
    told = " ".join(str(f) for f in boat.findings)
    for opening in deck.openings:
        if opening.name not in told:
            edge = opening.clear.buffer(1, join_style="mitre").exterior
            assert edge.difference(near).length < 1.0, opening.name
            assert whole.intersection(opening.clear).area < 1.0, opening.name


def check_ends(boat: Boat, shapes: dict[str, Polygon]) -> None:
    """Every end touches what it is said to meet, and lies on members whole, not only with its middle."""
    told = {piece for f in boat.findings for piece in f.pieces}
    frame = boat.layout.decks["deck.main"].frame
    for joint in boat.joints:
        if joint.kind not in ("corner", "tee") or joint.member in told:
            continue
        assert joint.gap < 0.5, joint
        near = shapes[joint.member].buffer(1.0)
        beside = union_all([s for n, s in shapes.items() if n != joint.member and s.intersects(near)])
        end = named(boat, joint.member).corners[0 if joint.end == "A" else 1]
        corners = MultiPoint(frame.to_frame(end)[:, :2])
        assert beside.buffer(3.5).covers(corners), joint


def check_spans(boat: Boat, shapes: dict[str, Polygon]) -> None:
    """At points all over the deck the nearest member, opening or edge is half a span away at most."""
    if any("the sheet spans" in f.what or "opening" in f.what for f in boat.findings):
        return
    deck = boat.layout.decks["deck.main"]
    carried = union_all([*shapes.values(), *(o.clear for o in deck.openings), deck.area.exterior])
    u0, v0, u1, v1 = deck.area.bounds
    u, v = (a.ravel() for a in np.meshgrid(np.linspace(u0, u1, 40), np.linspace(v0, v1, 25)))
    inside = shapely.contains_xy(deck.area, u, v)
    away = shapely.distance(shapely.points(u[inside], v[inside]), carried)
    assert away.max() <= (deck.rules.beam_span - deck.rules.section.width + 10.0) / 2 + 1e-6


@settings(max_examples=60, deadline=None, derandomize=True, database=None)
@given(seed=st.integers(0, 2**32 - 1))
def test_what_holds_of_any_frame(seed):
    boat = any_boat(seed)
    shapes = {m.name: footprint(boat, "deck.main", m) for m in deck_members(boat, "deck.main")}
    for check in (check_places, check_ring, check_openings, check_ends, check_spans):
        check(boat, shapes)
