"""Prisms, and so flat panels and the blocks of fittings, as true solids of the CAD kernel.

This reads the record alone and none of its closed forms, so that the two can be held against each
other. The kernel takes over a second to import: import this module late.
"""

from __future__ import annotations

from collections.abc import Sequence

from OCP.BRepAlgoAPI import BRepAlgoAPI_Fuse
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
from OCP.gp import gp_Vec
from OCP.ShapeUpgrade import ShapeUpgrade_UnifySameDomain
from OCP.TopAbs import TopAbs_SOLID
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Solid

from model.geometry import Frame
from model.member_solid import wire
from model.prism import Prism


def prism_solid(prism: Prism) -> TopoDS_Solid:
    """The prism as one kernel solid in the boat's frame, mm, arcs true.

    Raises:
        ValueError: the outline bounds no face (it crosses itself, or a hole lies outside).
    """
    frame = prism.frame.moved(dz=prism.z0)
    lying = Frame(frame.origin, frame.z, frame.x, frame.y)  # `wire` draws on a frame's y and z
    maker = BRepBuilderAPI_MakeFace(wire(prism.outline.ccw(), lying), True)
    for hole in prism.holes:
        maker.Add(wire(hole.cw(), lying))
    if not maker.IsDone():
        raise ValueError("the kernel finds no face within the outline of a prism")
    up = frame.z * prism.thickness
    shape = BRepPrimAPI_MakePrism(maker.Face(), gp_Vec(*(float(part) for part in up))).Shape()
    return TopoDS.Solid_s(shape)


def joined_solid(prisms: Sequence[Prism]) -> TopoDS_Solid:
    """Prisms that touch face on face, such as the flat part of a piece and its flanges, as one kernel solid.

    Raises:
        ValueError: they do not hang together, or one has no face.
    """
    whole, *others = (prism_solid(prism) for prism in prisms)
    if not others:
        return whole
    for other in others:
        whole = BRepAlgoAPI_Fuse(whole, other).Shape()
    tidy = ShapeUpgrade_UnifySameDomain(whole, True, True, False)
    tidy.Build()
    found = []
    walk = TopExp_Explorer(tidy.Shape(), TopAbs_SOLID)
    while walk.More():
        found.append(TopoDS.Solid_s(walk.Current()))
        walk.Next()
    if len(found) != 1:
        raise ValueError(f"the prisms make {len(found)} solids and not one")
    return found[0]
