"""Loads on a deck reach its members in balance, by tributary width, and by the stiffer strip."""

from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from model.strength.network import network
from model.strength.settings import StrengthSettings
from model.strength.spread import deck_lines, grid_of
from tests.model.boats import DECK, build, demo

SETTINGS = StrengthSettings()


@cache
def lines_of(name, deck):
    boat = demo(name)
    net = network(boat, SETTINGS)
    return net, deck_lines(net, boat.layout.decks[deck])


@cache
def plain():
    boat = build(decks={"d": DECK})
    net = network(boat, SETTINGS)
    return boat, net, deck_lines(net, boat.layout.decks["deck.d"])


@given(x=st.floats(150, 845), y=st.floats(-780, 780))
@settings(max_examples=60, deadline=None)
def test_a_load_within_the_ring_is_in_balance_about_every_axis(x, y):
    net, lines = lines_of("lake16", "deck.aft")
    point = np.array([[x, min(max(y, -755), 755)]])
    shares = lines.shares(point, len(net.points)).toarray()[0]
    flat = lines.plan.frame.to_frame(net.points)[:, :2]
    assert shares.sum() == pytest.approx(1.0)
    assert shares.min() >= 0.0
    np.testing.assert_allclose(shares @ flat, point[0], atol=0.6)  # a member's own point within half a mm


@pytest.mark.parametrize("name", ["lake16", "flat14", "vee18"])
def test_every_load_on_every_deck_arrives_whole(name):
    boat = demo(name)
    net = network(boat, SETTINGS)
    for plan in boat.layout.decks.values():
        lines = deck_lines(net, plan)
        points = grid_of(plan.area, 120.0)
        shares = lines.shares(points, len(net.points))
        np.testing.assert_allclose(np.asarray(shares.sum(axis=1)).ravel(), 1.0)


def test_an_even_load_between_beams_comes_out_as_tributary_width():
    """Long bays: the two-way strips send all but the load near the ends to the beams on both sides."""
    boat, net, lines = plain()
    u0, _, u1, _ = boat.layout.decks["deck.d"].area.bounds
    beams = sorted(
        (m for m in net.members if "/beam." in m.name and "/post." not in m.name), key=lambda m: m.a[0]
    )
    middle = beams[len(beams) // 2]
    pitch = 5.0
    us = np.arange(u0 + pitch / 2, u1, pitch)
    strip = np.stack([us, np.full(len(us), 20.0)], axis=1)  # a strip fore and aft, amidships
    carried = np.asarray(lines.shares(strip, len(net.points)).sum(axis=0)).ravel() * pitch
    k = next(k for k, m in enumerate(net.members) if m is middle)
    own = carried[net.lines[k].nodes].sum()
    spacing = (beams[len(beams) // 2 + 1].a[0] - beams[len(beams) // 2 - 1].a[0]) / 2
    assert own == pytest.approx(spacing, rel=0.05)


def test_the_shorter_strip_carries_more():
    # Two crossed strips under one load share it as 1 / L^3 in their middles (Grashof, Rankine).
    _, net, lines = plain()
    beams = sorted(
        (m for m in net.members if "/beam." in m.name and "/post." not in m.name), key=lambda m: m.a[0]
    )
    a, b = beams[0], beams[1]
    x = (a.a[0] + b.a[0]) / 2
    shares = lines.shares(np.array([[x, 0.0]]), len(net.points)).toarray()[0]
    nodes = np.concatenate([net.lines[k].nodes for k, m in enumerate(net.members) if m in (a, b)])
    ledger = max(m.a[1] for m in net.members if "/ledger." in m.name)
    short, long = b.a[0] - a.a[0], 2 * ledger
    assert shares[nodes].sum() == pytest.approx(long**3 / (long**3 + short**3), rel=1e-3)
