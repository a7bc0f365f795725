"""The order of work covers nothing unfinished; judged by networkx and by what stands on what in the model."""

from __future__ import annotations

import networkx as nx
import pytest

from cutlists.packet.steps import steps
from tests.model.boats import DECK, build, demo

DEMOS = ("lake16", "flat14", "vee18")


@pytest.mark.parametrize("name", DEMOS)
def test_every_step_comes_after_what_it_needs(name):
    told = steps(demo(name))
    keys = [step.key for step in told]
    assert len(set(keys)) == len(keys)
    graph = nx.DiGraph((before, step.key) for step in told for before in step.before if before in keys)
    graph.add_nodes_from(keys)
    assert nx.is_directed_acyclic_graph(graph)
    place = {key: k for k, key in enumerate(keys)}
    assert all(place[one] < place[other] for one, other in graph.edges)


@pytest.mark.parametrize("name", DEMOS)
def test_what_stands_on_a_sheet_waits_for_it(name):
    boat = demo(name)
    place = {step.key: k for k, step in enumerate(steps(boat))}
    for joint in boat.joints:
        if joint.kind == "sole":
            upper, lower = joint.member.partition("/")[0], joint.other.partition("/")[0]
            assert place[f"frame {upper}"] > place[f"sheet {lower}"]


@pytest.mark.parametrize("name", DEMOS)
def test_lockers_are_in_before_the_deck_closes_over_them(name):
    boat = demo(name)
    place = {step.key: k for k, step in enumerate(steps(boat))}
    for locker in boat.layout.lockers.values():
        assert place[f"locker {locker.name}"] < place[f"sheet {locker.deck}"]


def test_a_low_deck_is_sheeted_before_the_one_over_it():
    sole = {"height": 100, "aft": 200, "forward": 2800}
    keys = [step.key for step in steps(build(decks={"main": DECK, "sole": sole}))]
    assert keys.index("sheet deck.sole") < keys.index("sheet deck.main")


def test_wells_are_tried_for_leaks():
    hatch = {"aft": 1000, "forward": 1600, "port": 200, "starboard": -200}
    well = {"under": "main.hatch", "floor": 150, "kind": "well"}
    boat = build(decks={"main": {**DECK, "openings": {"hatch": hatch}}}, lockers={"well": well})
    assert any("water overnight" in step.do for step in steps(boat))
