"""The CAD kernel as the judge of the hull's integrals, cuts and distances; trimesh as that of its meshes."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeVertex
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.BRepGProp import BRepGProp
from OCP.gp import gp_Dir, gp_Pln, gp_Pnt
from OCP.GProp import GProp_GProps
from OCP.TopAbs import TopAbs_SHELL
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS_Shape

from model.geometry import Array, Plane
from model.hull import Hull
from model.hull_mesh import body_mesh, sheet_mesh, skin_mesh
from model.hull_outline import clipped
from model.hull_solid import body_solid, sheet_solid
from model.member_solid import half_space
from model.mesh import Mesh
from tests.model.hull_samples import bowed, demo, vee, waterlines, wigley

NAMES = ("lake16", "flat14", "vee18")
TOP = Plane.through((0.0, 0.0, 3000.0), (0.0, 0.0, 1.0))


@pytest.fixture(scope="module")
def bodies() -> dict[str, TopoDS_Shape]:
    return {name: body_solid(demo(name)) for name in NAMES}


def volume_and_centre(shape: TopoDS_Shape) -> tuple[float, Array]:
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, properties, 1e-7)
    centre = properties.CentreOfMass()
    return properties.Mass(), np.array([centre.X(), centre.Y(), centre.Z()])


def below(shape: TopoDS_Shape, plane: Plane) -> TopoDS_Shape:
    return BRepAlgoAPI_Common(shape, half_space(plane.flipped())).Shape()


@pytest.mark.parametrize("name", NAMES)
def test_whole_volume_is_the_kernels(name: str, bodies: dict[str, TopoDS_Shape]) -> None:
    assert BRepCheck_Analyzer(bodies[name]).IsValid()
    found = demo(name).volume_below(TOP)
    volume, centre = volume_and_centre(bodies[name])
    assert found.volume == pytest.approx(volume, rel=1e-8)
    assert found.centre == pytest.approx(centre, abs=1e-3)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("normal", [(0.0, 0.0, 1.0), (-0.05, 0.0, 1.0), (0.02, 0.25, 1.0)])
def test_volume_below_a_plane_is_the_kernels(
    name: str, normal: tuple[float, float, float], bodies: dict[str, TopoDS_Shape]
) -> None:
    plane = Plane.through((2200.0, 0.0, 430.0), normal)
    found = demo(name).volume_below(plane)
    volume, centre = volume_and_centre(below(bodies[name], plane))
    # 0.1 % is asked for; both are exact but for Gauss points on rational pieces.
    assert found.volume == pytest.approx(volume, rel=1e-5)
    assert found.centre == pytest.approx(centre, abs=0.05)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(
    "normal",
    [(0.0, 0.0, 1.0), (-0.05, 0.0, 1.0), (1.0, 0.0, 0.0), (1.0, 1.0, 0.0), (0.0, 1.0, 0.0), (1.0, -0.2, 0.2)],
)
def test_outline_and_waterplane_have_the_area_of_the_kernels_cut(
    name: str, normal: tuple[float, float, float], bodies: dict[str, TopoDS_Shape]
) -> None:
    hull, at = demo(name), np.array([2600.0, 40.0, 480.0])
    plane = Plane.through(at, normal)
    n = [float(part) for part in plane.normal]
    face = BRepBuilderAPI_MakeFace(gp_Pln(gp_Pnt(*at), gp_Dir(*n)), -9e3, 9e3, -9e3, 9e3).Face()
    properties = GProp_GProps()
    # Below all gunwales, since across the top an outline may run straight where the body's lid does not.
    level = Plane.through((0.0, 0.0, 500.0), (0.0, 0.0, 1.0))
    BRepGProp.SurfaceProperties_s(
        BRepAlgoAPI_Common(face, below(bodies[name], level)).Shape(), properties, 1e-7
    )
    area = properties.Mass()
    points = clipped(hull.plan_outline(plane), level)
    turned = np.cross(points, np.roll(points, -1, axis=0)).sum(axis=0) / 2.0
    # Points stand 25 mm apart, which leaves out the chords' share of a curved outline.
    assert turned @ plane.normal == pytest.approx(area, rel=2e-4)
    fine = clipped(hull.plan_outline(plane, spacing=2.0), level)
    turned = np.cross(fine, np.roll(fine, -1, axis=0)).sum(axis=0) / 2.0
    assert turned @ plane.normal == pytest.approx(area, rel=1e-5)
    if plane.normal[2] > 0.99 and abs(points[:, 2].max() - 500.0) > 1.0:
        assert hull.waterplane(plane).area == pytest.approx(area, rel=1e-5)


@pytest.mark.parametrize("name", NAMES)
def test_gap_is_the_kernels_distance_to_the_skin(name: str, bodies: dict[str, TopoDS_Shape]) -> None:
    hull = demo(name)
    shell = TopExp_Explorer(bodies[name], TopAbs_SHELL).Current()
    rng = np.random.default_rng(18)
    x = rng.uniform(200.0, 3400.0, 12)
    side = np.array([hull.half_breadth(a, 460.0) for a in x])
    points = np.column_stack([x, side - rng.uniform(2.0, 80.0, 12), rng.uniform(420.0, 460.0, 12)])
    found = hull.gap(points)
    for point, distance in zip(points, found, strict=True):
        vertex = BRepBuilderAPI_MakeVertex(gp_Pnt(*(float(p) for p in point))).Vertex()
        least = BRepExtrema_DistShapeShape(vertex, shell).Value()
        # Far from ends and top the nearest face of the body is one of the skin.
        assert abs(distance) == pytest.approx(least, abs=0.01)


def test_closed_forms_are_the_kernels_too() -> None:
    length, beam, draught = 10000.0, 1000.0, 625.0
    form = wigley(length, beam, draught)
    x, z = np.linspace(0, length, 11), np.linspace(0, draught, 7)
    straight = body_solid(waterlines(form, x, z, straight=True))
    bilinear = 4.0 / 9.0 * length * beam * draught * (1 - 1 / 100) * (1 - 1 / 144)
    assert volume_and_centre(straight)[0] == pytest.approx(bilinear, rel=1e-9)
    prism = body_solid(vee(5000.0, math.radians(15.0), 250.0))
    assert volume_and_centre(prism)[0] / 1e9 == pytest.approx(1.166266, rel=1e-6)


def as_trimesh(mesh: Mesh) -> trimesh.Trimesh:
    return trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)


def sampled() -> dict[str, Hull]:
    form = wigley(5000.0, 1500.0, 500.0)
    found = {name: demo(name) for name in NAMES}
    x, z = np.linspace(0.0, 5000.0, 11), np.linspace(0.0, 500.0, 7)
    found["closed ends"] = replace(bowed(form, x, z), thickness=3.0)
    return found


@pytest.mark.parametrize("name", [*NAMES, "closed ends"])
def test_meshes_are_closed_and_weigh_right(name: str) -> None:
    hull = sampled()[name]
    body, sheet, skin = (as_trimesh(make(hull)) for make in (body_mesh, sheet_mesh, skin_mesh))
    for mesh in (body, sheet):
        assert mesh.is_watertight
        assert mesh.is_winding_consistent
    assert body.volume == pytest.approx(hull.volume_below(TOP).volume, rel=1e-4)
    assert skin.faces.shape[1] == 3
    # Sheet over skin, transom and bow plate: area times thickness, a little more as it lies outside.
    ends = body.area - skin.area - deck_area(hull)
    assert sheet.volume == pytest.approx((skin.area + ends) * hull.thickness, rel=0.01)
    assert sheet.volume > (skin.area + ends) * hull.thickness


def deck_area(hull: Hull) -> float:
    """Straight across from gunwale to gunwale, between the ends."""
    x = np.linspace(*hull.span, 4001)
    port, starboard = hull.line("gunwale", x), hull.line("gunwale", x, "starboard")
    inside = np.all([end.height(port) <= 1e-6 for end in hull.ends], axis=0) if hull.ends else True
    breadth = np.where(inside, port[:, 1] - starboard[:, 1], 0.0)
    rise = np.gradient(port[:, 2], x)
    return float(np.trapezoid(breadth * np.sqrt(1.0 + rise**2), x))


def test_skin_mesh_faces_out_of_the_boat() -> None:
    mesh = as_trimesh(skin_mesh(demo("vee18")))
    middle, normal = mesh.triangles_center, mesh.face_normals
    assert (demo("vee18").gap(middle + normal * 20.0) < demo("vee18").gap(middle - normal * 20.0)).all()


def test_meshes_repeat_exactly() -> None:
    one, two = sheet_mesh(demo("lake16")), sheet_mesh(demo("lake16"))
    assert np.array_equal(one.vertices, two.vertices)
    assert np.array_equal(one.faces, two.faces)


@pytest.mark.parametrize("name", [*NAMES, "closed ends"])
def test_sheet_solid_is_valid_and_weighs_what_its_mesh_does(name: str) -> None:
    hull = sampled()[name]
    solid = sheet_solid(hull)
    assert BRepCheck_Analyzer(solid).IsValid()
    assert volume_and_centre(solid)[0] == pytest.approx(sheet_mesh(hull, 20.0).volume, rel=1e-3)
    # Its inside lies on the skin and its outside a thickness away.
    mesh = sheet_mesh(hull)
    x = mesh.vertices[:, 0]
    clear = (x > 300.0) & (x < hull.span[1] - 300.0)
    gaps = hull.gap(mesh.vertices[clear])
    assert np.abs(gaps[np.abs(gaps) < 0.1]).max() < 0.01
    outside = gaps[np.abs(gaps) >= 0.1]
    assert outside.max() < -0.9 * hull.thickness
    with pytest.raises(ValueError, match="no thickness"):
        sheet_solid(replace(hull, thickness=0.0))
