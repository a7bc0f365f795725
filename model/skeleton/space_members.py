"""Members that the file places in space, trimmed to what they are said to meet."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from model.findings import Finding
from model.geometry import Array, Plane
from model.hull import Hull
from model.layout.records import SpaceMember
from model.member import Member
from model.skeleton.landing import lift_off_skin
from model.skeleton.records import Joint


def place_members(
    wanted: tuple[SpaceMember, ...], members: dict[str, Member], hull: Hull, fit_gap: float
) -> tuple[list[Member], list[Joint], list[Finding]]:
    """The members placed by hand, their joints, and what they fail to meet."""
    made: list[Member] = []
    joints: list[Joint] = []
    findings: list[Finding] = []
    for item in wanted:
        member = Member.along(item.name, item.section, item.start, item.end)
        member = replace(member, roll=member.roll + item.turn)
        for end, meets in (("A", item.start_meets), ("B", item.end_meets)):
            member, joint, finding = _trimmed(
                member, end, meets, {**members, **{m.name: m for m in made}}, hull, fit_gap
            )
            if joint is not None:
                joints.append(joint)
            if finding is not None:
                findings.append(finding)
        if member.is_cut_away:
            findings.append(
                Finding(
                    "frame",
                    (item.name,),
                    "the member is shorter than its own cuts",
                    "set its ends apart",
                    member.a,
                )
            )
            continue
        made.append(member)
    return made, joints, findings


def _trimmed(
    member: Member, end: str, meets: str | None, members: dict[str, Member], hull: Hull, fit_gap: float
) -> tuple[Member, Joint | None, Finding | None]:
    point = member.a if end == "A" else member.b
    if meets is None:
        return member, Joint("free", member.name, end, None, point, 0.0, 0.0), None
    if meets == "hull":
        return _to_hull(member, end, hull, fit_gap)
    other = members.get(meets)
    if other is None:
        what = f"is to meet {meets!r}, which is no member"
        return member, None, Finding("frame", (member.name,), what, "name a member of the saw list", point)
    way = -member.axis if end == "A" else member.axis
    plane = _facing(other, point, way)
    travel = -float(plane.height(point)) / float(plane.normal @ way)
    foot = point + travel * way
    return _ended(member, end, foot, plane), Joint("tee", member.name, end, other.name, foot, 0.0, 0.0), None


def _ended(member: Member, end: str, point: Array, plane: Plane) -> Member:
    """The member with one end at an axis point, cut by a plane."""
    if end == "A":
        return replace(member, a=point, end_a=plane)
    return replace(member, b=point, end_b=plane)


def _facing(other: Member, point: Array, way: Array) -> Plane:
    """The side face of `other` that an end coming along `way` meets most squarely; its normal along `way`."""
    frame, section = other.frame, other.section
    faces = [
        (sign * axis, half)
        for axis, half in ((frame.y, section.width / 2), (frame.z, section.height / 2))
        for sign in (1, -1)
    ]
    normal, half = max(faces, key=lambda face: float(-face[0] @ way))
    return Plane.through(frame.origin + half * normal, -normal)


def _to_hull(
    member: Member, end: str, hull: Hull, fit_gap: float
) -> tuple[Member, Joint | None, Finding | None]:
    """The end run out (or back) along its axis to the skin and held off it by the fit gap."""
    point = member.a if end == "A" else member.b
    way = -member.axis if end == "A" else member.axis
    travel = np.linspace(-member.span * 0.9, 2000.0, 400)
    gaps = hull.gap(point + travel[:, None] * way)
    out = np.flatnonzero((gaps[:-1] > 0) & (gaps[1:] <= 0))
    if not len(out):
        finding = Finding(
            "frame",
            (member.name,),
            "never meets the hull along its axis",
            "turn it, or end it elsewhere",
            point,
        )
        return member, None, finding
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
    return _ended(member, end, at, plane), Joint("hull", member.name, end, "hull", at, least, widest), None


def _turned_about(member: Member) -> Member:
    """The same tube told from its other end."""
    turned = Member.along(
        member.name, member.section, member.b, member.a, member.frame.z, member.end_b, member.end_a
    )
    return turned if math.isfinite(turned.roll) else member
