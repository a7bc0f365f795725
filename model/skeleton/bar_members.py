"""Bars of a plane to members in the boat."""

from __future__ import annotations

import math

import numpy as np

from model.geometry import Frame, Plane, cross
from model.member import Member
from model.skeleton.plan_bar import Bar, Cut


def member_of(bar: Bar, frame: Frame, top: float) -> Member:
    """The member of a bar whose upper face lies at z = `top` of `frame`, in whose x-y plane it is drawn."""
    z = top - bar.depth / 2
    a, b = (frame.to_boat(np.array([p[0], p[1], z])) for p in (bar.p, bar.q))
    up = frame.z
    if bar.roll:
        across = cross(b - a, frame.z) / np.linalg.norm(b - a)
        up = math.cos(bar.roll) * frame.z + math.sin(bar.roll) * across
    return Member.along(bar.name, bar.section, a, b, up, _plane(bar.cut_p, frame), _plane(bar.cut_q, frame))


def _plane(cut: Cut, frame: Frame) -> Plane:
    across, along = cut.normal.tolist()
    normal = across * frame.x + along * frame.y
    return Plane(normal, float(normal @ frame.origin) + cut.offset)
