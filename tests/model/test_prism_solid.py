"""Prisms and strips as kernel solids: the CAD kernel weighs them against the closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GeomAbs import GeomAbs_Cylinder
from OCP.GProp import GProp_GProps
from OCP.TopAbs import TopAbs_FACE
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Shape

from model.geometry import Frame
from model.mesh import Mesh
from model.prism import Prism
from model.prism_solid import prism_solid
from model.strip import Strip
from model.strip_solid import mesh_solid, strip_solid
from parts.alloy import Alloy, Strength
from parts.outline import Loop
from parts.sheet import Sheet

NONE = Strength(0.0, "not used here")
SHEET = Sheet("3 mm", 3.0, Alloy("plain", "sheet", 2700.0, 7e4, 2.7e4, NONE, NONE, (), {}), ((1219, 2438),))
TILTED = Frame.make((100.0, -40.0, 300.0), (0.6, 0.8, 0.1), (0.2, -0.3, 1.0))

PRISMS = {
    "rectangle": (Loop.rectangle(400, 250), ()),
    "clockwise": (Loop.rectangle(400, 250, 40).reversed(), (Loop.circle(30).reversed(),)),
    "washer": (Loop.circle(200), (Loop.circle(120, (5, 3)),)),
    "deck": (
        Loop.rounded([(0, 0), (900, 0), (900, 400), (600, 700), (0, 700), (0, 500), (300, 350)], 20),
        (Loop.rectangle(200, 150, 25, (700, 150)), Loop.circle(90, (450, 600))),
    ),
}


def measured(shape: TopoDS_Shape) -> GProp_GProps:
    assert BRepCheck_Analyzer(shape).IsValid()
    found = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, found, 1e-10)
    return found


def faces(shape: TopoDS_Shape) -> list[BRepAdaptor_Surface]:
    found, explorer = [], TopExp_Explorer(shape, TopAbs_FACE)
    while explorer.More():
        found.append(BRepAdaptor_Surface(TopoDS.Face_s(explorer.Current())))
        explorer.Next()
    return found


@pytest.mark.parametrize("name", PRISMS)
def test_kernel_agrees_with_the_closed_forms(name: str) -> None:
    outline, holes = PRISMS[name]
    prism = Prism(TILTED, outline, holes, -3.0, 1.5)
    solid = prism_solid(prism)
    weight = measured(solid)
    assert weight.Mass() == pytest.approx(prism.volume, rel=1e-9)
    centre = weight.CentreOfMass()
    assert np.allclose([centre.X(), centre.Y(), centre.Z()], prism.centre, atol=1e-6)
    surface = GProp_GProps()
    BRepGProp.SurfaceProperties_s(solid, surface, 1e-10)
    assert surface.Mass() == pytest.approx(prism.surface_area, rel=1e-9)


def test_arcs_become_cylinders() -> None:
    outline, holes = PRISMS["deck"]
    made = faces(prism_solid(Prism(TILTED, outline, holes, -3.0, 0.0)))
    arcs = sum(int((loop.bulges != 0).sum()) for loop in (outline, *holes))
    assert sum(face.GetType() == GeomAbs_Cylinder for face in made) == arcs
    assert len(made) == 2 + sum(len(loop.points) for loop in (outline, *holes))


@pytest.mark.parametrize("facet", [0.0, 0.5])
@pytest.mark.parametrize("kind", ["cone", "twisted", "leaf"])
def test_strips_are_valid_closed_solids(kind: str, facet: float) -> None:
    """The kernel's own check, and its volume against the mesh and against area times thickness."""
    turn, x = np.linspace(0, 2.0, 81), np.linspace(0, 2000, 61)
    zero = np.zeros_like(x)
    bulge = 90 * np.sin(np.pi * x / 2000)
    edges = {
        "cone": (
            np.stack([800 * np.cos(turn), 800 * np.sin(turn), 0 * turn], axis=1),
            np.tile([0, 0, 900.0], (81, 1)),
        ),
        "twisted": (
            np.stack([x, 500 - 1e-4 * x**2, zero], axis=1),
            np.stack([x, 700 - 1.4e-4 * x**2, 300 + 0.02 * x], axis=1),
        ),
        "leaf": (np.stack([x, -bulge, zero], axis=1), np.stack([x, bulge, 1e-5 * x**2], axis=1)),
    }
    strip = Strip(kind, *edges[kind], SHEET)
    volume = measured(strip_solid(strip, facet)).Mass()
    assert volume == pytest.approx(strip.volume, rel=6e-3)
    if not facet:
        assert volume == pytest.approx(strip.mesh().volume, rel=1e-9)
    else:
        assert len(strip.thinned(facet).edge_a) < 0.7 * len(strip.edge_a)


def test_an_open_mesh_is_refused() -> None:
    whole = Prism(TILTED, Loop.rectangle(40, 30), (), 0, 5).mesh()
    assert measured(mesh_solid(whole)).Mass() == pytest.approx(6000, rel=1e-9)
    with pytest.raises(ValueError, match="do not close"):
        mesh_solid(Mesh(whole.vertices, whole.faces[1:]))
