"""How near bars and boxes come to triangles, against sampling, trimesh and exact cuts."""

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from model.geometry import unit
from model.mesh import Mesh
from model.rods.reel_gap import parting
from model.rods.rod import Pose, Reel, Rod
from model.rods.soup import Soup, contacts, crossings, pierced

COORDINATE = st.floats(-100, 100).map(lambda v: round(v, 3))
POINT = st.tuples(COORDINATE, COORDINATE, COORDINATE).map(np.array)


def soup_of(*triangles):
    return Soup.of([("one", np.array(triangles), False)])


@settings(max_examples=60, deadline=None)
@given(st.tuples(POINT, POINT, POINT), POINT, POINT, st.floats(0.5, 9), st.floats(0.5, 9))
def test_gap_is_the_least_over_all_balls_of_the_bar(corners, butt, tip, big, small):
    triangle = np.array(corners)
    area = np.linalg.norm(np.cross(triangle[1] - triangle[0], triangle[2] - triangle[0])) / 2
    if area < 50 or np.linalg.norm(tip - butt) < 30:
        return
    radii = (max(big, small), min(big, small))
    soup = soup_of(triangle)
    if len(pierced(soup, butt, tip)):
        return
    found = contacts(soup, butt, tip, radii, 1e4)
    # the bar is all balls from one end to the other: distance of each middle (trimesh) less its radius
    share = np.linspace(0, 1, 801)
    middles = butt + share[:, None] * (tip - butt)
    near = trimesh.triangles.closest_point(np.repeat(triangle[None], len(share), axis=0), middles)
    gaps = np.linalg.norm(near - middles, axis=1) - (radii[0] + share * (radii[1] - radii[0]))
    # no sampled ball is nearer than was found, and one within half a step of the bar is as near
    assert found.gap.min() <= gaps.min() + 1e-6
    assert gaps.min() - found.gap.min() < np.linalg.norm(tip - butt) / 1600 + 1e-6
    at = found.gap.argmin()
    on_bar = butt + found.share[at] * (tip - butt)
    radius = radii[0] + found.share[at] * (radii[1] - radii[0])
    assert np.allclose(found.point[at] + (found.gap[at] + radius) * found.normal[at], on_bar, atol=1e-6)


def test_lines_pass_through_triangles_where_trimesh_says():
    draw = np.random.default_rng(1)
    mesh = trimesh.creation.icosphere(subdivisions=2, radius=50)
    soup = soup_of(*mesh.triangles)
    starts, ways = draw.normal(size=(60, 3)) * 60, draw.normal(size=(60, 3))
    found = crossings(soup, starts, ways)
    for start, way, row in zip(starts, ways, found, strict=True):
        both = [mesh.ray.intersects_location([start], [sign * way])[0] for sign in (1, -1)]
        theirs = sorted(float((p - start) @ way / (way @ way)) for part in both for p in part)
        ours = sorted(row[np.isfinite(row)])
        assert np.allclose(ours, theirs, atol=1e-5)


@settings(max_examples=60, deadline=None)
@given(st.tuples(POINT, POINT, POINT), POINT, POINT, st.floats(0, 6.2))
def test_box_and_triangle_share_metal_just_where_no_way_parts_them(corners, butt, along, roll):
    triangle = np.array(corners)
    normal = np.cross(triangle[1] - triangle[0], triangle[2] - triangle[0])
    if np.linalg.norm(normal) < 200 or np.linalg.norm(along) < 10:
        return
    rod = Rod("r", 500, 20, 6, Reel(70, 50, 60, 30))
    pose = Pose.along(butt, butt + 400 * unit(along)).turned(roll)
    box = pose.reel_corners(rod)
    found = parting(soup_of(triangle), box, 1e4)
    # trimesh and manifold3d as judges: the triangle as a wedge thinner than a thousandth of a millimetre
    thin = 2e-4 * unit(normal)
    wedge = trimesh.convex.convex_hull(np.concatenate([triangle, triangle + thin]))
    both = trimesh.boolean.intersection([wedge, trimesh.convex.convex_hull(box)], engine="manifold")
    shared = both.volume / np.linalg.norm(thin) > 1e-3
    gap = float(found.gap[0])
    if abs(gap) > 1e-2:
        assert shared == (gap < 0)
    if gap > 0:
        apart = trimesh.triangles.closest_point(np.repeat(triangle[None], 8, axis=0), box) - box
        assert gap <= np.linalg.norm(apart, axis=1).min() + 1e-6
        assert found.edge[0] == pytest.approx((triangle @ found.way[0]).max())


def test_edges_within_a_flat_face_are_left_out_and_corners_stand_once():
    from tests.model.rods.rooms import box_mesh

    soup = Soup.of([("box", box_mesh(np.zeros(3), np.array([10.0, 20, 30])).triangles, True)])
    assert len(soup.edges[0]) == 12
    assert len(soup.corners[0]) == 8


def test_volume_of_a_bar_of_flat_sides_holds_the_rod():
    from model.rods.stow import rod_triangles

    rod = Rod("r", 1000, 30, 6, Reel(100, 80, 90, 150))
    pose = Pose.along(np.array([5.0, 4, 3]), np.array([5.0 + 982, 4, 3]))
    triangles = rod_triangles(rod, pose, 64)
    parts = triangles[:-12], triangles[-12:]
    bar, box = (Mesh(t.reshape(-1, 3), np.arange(3 * len(t)).reshape(-1, 3)) for t in parts)
    cone = np.pi / 3 * 982 * (15**2 + 15 * 3 + 3**2)
    assert cone < bar.volume < 1.05 * cone
    assert box.volume == pytest.approx(100 * 80 * 90)
