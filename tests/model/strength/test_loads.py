"""What presses down, weighed against the boat's own masses."""

import numpy as np
import pytest

from model.strength.loads import all_loads, gear_mass
from model.strength.network import network
from model.strength.settings import GRAVITY, StrengthSettings
from model.strength.spread import deck_lines
from tests.model.boats import DECK, build, demo

HATCH = {"centre": [1000, 0], "length": 400, "width": 400, "lid": {"flange": 20}}
LOCKED = {
    "decks": {"d": {**DECK, "openings": {"hatch": HATCH}}},
    "lockers": {"dry": {"under": "d.hatch", "floor": 120}},
}


def loaded(boat, settings=None):
    wanted = settings or boat.strength
    net = network(boat, wanted)
    decks = {name: lines for name, plan in boat.layout.decks.items() if (lines := deck_lines(net, plan))}
    return all_loads(boat, net, decks, wanted)


def test_own_weight_is_that_of_members_sheet_and_what_stands_on_decks():
    boat = build(decks={"d": DECK}, fixtures={"seat": {"part": "pedestal-7", "on": "d", "at": [1000, 0]}})
    found = loaded(boat).own.sum() / GRAVITY
    sheet = sum(p.mass for p in boat.panels if p.role == "deck")
    members = sum(m.mass for m in boat.members)
    # Members are reckoned by their axes, from where these leave the metal; sheet from the deck's outline.
    assert found == pytest.approx(members + sheet + boat.fixtures[0].mass, rel=0.01)


def test_gear_fills_a_locker_at_its_density_or_as_told():
    boat = build(**LOCKED)
    locker = boat.layout.lockers["locker.dry"]
    litres = locker.area.area * (locker.top - locker.floor) * 1e-6
    assert gear_mass(locker, StrengthSettings()) == pytest.approx(0.12 * litres)
    assert loaded(boat).gear.sum() == pytest.approx(0.12 * litres * GRAVITY)
    told = StrengthSettings(gear={"dry": 25.0})
    assert loaded(boat, told).gear.sum() == pytest.approx(25.0 * GRAVITY)


def test_what_stands_in_a_locker_hangs_with_it_and_what_stands_on_the_hull_does_not():
    battery = {"part": "group-24", "at": [1000, 0]}
    inside = build(**LOCKED, fixtures={"battery": {**battery, "on": "dry"}})
    below = build(decks=LOCKED["decks"], fixtures={"battery": {**battery, "on": "hull"}})
    mass = next(f.mass for f in inside.fixtures if f.kind == "battery")
    alone = loaded(build(**LOCKED)).gear.sum()
    assert loaded(inside).gear.sum() - alone == pytest.approx(mass * GRAVITY)
    bare = build(decks=LOCKED["decks"])
    assert loaded(below).own.sum() == pytest.approx(loaded(bare).own.sum())


def test_water_of_a_well_hangs_from_the_members_round_it():
    boat = demo("lake16")
    found = loaded(boat)
    well = boat.layout.lockers["locker.livewell"]
    litres = well.area.area * (well.top - well.floor) * 1e-6
    net = network(boat, boat.strength)
    near = np.abs(net.points[:, 0] - well.area.centroid.x) < 400.0
    assert found.gear[near & (net.points[:, 2] > 400.0)].sum() == pytest.approx(litres * GRAVITY, rel=0.02)
