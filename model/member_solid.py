"""Members as true solids of the CAD kernel: the outline with its arcs, drawn long, cut at both end planes.

This reads the record alone (section outline, axis, roll, end planes) and none of the closed forms, so that
the two can be held against each other. The kernel takes over a second to import: import this module late.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeWire
from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder, BRepPrimAPI_MakeHalfSpace, BRepPrimAPI_MakePrism
from OCP.GC import GC_MakeArcOfCircle
from OCP.gp import gp_Ax2, gp_Dir, gp_Pln, gp_Pnt, gp_Vec
from OCP.TopAbs import TopAbs_SOLID
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Shape, TopoDS_Solid, TopoDS_Wire
from OCP.TopTools import TopTools_ListOfShape

from model.geometry import Array, Frame, Plane

if TYPE_CHECKING:
    from model.hole import Hole
    from model.member import Member
    from parts.outline import Loop

SPARE = 5.0
"""Length drawn beyond the last metal at each end before the cut, mm."""


def point(at: Array) -> Any:
    """A kernel point from `(3,)` mm."""
    return gp_Pnt(float(at[0]), float(at[1]), float(at[2]))


def wire(loop: Loop, frame: Frame) -> TopoDS_Wire:
    """The loop on the frame's plane, its two coordinates along the frame's y and z; arcs stay arcs."""
    across = np.stack([frame.y, frame.z])
    corners, middles = (points @ across + frame.origin for points in (loop.points, loop.apexes))
    maker = BRepBuilderAPI_MakeWire()
    for place, bulge in enumerate(loop.bulges):
        here, ahead = point(corners[place]), point(corners[(place + 1) % len(corners)])
        if bulge == 0.0:
            maker.Add(BRepBuilderAPI_MakeEdge(here, ahead).Edge())
        else:
            arc = GC_MakeArcOfCircle(here, point(middles[place]), ahead).Value()
            maker.Add(BRepBuilderAPI_MakeEdge(arc).Edge())
    return maker.Wire()


def half_space(plane: Plane) -> TopoDS_Shape:
    """All space on the side of the plane that its normal points to."""
    on = plane.normal * plane.offset
    normal = gp_Dir(*(float(part) for part in plane.normal))
    face = BRepBuilderAPI_MakeFace(gp_Pln(point(on), normal)).Face()
    return BRepPrimAPI_MakeHalfSpace(face, point(on + plane.normal)).Solid()


def drawn_length(member: Member) -> tuple[float, float]:
    """Positions along the axis, mm from a, between which all metal of the member lies, with some to spare."""
    reach = math.hypot(member.section.width, member.section.height) / 2.0
    found = []
    for plane in (member.end_a, member.end_b):
        facing = float(plane.normal @ member.axis)
        at = -float(plane.height(member.a)) / facing
        found.append((at, reach * math.sqrt(max(1.0 - facing**2, 0.0)) / abs(facing) + SPARE))
    (near, near_spare), (far, far_spare) = found
    return near - near_spare, far + far_spare


def stock(member: Member) -> TopoDS_Shape:
    """The tube before its ends are cut, longer than the member at both."""
    start, stop = drawn_length(member)
    frame = member.frame.moved(dx=start)
    maker = BRepBuilderAPI_MakeFace(wire(member.section.outer.ccw(), frame), True)
    for hole in member.section.holes:
        maker.Add(wire(hole.cw(), frame))
    along = frame.x * (stop - start)
    return BRepPrimAPI_MakePrism(maker.Face(), gp_Vec(*(float(part) for part in along))).Shape()


def drill(member: Member, hole: Hole) -> TopoDS_Shape:
    """The cylinder that a drill sweeps through a member."""
    way = member.frame.axes.T @ hole.way
    reach = math.hypot(member.section.width, member.section.height)
    start = member.frame.to_boat(hole.middle) - reach * way
    axis = gp_Ax2(point(start), gp_Dir(*(float(part) for part in way)))
    return BRepPrimAPI_MakeCylinder(axis, hole.diameter / 2.0, 2.0 * reach).Shape()


def member_solid(member: Member) -> TopoDS_Solid:
    """The member as one kernel solid in the boat's frame, mm.

    Raises:
        ValueError: the member is cut away, or the cut does not leave one solid.
    """
    if member.is_cut_away:
        raise ValueError(f"{member.name} is cut away by its own ends and has no solid")
    stocks, tools = TopTools_ListOfShape(), TopTools_ListOfShape()
    stocks.Append(stock(member))
    for plane in (member.end_a, member.end_b):
        tools.Append(half_space(plane))
    for hole in member.holes:
        tools.Append(drill(member, hole))
    cut = BRepAlgoAPI_Cut()
    cut.SetArguments(stocks)
    cut.SetTools(tools)
    cut.Build()
    return _only_solid(cut.Shape(), member.name)


def _only_solid(shape: TopoDS_Shape, name: str) -> TopoDS_Solid:
    found = []
    explorer = TopExp_Explorer(shape, TopAbs_SOLID)
    while explorer.More():
        found.append(TopoDS.Solid_s(explorer.Current()))
        explorer.Next()
    if len(found) != 1:
        raise ValueError(f"the kernel made {len(found)} solids of {name}, not one")
    return found[0]
