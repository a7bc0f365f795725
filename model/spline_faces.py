"""Spline surfaces of the CAD kernel, and solids sewn from them.

The kernel takes over a second to import: import this module late.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from OCP.BRepBuilderAPI import (
    BRepBuilderAPI_MakeEdge,
    BRepBuilderAPI_MakeFace,
    BRepBuilderAPI_MakePolygon,
    BRepBuilderAPI_MakeWire,
    BRepBuilderAPI_Sewing,
)
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeSolid as MakeSolid
from OCP.BRepGProp import BRepGProp
from OCP.BRepLib import BRepLib
from OCP.Geom import Geom_BSplineCurve, Geom_BSplineSurface
from OCP.gp import gp_Pnt
from OCP.GProp import GProp_GProps
from OCP.TColgp import TColgp_Array1OfPnt, TColgp_Array2OfPnt
from OCP.TColStd import TColStd_Array1OfInteger, TColStd_Array1OfReal
from OCP.TopAbs import TopAbs_SHELL
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Face, TopoDS_Shape, TopoDS_Solid

from model.geometry import Array

SEWN = 1e-4
"""Millimetres within which edges of neighbouring faces are one."""


def surface_face(
    poles: Array,
    knots_u: Array,
    times_u: Sequence[int],
    degree_u: int,
    knots_v: Array,
    times_v: Sequence[int],
    degree_v: int,
) -> TopoDS_Face:
    """The face of a spline surface from its poles `(m, n, 3) float` and its knots with multiplicities."""
    m, n = poles.shape[:2]
    grid = TColgp_Array2OfPnt(1, m, 1, n)
    for i in range(m):
        for j in range(n):
            grid.SetValue(i + 1, j + 1, gp_Pnt(*(float(part) for part in poles[i, j])))
    surface = Geom_BSplineSurface(
        grid, _reals(knots_u), _reals(knots_v), _whole(times_u), _whole(times_v), degree_u, degree_v
    )
    return BRepBuilderAPI_MakeFace(surface, 1e-6).Face()


def curve_edge(poles: Array, knots: Array, times: Sequence[int], degree: int) -> TopoDS_Edge:
    """The edge of a spline curve from its poles `(n, 3) float` and its knots with their multiplicities."""
    row = TColgp_Array1OfPnt(1, len(poles))
    for i, pole in enumerate(poles):
        row.SetValue(i + 1, gp_Pnt(*(float(part) for part in pole)))
    return BRepBuilderAPI_MakeEdge(Geom_BSplineCurve(row, _reals(knots), _whole(times), degree)).Edge()


def straight_edge(a: Array, b: Array) -> TopoDS_Edge:
    """The edge from one point to another."""
    ends = [gp_Pnt(*(float(part) for part in at)) for at in (a, b)]
    return BRepBuilderAPI_MakeEdge(*ends).Edge()


def flat_face(edges: Iterable[TopoDS_Edge]) -> TopoDS_Face:
    """The flat face within edges that follow one another.

    Raises:
        ValueError: they do not close, or do not lie in a plane.
    """
    wire = BRepBuilderAPI_MakeWire()
    for edge in edges:
        wire.Add(edge)
    face = BRepBuilderAPI_MakeFace(wire.Wire(), True)
    if not face.IsDone():
        raise ValueError("edges that do not close in a plane bound no flat face")
    return face.Face()


def polygon_face(points: Array) -> TopoDS_Face:
    """The flat face within a closed polygon `(n, 3) float`; points that repeat are left out."""
    maker = BRepBuilderAPI_MakePolygon()
    before = points[-1]
    for at in points:
        if np.abs(at - before).max() > SEWN:
            maker.Add(gp_Pnt(*(float(part) for part in at)))
            before = at
    maker.Close()
    return BRepBuilderAPI_MakeFace(maker.Wire(), True).Face()


def sewn_solid(faces: Iterable[TopoDS_Face]) -> TopoDS_Solid:
    """The solid that faces close in, turned so that its volume is positive.

    Raises:
        ValueError: they do not close in one body.
    """
    sewing = BRepBuilderAPI_Sewing(SEWN)
    for face in faces:
        sewing.Add(face)
    sewing.Perform()
    explorer = TopExp_Explorer(sewing.SewedShape(), TopAbs_SHELL)
    shells = []
    while explorer.More():
        shells.append(TopoDS.Shell_s(explorer.Current()))
        explorer.Next()
    if len(shells) != 1 or sewing.NbFreeEdges():
        raise ValueError(
            f"faces sew to {len(shells)} shells with {sewing.NbFreeEdges()} free edges, not to one body"
        )
    solid = MakeSolid(shells[0]).Solid()
    BRepLib.OrientClosedSolid_s(solid)
    return solid


def shape_volume(shape: TopoDS_Shape) -> float:
    """Volume of a shape by the kernel's own integration, mm3."""
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, properties, 1e-6)
    return float(properties.Mass())


def _reals(values: Array) -> TColStd_Array1OfReal:
    found = TColStd_Array1OfReal(1, len(values))
    for i, value in enumerate(values):
        found.SetValue(i + 1, float(value))
    return found


def _whole(values: Sequence[int]) -> TColStd_Array1OfInteger:
    found = TColStd_Array1OfInteger(1, len(values))
    for i, value in enumerate(values):
        found.SetValue(i + 1, int(value))
    return found
