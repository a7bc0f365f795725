"""Runs through a punt: short, clear of all metal, and what is missing where there is no way."""

from __future__ import annotations

import numpy as np
import pytest

from model.clearance.bodies import boat_bodies
from model.geometry import Array
from model.ways.route import NoWay, Run, Wanted, Ways
from model.ways.terminals import where
from tests.model.ways.punts import punt


def wanted(start: Array, end: Array, diameter: float = 6.0, **more: object) -> Wanted:
    return Wanted("wires.lamp", "wire", np.array(start, float), np.array(end, float), diameter, **more)


def laid(found: Run | NoWay) -> Run:
    assert isinstance(found, Run), found
    return found


def test_a_run_between_two_fixtures_is_little_longer_than_straight() -> None:
    boat = punt()
    start, end = where(boat, "fuses"), where(boat, "pump")
    run = laid(Ways(boat).route([Wanted("hoses.bilge", "hose", start, end, 6.0)])[0])
    assert run.path[0] == pytest.approx(start)
    assert run.path[-1] == pytest.approx(end)
    straight = float(np.linalg.norm(end - start))
    assert straight <= run.length <= 1.35 * straight


def test_a_bulkhead_of_the_deck_is_named_with_the_hole_that_it_needs() -> None:
    boat = punt()
    found = Ways(boat).route([wanted(where(boat, "fuses"), (2500.0, 300.0, 200.0))])[0]
    assert isinstance(found, NoWay)
    assert [need.piece for need in found.needs] == ["deck.aft/riser.forward.1", "", "deck.bow/riser.aft.1"]
    assert "deck.aft/riser.forward.1" in found.cure
    assert found.needs[0].at[0] == pytest.approx(1000.0, abs=5.0)
    # a hole for a 6 mm wire with a 1/8 in grommet: the next drill is 3/8 in
    assert found.needs[0].size == pytest.approx(9.525)


def test_no_run_touches_metal_by_the_kernel_of_another_library() -> None:
    """Trimesh measures the distance of points along the run from every piece that is near."""
    import trimesh

    boat = punt()
    run = laid(Ways(boat).route([wanted(where(boat, "fuses"), (900.0, -550.0, 340.0))])[0])
    length = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(run.path, axis=0), axis=1))])
    far = np.arange(40.0, length[-1] - 40.0, 12.0)
    points = np.column_stack([np.interp(far, length, run.path[:, k]) for k in range(3)])
    checked = 0
    for body in boat_bodies(boat):
        if body.kind not in ("member", "sheet", "hull"):
            continue
        for solid in body.solids:
            near = ((points >= solid.box[0] - 10.0) & (points <= solid.box[1] + 10.0)).all(axis=1)
            if near.any():
                mesh = trimesh.Trimesh(solid.mesh.vertices, solid.mesh.faces)
                # points lie 12 mm apart: what is 6.7 mm off each is 3 mm off all between
                apart = trimesh.proximity.closest_point_naive(mesh, points[near])[1]
                assert apart.min() > np.hypot(6.0, 3.0), body.name
                checked += int(near.sum())
    assert checked > 20
