"""Member meshes judged by trimesh: closed, outward, and of the volume their own outline makes."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
import trimesh

from model.geometry import Plane
from model.member import Member
from model.member_mesh import cage, member_mesh, member_meshes
from model.mesh import Mesh
from tests.model.member_samples import SECTIONS, TUBE, random_members


def judge(mesh: Mesh) -> trimesh.Trimesh:
    return trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)


def polygon(section) -> shapely.Polygon:
    """The section's metal as it was tessellated."""
    return shapely.Polygon(section.outer.polyline(), [hole.polyline() for hole in section.holes])


def test_meshes_are_watertight_and_face_outward() -> None:
    members = random_members(70, seed=11)
    for member, mesh in zip(members, member_meshes(members), strict=True):
        seen = judge(mesh)
        assert seen.is_watertight, member.section.name
        assert seen.is_winding_consistent
        assert seen.volume > 0.0
        assert len(trimesh.graph.connected_components(seen.face_adjacency)) == 1


def test_mesh_volume_is_the_prism_of_the_tessellated_outline() -> None:
    members = random_members(70, seed=12)
    for member, mesh in zip(members, member_meshes(members), strict=True):
        metal = polygon(member.section)
        at = np.array([[metal.centroid.x, metal.centroid.y]])
        near, far = member.prism.ends_at(at)[0, :, 0, 0]
        assert judge(mesh).volume == pytest.approx(metal.area * (far - near), rel=1e-9)
        assert mesh.volume == pytest.approx(judge(mesh).volume, rel=1e-9)
        assert mesh.area == pytest.approx(judge(mesh).area, rel=1e-9)


def test_the_bore_is_open_from_end_to_end() -> None:
    mesh = judge(member_mesh(Member.along("beam", TUBE, (0, 0, 0), (0, 700, 0), up=(0, 0, 1))))
    # Euler characteristic 0: a tube is a torus, a solid bar would be a ball with 2.
    assert mesh.euler_number == 0
    down_the_bore = mesh.ray.intersects_any([[0.0, -10.0, 0.0]], [[0.0, 1.0, 0.0]])
    assert not down_the_bore[0]


def test_vertices_lie_on_the_end_planes_and_the_true_outline() -> None:
    for member in random_members(14, seed=13):
        mesh, count = member_mesh(member), len(cage(member.section).points)
        assert np.abs(member.end_a.height(mesh.vertices[:count])).max() < 1e-8
        assert np.abs(member.end_b.height(mesh.vertices[count:])).max() < 1e-8
        reach = member.box
        assert (mesh.box[0] >= reach[0] - 1e-8).all()
        assert (mesh.box[1] <= reach[1] + 1e-8).all()


def test_one_by_one_and_in_bulk_are_the_same_and_a_piece_cut_away_is_empty() -> None:
    away = Member.along("gone", TUBE, (0, 0, 0), (9, 0, 0), end_b=Plane.through((9, 0, 0), (1, 0, 2)))
    members = [*random_members(14, seed=14), away]
    meshes = member_meshes(members)
    for member, mesh in zip(members, meshes, strict=True):
        np.testing.assert_allclose(member_mesh(member).vertices, mesh.vertices, atol=1e-12)
    assert len(meshes[-1].faces) == 0
    assert member_meshes([]) == []


def test_every_family_has_a_cage_of_its_own_points() -> None:
    for section in SECTIONS:
        found = cage(section)
        assert set(np.unique(found.faces)) == set(range(2 * len(found.points)))


def test_merged_and_moved_meshes_keep_their_volume() -> None:
    meshes = member_meshes(random_members(7, seed=15))
    whole = Mesh.merge(meshes)
    assert whole.volume == pytest.approx(sum(mesh.volume for mesh in meshes))
    assert judge(whole).is_watertight
    mirrored = whole.transformed(np.diag([1.0, -1.0, 1.0]), (5, 0, 0))
    assert mirrored.volume == pytest.approx(whole.volume)
    assert Mesh.merge([]).volume == 0.0
    with pytest.raises(ValueError, match="no box"):
        _ = Mesh.empty().box
