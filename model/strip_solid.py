"""Strips as solids of the CAD kernel, made of flat facets between their rulings.

The kernel takes over a second to import: import this module late.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from OCP.BRep import BRep_Builder, BRep_Tool
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeShapeOnMesh, BRepBuilderAPI_MakeSolid
from OCP.BRepLib import BRepLib
from OCP.gp import gp_Pnt
from OCP.Poly import Poly_Triangle, Poly_Triangulation
from OCP.TopAbs import TopAbs_FACE
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS_Shell, TopoDS_Solid

from model.mesh import Mesh

if TYPE_CHECKING:
    from model.strip import Strip

FACET = 0.2
"""Rulings are left out of a solid where no point of an edge moves by more than this, mm."""


def strip_solid(strip: Strip, facet: float = FACET) -> TopoDS_Solid:
    """The strip's metal as one closed kernel solid in the boat's frame, mm.

    Args:
        strip: the strip.
        facet: greatest distance of an edge from its facets, mm; 0 keeps every ruling.

    Raises:
        ValueError: the facets do not close.
    """
    return mesh_solid(strip.thinned(facet).mesh() if facet > 0 else strip.mesh())


def mesh_solid(mesh: Mesh) -> TopoDS_Solid:
    """A closed mesh as a kernel solid with one flat face for each triangle.

    Raises:
        ValueError: the triangles do not make one closed shell.
    """
    table = Poly_Triangulation(len(mesh.vertices), len(mesh.faces), False)
    for i, point in enumerate(mesh.vertices.tolist(), start=1):
        table.SetNode(i, gp_Pnt(*point))
    for i, corners in enumerate((mesh.faces + 1).tolist(), start=1):
        table.SetTriangle(i, Poly_Triangle(*corners))
    maker = BRepBuilderAPI_MakeShapeOnMesh(table)
    maker.Build()
    shell, builder = TopoDS_Shell(), BRep_Builder()
    builder.MakeShell(shell)
    explorer = TopExp_Explorer(maker.Shape(), TopAbs_FACE)
    while explorer.More():
        builder.Add(shell, explorer.Current())  # its neighbours share their edges already
        explorer.Next()
    shell.Closed(BRep_Tool.IsClosed_s(shell))
    if not shell.Closed():
        raise ValueError("the triangles of a mesh do not close")
    solid = BRepBuilderAPI_MakeSolid(shell).Solid()
    BRepLib.OrientClosedSolid_s(solid)
    return solid
