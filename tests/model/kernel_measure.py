"""What the CAD kernel measures on the boundary of a solid: the judge of the closed forms."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from OCP.Bnd import Bnd_Box
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepGProp import BRepGProp
from OCP.GeomAbs import GeomAbs_Line, GeomAbs_Plane
from OCP.gp import gp_Trsf
from OCP.GProp import GProp_GProps
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_REVERSED
from OCP.TopExp import TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS, TopoDS_Shape

from model.geometry import Frame

ACROSS = 1e-6
"""A plane whose normal's x part is below this runs along the tube: it is a long face, not an end."""


@dataclass
class PlaneFace:
    """A flat face: its outward normal, its least and greatest corner, the ways of its straight edges."""

    normal: np.ndarray
    box: np.ndarray
    edges: np.ndarray


def in_frame(shape: TopoDS_Shape, frame: Frame) -> TopoDS_Shape:
    """The shape as seen in `frame`: its coordinates become the frame's."""
    rows = np.column_stack([frame.axes, -frame.axes @ frame.origin])
    move = gp_Trsf()
    move.SetValues(*(float(value) for value in rows.ravel()))
    return shape.Moved(TopLoc_Location(move))


def box(shape: TopoDS_Shape) -> np.ndarray:
    """Least and greatest corner `(2, 3)` of the exact surfaces."""
    found = Bnd_Box()
    BRepBndLib.AddOptimal_s(shape, found, False, False)
    found.SetGap(0.0)
    return np.array(found.Get()).reshape(2, 3)


def volume_and_centre(shape: TopoDS_Shape) -> tuple[float, np.ndarray]:
    """By the kernel's own integration over the faces."""
    found = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, found)
    centre = found.CentreOfMass()
    return found.Mass(), np.array([centre.X(), centre.Y(), centre.Z()])


def plane_faces(shape: TopoDS_Shape) -> list[PlaneFace]:
    """Every flat face of the shape."""
    found = []
    for face in _parts(shape, TopAbs_FACE):
        surface = BRepAdaptor_Surface(TopoDS.Face_s(face))
        if surface.GetType() != GeomAbs_Plane:
            continue
        axis = surface.Plane().Axis().Direction()
        sense = -1.0 if face.Orientation() == TopAbs_REVERSED else 1.0
        if not surface.Plane().Direct():
            sense = -sense
        normal = sense * np.array([axis.X(), axis.Y(), axis.Z()])
        found.append(PlaneFace(normal, box(face), _line_directions(face)))
    return found


def _line_directions(face: TopoDS_Shape) -> np.ndarray:
    found = []
    for edge in _parts(face, TopAbs_EDGE):
        curve = BRepAdaptor_Curve(TopoDS.Edge_s(edge))
        if curve.GetType() == GeomAbs_Line and not BRep_Tool.Degenerated_s(TopoDS.Edge_s(edge)):
            way = curve.Line().Direction()
            found.append((way.X(), way.Y(), way.Z()))
    return np.array(found).reshape(-1, 3)


def _parts(shape: TopoDS_Shape, kind: object) -> list[TopoDS_Shape]:
    found, explorer = [], TopExp_Explorer(shape, kind)
    while explorer.More():
        found.append(explorer.Current())
        explorer.Next()
    return found


def end_faces(faces: list[PlaneFace]) -> tuple[PlaneFace, PlaneFace]:
    """The faces of ends A and B of a member seen in its own frame."""
    a = [face for face in faces if face.normal[0] < -ACROSS]
    b = [face for face in faces if face.normal[0] > ACROSS]
    assert len(a) == len(b) == 1
    return a[0], b[0]


def saw_setting(faces: list[PlaneFace], end: PlaneFace, down: np.ndarray) -> tuple[float, float] | None:
    """Mitre and bevel measured as on the saw, rad, with a long face of outward normal `down` on the table.

    The mitre is the angle, on the table, between the edge that the cut leaves on the face that lies down and
    a square line across it; the bevel is how far the angle between cut and table is from a right angle.
    """
    across = np.cross([1.0, 0.0, 0.0], down)
    for face in faces:
        if face.normal @ down < 1.0 - 1e-9:
            continue
        cut = [way for way in face.edges if abs(way[0]) < math.cos(math.radians(5.0)) and _on(way, end)]
        if cut:
            way = cut[0] * np.sign(cut[0] @ across)
            return math.atan2(way[0], way @ across), math.acos(float(end.normal @ down)) - math.pi / 2.0
    return None


def _on(way: np.ndarray, end: PlaneFace) -> bool:
    return bool(abs(way @ end.normal) < 1e-9)
