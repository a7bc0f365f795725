"""How far a joint's point lies off the member that it is said to meet."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from model.geometry import Array
from model.member import Member
from model.skeleton.records import Joint

TOUCHING = ("corner", "tee", "post")
"""Kinds of joint in which metal is to touch metal."""


def measured(joint: Joint, members: Mapping[str, Member]) -> Joint:
    """The joint with the distance from its point to the member that it is said to meet.

    Args:
        joint: one that is to touch; any other is given back as it is.
        members: by name, among them what it meets; inf where that is left out.
    """
    if joint.kind not in TOUCHING:
        return joint
    other = members.get(joint.other or "")
    gap = np.inf if other is None else _distance(other, joint.point)
    return Joint(joint.kind, joint.member, joint.end, joint.other, joint.point, gap, gap)


def _distance(member: Member, point: Array) -> float:
    """Distance of a point from a member's outside, as if its tube were solid; 0 inside."""
    _, y, z = member.frame.to_frame(point).tolist()
    across = max(abs(y) - member.section.width / 2, 0.0)
    up = max(abs(z) - member.section.height / 2, 0.0)
    ends = max(float(member.end_a.height(point)), float(member.end_b.height(point)), 0.0)
    return math.hypot(across, up, ends)
