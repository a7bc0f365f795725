"""A rod as true solids of the CAD kernel, and how much of it lies in others."""

from __future__ import annotations

import math

import numpy as np
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace as MakeFace
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakePolygon
from OCP.BRepPrimAPI import BRepPrimAPI_MakeCone, BRepPrimAPI_MakePrism, BRepPrimAPI_MakeSphere
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt, gp_Vec

from tests.model.kernel_measure import volume_and_centre


def rod_solids(rod, pose):
    """Ball at each end, the cone that touches both, and the reel's box: together the whole rod."""
    big, small = rod.radii
    sine = (big - small) / pose.span
    cosine = math.sqrt(1 - sine * sine)
    way = pose.way
    # the cone touches the balls in circles that lie `radius * sine` towards the tip of their middles
    at = pose.butt + big * sine * way
    axis = gp_Ax2(_point(at), gp_Dir(*map(float, way)))
    high = pose.span - (big - small) * sine
    found = [BRepPrimAPI_MakeSphere(_point(pose.butt), big).Shape()]
    found.append(BRepPrimAPI_MakeSphere(_point(pose.tip), small).Shape())
    found.append(BRepPrimAPI_MakeCone(axis, big * cosine, small * cosine, high).Shape())
    box = pose.reel_corners(rod)
    if len(box):
        outline = BRepBuilderAPI_MakePolygon()
        for corner in box[:4]:
            outline.Add(_point(corner))
        outline.Close()
        run = gp_Vec(*map(float, box[4] - box[0]))
        found.append(BRepPrimAPI_MakePrism(MakeFace(outline.Wire()).Face(), run).Shape())
    return found


def common_volume(one, other):
    """Volume that two solids share, mm3."""
    both = BRepAlgoAPI_Common(one, other)
    both.Build()
    assert both.IsDone()
    return abs(volume_and_centre(both.Shape())[0])


def _point(at):
    return gp_Pnt(*(float(v) for v in np.asarray(at)))
