"""Members that the file places in space, trimmed to what they are said to meet."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import numpy as np

from model.findings import Finding
from model.geometry import Array, Plane
from model.hull import Hull
from model.layout.records import Path, SpaceMember
from model.member import Member
from model.skeleton.landing import lift_off_skin
from model.skeleton.records import Joint, Refusal
from parts.faults import did_you_mean

LEAST_SQUARE = 0.17
"""Cosine of 80 degrees; an end that comes upon a face more slantwise is not cut to it."""


@dataclass
class Placed:
    """The members placed by hand, their joints, what they fail to meet, and what cannot be."""

    members: list[Member] = field(default_factory=list)
    joints: list[Joint] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    refusals: list[Refusal] = field(default_factory=list)


def place_members(
    wanted: tuple[SpaceMember, ...], members: dict[str, Member], hull: Hull, fit_gap: float
) -> Placed:
    """The members placed by hand; each may meet `members` and those placed before it."""
    found = Placed()
    known = dict(members)
    for item in wanted:
        member = _placed(item, known, hull, fit_gap, found)
        if member is not None:
            found.members.append(member)
            known[member.name] = member
    return found


def _placed(
    item: SpaceMember, known: dict[str, Member], hull: Hull, fit_gap: float, found: Placed
) -> Member | None:
    """One member with its ends trimmed; None with a refusal where it cannot be."""
    member = Member.along(item.name, item.section, item.start, item.end)
    member = replace(member, roll=member.roll + item.turn)
    axis, refused = member.axis, len(found.refusals)
    for end, key, meets in (("A", "start_meets", item.start_meets), ("B", "end_meets", item.end_meets)):
        point = member.a if end == "A" else member.b
        if meets is None:
            found.joints.append(Joint("free", member.name, end, None, point, 0.0, 0.0))
        elif meets == "hull":
            member = _to_hull(member, end, hull, fit_gap, found)
        elif meets in known:
            member = _to_member(member, end, known[meets], (*item.path, key), found)
        else:
            right = did_you_mean(meets, [*known, "hull"])
            found.refusals.append(Refusal((*item.path, key), f"there is no member called {meets!r}", right))
    if len(found.refusals) > refused:
        return None
    if member.is_cut_away or float((member.b - member.a) @ axis) <= 0.0:
        what = f"the member {item.name} is shorter than its own cuts"
        found.refusals.append(Refusal(item.path, what, "set its ends further apart"))
        return None
    return member


def _to_member(member: Member, end: str, other: Member, path: Path, found: Placed) -> Member:
    """The end cut to the side of another member that it comes upon."""
    point = member.a if end == "A" else member.b
    way = -member.axis if end == "A" else member.axis
    plane = _facing(other, way)
    square = float(plane.normal @ way)
    if square < LEAST_SQUARE:
        found.refusals.append(
            Refusal(path, f"it runs along {other.name} and never meets it", "turn it, or meet another member")
        )
        return member
    foot = point - float(plane.height(point)) / square * way
    found.joints.append(Joint("tee", member.name, end, other.name, foot, 0.0, 0.0))
    return _ended(member, end, foot, plane)


def _ended(member: Member, end: str, point: Array, plane: Plane) -> Member:
    """The member with one end at an axis point, cut by a plane."""
    if end == "A":
        return replace(member, a=point, end_a=plane)
    return replace(member, b=point, end_b=plane)


def _facing(other: Member, way: Array) -> Plane:
    """The side face of `other` that an end coming along `way` meets most squarely; its normal along `way`."""
    frame, section = other.frame, other.section
    faces = [
        (sign * axis, half)
        for axis, half in ((frame.y, section.width / 2), (frame.z, section.height / 2))
        for sign in (1, -1)
    ]
    normal, half = max(faces, key=lambda face: float(-face[0] @ way))
    return Plane.through(frame.origin + half * normal, -normal)


def _to_hull(member: Member, end: str, hull: Hull, fit_gap: float, found: Placed) -> Member:
    """The end run out (or back) along its axis to the skin and held off it by the fit gap."""
    point = member.a if end == "A" else member.b
    way = -member.axis if end == "A" else member.axis
    travel = np.linspace(-member.span * 0.9, 2000.0, 400)
    gaps = hull.gap(point + travel[:, None] * way)
    out = np.flatnonzero((gaps[:-1] > 0) & (gaps[1:] <= 0))
    if not len(out):
        what, cure = "never meets the hull along its axis", "turn it, or end it elsewhere"
        found.findings.append(Finding("frame", (member.name,), what, cure, point))
        return member
    low, high = float(travel[out[0]]), float(travel[out[0] + 1])
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if float(hull.gap((point + middle * way)[None])[0]) > 0 else (low, middle)
    foot = point + low * way
    step = 0.5
    probes = foot + step * np.vstack([np.eye(3), -np.eye(3)])
    slope = hull.gap(probes)
    normal = -(slope[:3] - slope[3:])
    flipped = _turned_about(member) if end == "B" else member
    posed = replace(flipped, end_a=Plane.through(foot, normal))
    plane, least, widest = lift_off_skin(hull, [posed], fit_gap)[0]
    at = foot + way * (-float(plane.height(foot)) / float(plane.normal @ way))
    found.joints.append(Joint("hull", member.name, end, "hull", at, least, widest))
    return _ended(member, end, at, plane)


def _turned_about(member: Member) -> Member:
    """The same tube told from its other end."""
    turned = Member.along(
        member.name, member.section, member.b, member.a, member.frame.z, member.end_b, member.end_a
    )
    return turned if math.isfinite(turned.roll) else member
