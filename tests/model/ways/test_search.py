"""The shortest ways over places, against networkx and against answers known by hand."""

from __future__ import annotations

import networkx
import numpy as np
import pytest

from model.ways.blocks import Blocks, slabs_of
from model.ways.places import CLIP
from model.ways.route import Run, Wanted, Ways
from tests.model.ways.punts import punt


def run_of(ways: Ways, start: object, end: object, **more: object) -> Run:
    one = Wanted("hoses.one", "hose", np.array(start, float), np.array(end, float), 8.0, **more)
    found = ways.route([one])[0]
    assert isinstance(found, Run), found
    return found


def test_a_run_under_a_beam_is_straight_and_held_by_the_beam():
    """Known by hand: between two points below one beam the shortest way is the line between them."""
    boat = punt()
    beam = next(m for m in boat.members if m.name == "deck.aft/beam.1")
    x, _, z = beam.a
    low = z - beam.section.height / 2.0 - 4.0 - CLIP
    run = run_of(Ways(boat), (x, -520, low), (x, 520, low))
    assert run.length == pytest.approx(1040.0, abs=0.01)
    assert "deck.aft/beam.1" in run.through


def test_round_a_bulkhead_the_way_is_the_shortest_round_its_edge():
    """Known by hand: over the foot of sheet that stops short, straight to its edge and straight on.

    The lower edge is at 200; a run of 8 mm with its clip keeps 5.5 mm below. The least way of two straights
    with a corner there is sqrt(dx^2 + dz^2) on each side.
    """
    boat = punt("bulkheads:\n  baffle: {at: 500, bottom: 200, top: 396, hull_gap: 1}\n")
    start, end = (300.0, 30.0, 300.0), (700.0, 30.0, 300.0)
    run = run_of(Ways(boat), start, end)
    least = 2.0 * float(np.hypot(200.0, 300.0 - 200.0 + 4.0))
    assert least - 0.1 <= run.length <= 1.25 * least
    crossed = np.interp(500.0, run.path[:, 0], run.path[:, 2])
    assert crossed <= 200.0 - 4.0


@pytest.mark.parametrize("seed", range(4))
def test_ways_over_places_are_as_short_as_those_of_networkx(seed):
    """Judge: networkx' Dijkstra over the links that go through nothing, of the same weights."""
    from model.ways import route

    ways = Ways(punt())
    places = ways.places(8.0)
    net = route._Net(places.points, places.links, {}, range(len(places.points), len(places.points)))
    links = places.links
    own = route._Search(net, links.length, links.price == 0.0)
    graph = networkx.Graph()
    for (a, b), length, price in zip(links.ends.tolist(), links.length, links.price, strict=True):
        if price == 0.0:
            graph.add_edge(a, b, weight=min(length, graph.get_edge_data(a, b, {"weight": np.inf})["weight"]))
    start, *ends = np.random.default_rng(seed).integers(0, len(places.points), 6).tolist()
    for end in ends:
        way = own.through([[[start]], [[end]]])
        if way is None:
            assert start not in graph or end not in graph or not networkx.has_path(graph, start, end)
            continue
        gone = float(np.linalg.norm(np.diff(places.points[way], axis=0), axis=1).sum())
        assert gone == pytest.approx(networkx.dijkstra_path_length(graph, start, end), rel=1e-9)


def test_a_run_goes_by_the_points_that_it_is_told():
    run = run_of(Ways(punt()), (200, 0, 200), (800, 0, 200), via=((500.0, 300.0, 150.0),))
    apart = np.linalg.norm(run.path - np.array([500.0, 300.0, 150.0]), axis=1)
    assert apart.min() < 1e-6


def test_what_drains_falls_all_the_way():
    run = run_of(Ways(punt()), (900, 100, 320), (150, 400, 40), falls=True)
    assert (np.diff(run.path[:, 2]) <= 1e-6).all()


def test_segments_meet_slabs_where_shapely_and_arithmetic_say():
    """A square slab: hand-made segments that pass, touch the grown faces, and miss by a hair."""
    boat = punt()
    blocks = Blocks(slabs_of(boat))
    panel = next(p for p in boat.panels if p.name == "deck.aft/riser.forward.1")
    front = float(panel.frame.origin[0])
    grown = 5.0
    a = np.array([[front + grown + 0.1, 0, 100.0], [front + grown - 0.1, 0, 100.0], [front - 50, 0, 100.0]])
    b = np.array([[front + grown + 0.1, 0, 300.0], [front + grown - 0.1, 0, 300.0], [front + 50, 0, 300.0]])
    segment, slab = blocks.hits(a, b, grown)
    met = {int(s) for s, k in zip(segment, slab, strict=True) if blocks.slabs[k].name == panel.name}
    assert met == {1, 2}
