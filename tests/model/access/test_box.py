"""A box among triangles: that they meet is a linear program, that a turn is clear a matter of many poses."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog
from scipy.spatial.transform import Rotation

from model.access.box import Swept, Triangles, clear, partings, spare, turn_is_clear
from model.clearance.motion import Turn
from model.clearance.solid import Solid
from model.geometry import Array
from model.mesh import Mesh

seeds = st.integers(0, 2**31)
PAIR = np.array([[0, 0]])


def triangles_of(corners: Array, asked: float = 0.0) -> Triangles:
    return Triangles.of(corners, np.full(len(corners), asked), np.zeros(len(corners)))


def random_box(rng: np.random.Generator, sweeps: bool) -> Swept:
    half = rng.uniform(5.0, 60.0, 3)
    box = Swept(rng.uniform(-60.0, 60.0, 3), half[:, None] * Rotation.random(random_state=rng).as_matrix())
    return box.along(rng.uniform(-120.0, 120.0, 3)) if sweeps else box


def meet(solid: Swept, triangle: Array) -> bool:
    """Whether some point is a sum of half edges and of shares of the triangle's corners: a linear program."""
    k = len(solid.edges)
    rows = np.hstack([solid.edges.T, -triangle.T])
    share = np.hstack([np.zeros(k), np.ones(3)])
    found = linprog(
        np.zeros(k + 3),
        A_eq=np.vstack([rows, share]),
        b_eq=np.append(-solid.centre, 1.0),
        bounds=[(-1, 1)] * k + [(0, 1)] * 3,
    )
    return bool(found.status == 0)


@given(seeds, st.booleans())
@settings(max_examples=150, deadline=None)
def test_meets_a_triangle_just_when_they_share_a_point(seed: int, sweeps: bool) -> None:
    rng = np.random.default_rng(seed)
    solid, triangle = random_box(rng, sweeps), rng.uniform(-110.0, 110.0, (3, 3))
    parting = float(partings([solid], triangles_of(triangle[None]), PAIR)[0])
    if abs(parting) > 1e-6:
        assert meet(solid, triangle) == (parting < 0.0)


@given(seeds)
@settings(max_examples=60, deadline=None)
def test_never_says_more_than_the_gap(seed: int) -> None:
    """The gap is measured by the collision library, between the box and a thin slab on the triangle."""
    rng = np.random.default_rng(seed)
    box, triangle = random_box(rng, False), rng.uniform(-150.0, 150.0, (3, 3))
    parting = float(partings([box], triangles_of(triangle[None]), PAIR)[0])
    if parting <= 0.0:
        return
    import manifold3d

    slab = manifold3d.Manifold.hull_points(
        np.vstack([triangle, triangle.mean(axis=0) + rng.normal(0, 1e-4, 3)])
    )
    gap = manifold3d.Manifold.hull_points(box.corners).min_gap(slab, 500.0)
    assert parting <= gap + 1e-2


def plate(z: float) -> Array:
    """A level sheet of two triangles, 400 mm square."""
    a, b, c, d = (np.array([x, y, z]) for x, y in ((-200, -200), (200, -200), (200, 200), (-200, 200)))
    return np.array([[a, b, c], [a, c, d]])


def test_keeps_what_is_asked_of_each() -> None:
    box = Swept(np.zeros(3), np.diag([30.0, 20.0, 10.0]))
    for z, asked, free in ((12.0, 1.9, True), (12.0, 2.1, False), (-12.0, 1.9, True), (9.0, -2.0, True)):
        assert clear([box], triangles_of(plate(z), asked))[0] == free
    assert spare([box], triangles_of(plate(25.0), 3.0), 50.0)[0] == pytest.approx(12.0)
    assert spare([box], triangles_of(plate(25.0), 3.0), 5.0)[0] == 5.0


def test_a_slide_past_an_edge_is_seen_between_its_ends() -> None:
    box = Swept(np.array([-150.0, 0.0, 0.0]), np.diag([5.0, 5.0, 5.0]))
    wall = np.array([[[0.0, -4.0, -50.0], [0.0, 4.0, -50.0], [0.0, 0.0, 50.0]]])
    assert clear([box, box.moved(np.array([300.0, 0.0, 0.0]))], triangles_of(wall)).all()
    assert not clear([box.along(np.array([300.0, 0.0, 0.0]))], triangles_of(wall))[0]
    assert clear(
        [box.along(np.array([300.0, 15.0, 0.0])).moved(np.array([0.0, 9.5, 0.0]))], triangles_of(wall)
    )[0]


@pytest.mark.parametrize("height", [44.6, 44.8])
def test_a_turning_corner_passes_under_a_sheet_to_within_a_hair(height: float) -> None:
    """A box 80 x 40 turned about its middle reaches sqrt(40^2 + 20^2) = 44.72 mm up, between two poses."""
    box = Swept(np.zeros(3), np.diag([40.0, 10.0, 20.0]))
    turn = Turn(np.zeros(3), np.array([0.0, 1.0, 0.0]), math.radians(90.0))
    assert turn_is_clear(box, turn, triangles_of(plate(height))) == (height > 44.73)


@given(seeds)
@settings(max_examples=40, deadline=None)
def test_a_turn_that_is_said_to_be_clear_is_clear_at_every_pose(seed: int) -> None:
    rng = np.random.default_rng(seed)
    box = random_box(rng, False)
    axis = rng.normal(size=3)
    turn = Turn(rng.uniform(-80, 80, 3), axis / np.linalg.norm(axis), float(rng.uniform(0.1, 1.5)))
    corners = rng.uniform(-160.0, 160.0, (3, 3, 3))
    poses = [box.posed(*turn.pose(at)) for at in np.linspace(0.0, turn.limit, 60)]
    said, seen = turn_is_clear(box, turn, triangles_of(corners)), clear(poses, triangles_of(corners)).all()
    assert seen or not said
    wide = clear(poses, triangles_of(corners, 2.0)).all()
    assert said or not wide


def test_swept_corners_span_the_volume_of_the_sweep() -> None:
    """A box swept by a step d along its own axis grows by that much; across it, by the shadow times d."""
    import manifold3d

    box = Swept(np.zeros(3), np.diag([30.0, 20.0, 10.0]))
    body = manifold3d.Manifold.hull_points(box.along(np.array([50.0, 0.0, 0.0])).corners)
    assert body.volume() == pytest.approx((60 + 50) * 40 * 20)
    slanted = manifold3d.Manifold.hull_points(box.along(np.array([30.0, 40.0, 0.0])).corners)
    shadow = 60 * 20 * 40.0 + 40 * 20 * 30.0  # of the faces whose normals lie along x and y, by |d . n|
    assert slanted.volume() == pytest.approx(60 * 40 * 20 + shadow)


def test_solid_of_a_mesh_is_seen_from_all_sides() -> None:
    """A box wholly inside a mesh touches no triangle of it: what holds a thing fast is looked for at rest."""
    cube = Solid.of_mesh(Mesh(*_cube(100.0)))
    inside = Swept(np.zeros(3), np.diag([10.0, 10.0, 10.0]))
    assert clear([inside], triangles_of(cube.mesh.triangles))[0]
    assert not clear([inside.moved(np.array([0.0, 0.0, 95.0]))], triangles_of(cube.mesh.triangles))[0]


def _cube(half: float) -> tuple[Array, np.ndarray[tuple[int, ...], np.dtype[np.int64]]]:
    import trimesh

    box = trimesh.creation.box((2 * half,) * 3)
    return np.array(box.vertices), np.array(box.faces, dtype=np.int64)
