"""Runs between any two places keep clear of everything, by trimesh and by the collision library."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from model.boat import Boat, load_boat
from model.clearance.bodies import boat_bodies
from model.clearance.kinds import ROOM
from model.clearance.pairs import near_pairs
from model.geometry import Array
from model.ways.bodies import KINDS, bodies
from model.ways.clips import clips_of
from model.ways.laid import laid_runs
from model.ways.route import NoWay, Run, Wanted, Ways
from tests.model.ways.punts import punt

WALLS = """bulkheads:
  baffle: {at: 500, bottom: 160, under: aft, hull_gap: 3}
members:
  bar: {start: [620, -500, 60], end: [760, 500, 300], section: square-25x25x3}
"""


@cache
def ways() -> Ways:
    return Ways(punt(WALLS))


@cache
def metal() -> Array:
    """Triangles of all members and sheet, `(n, 3, 3)`."""
    kept = [b for b in boat_bodies(punt(WALLS)) if b.kind in ("member", "sheet")]
    return np.concatenate([solid.mesh.triangles for body in kept for solid in body.solids])


def apart(points: Array, reach: float) -> Array:
    """Distance of points from metal by trimesh, and from the flat bottom and sides of the punt by hand."""
    import trimesh

    low, high = points.min(axis=0) - reach, points.max(axis=0) + reach
    own = metal()
    own = own[((own.min(axis=1) <= high) & (own.max(axis=1) >= low)).all(axis=1)]
    bottom = points[:, 2]
    slope = 40.0 / 600.0
    side = (600.0 + slope * bottom - np.abs(points[:, 1])) / np.hypot(1.0, slope)
    skin = np.minimum(bottom, side)
    if not len(own):
        return skin
    mesh = trimesh.Trimesh(own.reshape(-1, 3), np.arange(3 * len(own)).reshape(-1, 3), process=False)
    return np.minimum(skin, trimesh.proximity.closest_point_naive(mesh, points)[1])


@cache
def lake() -> Boat:
    return load_boat(Path("configs/lake16.yaml"))


def along(path: Array, step: float) -> Array:
    far = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(path, axis=0), axis=1))])
    at = np.arange(0.0, far[-1], step)
    return np.column_stack([np.interp(at, far, path[:, k]) for k in range(3)])


PLACE = st.tuples(st.floats(120, 940), st.floats(-520, 520), st.floats(40, 330))


@settings(max_examples=6, deadline=None)
@given(start=PLACE, end=PLACE, diameter=st.sampled_from([6.0, 14.0, 26.0]), bend=st.sampled_from([0.0, 60.0]))
def test_no_run_comes_nearer_to_metal_than_its_own_thickness(start, end, diameter, bend):
    """Judge: trimesh's distance of points along the run, 8 mm apart, from every triangle of metal."""
    ends = np.array([start, end])
    assume(np.linalg.norm(ends[1] - ends[0]) > 50.0)
    assume(apart(ends, 400.0).min() > diameter)
    kind = "hose" if bend else "wire"
    found = ways().route([Wanted("one", kind, *ends, diameter, bend)])[0]
    assert isinstance(found, Run)
    # between two points 8 mm apart the run is nearer than both by less than 1.6 mm
    assert apart(along(found.path, 8.0), 100.0).min() > diameter / 2.0 - 1.6
    assert np.array_equal(found.path[0], ends[0])
    assert np.array_equal(found.path[-1], ends[1])


def test_all_runs_of_the_demo_boat_are_clear_but_where_they_end():
    """Judge: metal that both fill, by the collision library; at its ends a run touches what it ends on."""
    boat = lake()
    runs = laid_runs(boat)
    assert len(runs) > 20
    own = {run.name: run for run in runs}
    pieces = [body for body in boat_bodies(boat) if body.kind != ROOM]
    for met in near_pairs([*pieces, *bodies(runs)], 1.0, lambda a, b: (a.kind in KINDS) != (b.kind in KINDS)):
        if met.shared is None or met.depth < 0.5:
            continue
        run = own[met.second.name]
        ends = np.linalg.norm(run.path[[0, -1]] - met.shared.middle, axis=1)
        assert ends.min() < run.diameter + 15.0, (met.first.name, run.name, met.shared.middle)


def test_runs_of_the_demo_boat_are_held_often_enough_and_bend_no_closer_than_they_may():
    """Held every 18 in (common practice), measured along the run; the given drain bends by an elbow."""
    for run in laid_runs(lake()):
        assert run.tight == () or run.name == "hoses.livewell_drain"
        far = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(run.path, axis=0), axis=1))])
        fine = np.linspace(0.0, far[-1], 4000)
        points = np.column_stack([np.interp(fine, far, run.path[:, k]) for k in range(3)])
        at = [fine[np.linalg.norm(points - clip, axis=1).argmin()] for clip in run.clips]
        assert np.diff([0.0, *at, far[-1]]).max() <= 457.2 + 2.0
        assert np.diff(at).min(initial=np.inf) > 0.0


def test_clips_are_put_where_something_is_beside_the_run():
    """A run that passes below three beams on its way is held at beams, not between."""
    boat = punt()
    beams = sorted(float(m.a[0]) for m in boat.members if m.name.startswith("deck.aft/beam"))
    low = next(m for m in boat.members if m.name == "deck.aft/beam.1").box[0, 2] - 4.5
    path = np.array([(120.0, 0, low), (980.0, 0, low)])
    clips = clips_of(Ways(boat), path, 3.0)
    others = [
        x for m in boat.members if m.name.startswith("deck.aft/rim") for x in (m.box[0, 0], m.box[1, 0])
    ]
    for clip in clips:
        assert min(abs(clip[0] - x) for x in (*beams, *others)) < 12.7 + 12.5 + 1.0


def test_a_run_from_a_place_to_itself_is_none():
    found = ways().route([Wanted("one", "wire", np.array((200.0, 0, 100)), np.array((200.0, 0, 100)), 6.0)])[
        0
    ]
    assert isinstance(found, NoWay)
    assert "one place" in found.why
