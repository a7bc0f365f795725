"""Members placed in space by hand: square ends, ends cut to another member, ends on the skin."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.model.boats import DECK, FIT, FLARE, FLARED, HALF, SHEET, TUBE_HEIGHT, TUBE_WIDTH, build, named

MID = 300 - SHEET - TUBE_HEIGHT / 2
"""Height of the axes of the deck's frame."""


def placed(hull=None, deck=None, **members):
    sections = {"decks": {"main": deck or DECK}, "members": members}
    return build(**sections, **({"hull": hull} if hull else {}))


def joints(boat, name):
    return {j.end: j for j in boat.joints if j.member == name}


def test_a_free_member_is_square_at_both_ends():
    boat = placed(bar={"start": [500, 0, 100], "end": [500, 300, 100]})
    bar = named(boat, "member.bar")
    assert bar.length == pytest.approx(300)
    assert bar.short_lengths == pytest.approx((300, 300))
    np.testing.assert_allclose(bar.box[:, 2], (100 - TUBE_HEIGHT / 2, 100 + TUBE_HEIGHT / 2), atol=1e-9)
    assert {j.kind for j in joints(boat, "member.bar").values()} == {"free"}


def test_its_own_section_and_turn():
    boat = placed(bar={"start": [500, 0, 100], "end": [500, 300, 100], "section": "rect-50x25x3", "turn": 90})
    bar = named(boat, "member.bar")
    assert (bar.section.width, bar.section.height) == (50, 25)
    np.testing.assert_allclose(np.ptp(bar.box, axis=0), (25, 300, 50), atol=1e-9)


def test_an_end_is_cut_to_the_face_of_the_member_it_meets():
    """From the middle of a bay to a beam: it ends on the beam's side, wherever its end was put."""
    beam = named(placed(), "deck.main/beam.2")
    at = float(beam.a[0])
    for end in (at - 60, at, at - 5):
        boat = placed(
            bar={"start": [at - 200, 50, MID], "end": [end, 50, MID], "end_meets": "deck.main/beam.2"}
        )
        bar = named(boat, "member.bar")
        assert bar.length == pytest.approx(200 - TUBE_WIDTH / 2)
        joint = joints(boat, "member.bar")["B"]
        assert (joint.kind, joint.other) == ("tee", "deck.main/beam.2")
        assert joint.gap == pytest.approx(0, abs=1e-6)


def test_a_brace_is_cut_to_the_underside():
    """45 degrees up to the underside of the beam: the cut is 45 degrees to its axis."""
    at = float(named(placed(), "deck.main/beam.2").a[0])
    boat = placed(bar={"start": [at - 150, 50, 80], "end": [at, 50, 230], "end_meets": "deck.main/beam.2"})
    bar = named(boat, "member.bar")
    assert abs(float(bar.end_b.normal @ bar.axis)) == pytest.approx(math.sqrt(0.5))


def test_members_may_meet_those_placed_before_them():
    boat = placed(
        a={"start": [500, -200, 100], "end": [500, 200, 100]},
        b={"start": [500, 0, 100], "end": [900, 0, 100], "start_meets": "member.a"},
    )
    bar = named(boat, "member.b")
    assert bar.length == pytest.approx(400 - TUBE_WIDTH / 2)
    assert joints(boat, "member.b")["A"].gap == pytest.approx(0, abs=1e-6)


def test_an_end_that_misses_what_it_is_to_meet_is_told():
    """It is cut in the beam's plane, but 200 mm below it."""
    at = float(named(placed(), "deck.main/beam.2").a[0])
    boat = placed(bar={"start": [at - 200, 50, 40], "end": [at, 50, 40], "end_meets": "deck.main/beam.2"})
    told = [f for f in boat.findings if f.pieces == ("member.bar",)]
    assert told
    assert f"{MID - 40 - TUBE_HEIGHT / 2:.1f} mm off deck.main/beam.2" in told[0].what


@pytest.mark.parametrize("end", [100, 400, 590])
def test_an_end_on_upright_skin_stands_off_by_the_fit_gap(end):
    boat = placed(bar={"start": [1500, 0, 120], "end": [1500, end, 120], "end_meets": "hull"})
    bar = named(boat, "member.bar")
    assert bar.length == pytest.approx(HALF - FIT, abs=0.01)
    joint = joints(boat, "member.bar")["B"]
    assert joint.kind == "hull"
    assert joint.gap == pytest.approx(FIT, abs=0.01)


def test_an_end_on_flared_skin_leans_with_it():
    boat = placed(hull=FLARED, bar={"start": [1500, 100, 120], "end": [1500, -200, 120], "end_meets": "hull"})
    bar = named(boat, "member.bar")
    lean = abs(bar.end_b.normal[2] / bar.end_b.normal[1])
    assert lean == pytest.approx(FLARE, abs=1e-4)
    assert joints(boat, "member.bar")["B"].gap == pytest.approx(FIT, abs=0.02)


def test_both_ends_on_the_skin():
    boat = placed(
        bar={"start": [1500, -50, 120], "end": [1500, 50, 120], "start_meets": "hull", "end_meets": "hull"}
    )
    assert named(boat, "member.bar").length == pytest.approx(2 * (HALF - FIT), abs=0.02)


def test_what_never_meets_the_hull_is_told():
    boat = placed(bar={"start": [1500, 0, 120], "end": [1500, 0, 220], "end_meets": "hull"})
    (told,) = [f for f in boat.findings if f.pieces == ("member.bar",)]
    assert "never meets the hull" in told.what
    assert told.place.key == "members.bar"
