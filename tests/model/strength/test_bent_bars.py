"""Hats and flanges as bars: sag by closed form, what they bear of a deck, and what is not counted."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from cutlists.strength.working import working
from model.bends.flange import Flange
from model.bends.hat import HatShape
from model.bends.made import Fold
from model.strength.allowable import wall_factor
from model.strength.bays import bays_of
from model.strength.bent_bars import bent_bars, flange_section
from model.strength.check import check_strength
from model.strength.network import network
from parts.catalogue import starter
from tests.model.boats import build, named
from tests.model.strength.frames import SETTINGS, beam, pressed, solved, traced

SHEET = starter().sheets["5052-2mm"]
T = SHEET.thickness
SPAN, FORCE = 900.0, 300.0


def test_a_hat_on_two_supports_sags_as_a_beam_of_its_inertia() -> None:
    """P L^3 / 48 E I (engineeringtoolbox.com, beam stress and deflection), I by rectangles, sharp bends."""
    w, h, f = 50.0, 40.0, 25.0
    section = HatShape(w, h, f, math.pi / 2, 0.0, SHEET, 0.44).section("hat")
    parts = [(w, T, h / 2 - T / 2), (2 * T, h - 2 * T, 0.0), (2 * f, T, T / 2 - h / 2)]
    middle = sum(b * d * z for b, d, z in parts) / sum(b * d for b, d, _ in parts)
    inertia = sum(b * d**3 / 12 + b * d * (z - middle) ** 2 for b, d, z in parts)
    net = traced(*beam(SPAN, section))
    _, part = solved(net)
    sag, _ = pressed(net, part, (SPAN / 2, 0, 0), FORCE)
    # the outsides of the four bends are round, which takes 3 percent of the inertia of sharp corners
    assert sag == pytest.approx(FORCE * SPAN**3 / (48 * SHEET.alloy.e * inertia), rel=0.04)
    assert sag == pytest.approx(FORCE * SPAN**3 / (48 * SHEET.alloy.e * section.iy), rel=1e-6)


def test_a_flange_is_a_strip_on_edge() -> None:
    """T h^3 / 12 and T h, less the outside of its bend; 90 degrees, sharp inside."""
    own = Flange("edge", np.zeros(2), np.array([400.0, 0.0]), 40.0, math.pi / 2, 0.0, T, 0.44, False)
    section, middle = flange_section("flange", Fold(own, 0.0, 400.0), SHEET.alloy)
    assert section.area == pytest.approx(40.0 * T - (1 - math.pi / 4) * T**2)
    assert section.iy == pytest.approx(T * 40.0**3 / 12, rel=0.04)
    assert middle == pytest.approx([-T / 2, 20.0])


def test_a_wide_thin_web_may_buckle_and_counts_for_less() -> None:
    """27.3 - 0.291 b/t over 21.2 between 21 and 33 (as `wall_factor` has it)."""
    stout, thin = (HatShape(w, 30.0, 20.0, math.pi / 2, 4.0, SHEET, 0.44).section("h") for w in (40.0, 66.0))
    assert wall_factor(stout) == 1.0
    assert wall_factor(thin) == pytest.approx((27.3 - 0.291 * (66.0 - 2 * 6.0) / T) / 21.2)


DECK: dict[str, Any] = {"height": 300, "aft": 200, "forward": 2800}
HAT: dict[str, Any] = {"under": "aft", "height": 30, "width": 40, "foot": 20}
WHOLE = {**HAT, "along": [[500, -150], [1000, -150]]}
SHORT = {**HAT, "along": [[640, 150], [1000, 150]]}


def test_a_hat_from_beam_to_beam_bears_and_parts_the_bay_it_crosses() -> None:
    plain, hatted = build(decks={"aft": DECK}), build(decks={"aft": DECK}, hats={"rib": WHOLE})
    before, after = check_strength(plain), check_strength(hatted)
    assert len(after.bays) == len(before.bays) + 1
    (rib,) = (use for use in after.members if use.name == "deck.aft/hat.rib")
    assert 0.0 < rib.use < 1.0
    assert rib.sag is not None
    worst = {use.name: use.use for use in after.members}
    assert all(worst[use.name] <= use.use + 0.05 for use in before.members)
    assert "1 hats and flanges counted as bars" in after.summary()
    assert "hats" not in before.summary()


def test_its_weight_and_what_stands_on_it_end_on_the_beams() -> None:
    boat = build(decks={"aft": DECK}, hats={"rib": WHOLE})
    net = network(boat, SETTINGS, bent=bent_bars(boat))
    k = next(k for k, m in enumerate(net.members) if m.name == "deck.aft/hat.rib")
    touching = {i for i, line in enumerate(net.lines) if i != k}
    ends = net.lines[k].nodes[[0, -1]]
    tied = {int(n) for pair in net.stubs for n in pair if set(pair.tolist()) & set(ends.tolist())}
    assert any(tied & set(net.lines[i].nodes.tolist()) for i in touching)
    assert len(bays_of(net, boat.layout.decks["deck.aft"])) == 8


def test_a_hat_that_reaches_no_member_is_named_as_not_counted() -> None:
    boat = build(decks={"aft": DECK}, hats={"rib": SHORT})
    assert boat.hats[0].meets[0] is None
    told = check_strength(boat).summary()
    assert "0 hats and flanges counted as bars, not counted: deck.aft/hat.rib" in told


def test_a_flange_in_place_of_a_rim_bears_from_ledger_to_ledger() -> None:
    """The forward edge of the deck without its rim: the flange runs from ledger to ledger."""
    flange = {"deck.aft/sheet.1": [{"edge": "forward", "height": 40, "turn": "back"}]}
    bare = {**DECK, "forward": 1000, "frame": {"leave_out": ["rim.forward.1"]}}
    boat = build(decks={"aft": bare}, bends=flange)
    found = bent_bars(boat)
    (bar,) = found.members
    assert bar.name == "deck.aft/sheet.1/flange.1"
    assert {joint.other for joint in found.joints} == {
        "deck.aft/ledger.port.1",
        "deck.aft/ledger.starboard.1",
    }
    sheet = named(boat, "deck.aft/sheet.1")
    assert bar.box[0, 2] == pytest.approx(sheet.box[0, 2])
    assert bar.box[1, 0] == pytest.approx(sheet.box[1, 0])
    with_rim = build(decks={"aft": {**DECK, "forward": 1000}}, bends=flange)
    assert bent_bars(with_rim).not_counted == ("deck.aft/sheet.1/flange.1",)


def test_the_working_tells_of_a_hat_that_is_worst_and_of_what_is_not_counted() -> None:
    """A channel 15 high is far too weak to be stood on."""
    weak = {"under": "aft", "along": [[500, 0], [1000, 0]], "height": 15, "width": 30}
    boat = build(decks={"aft": DECK}, hats={"weak": weak, "short": SHORT})
    report = check_strength(boat)
    told = working(report, boat)
    assert "The worst member: deck.aft/hat.weak" in told
    assert "not counted: deck.aft/hat.short" in told
    (found,) = (f for f in report.findings if f.pieces == ("deck.aft/hat.weak",))
    assert "a higher hat, or one of thicker sheet" in found.cure
    assert found.place is not None
    assert found.place.key == "hats.weak"
