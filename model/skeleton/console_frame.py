"""The frame of a console: two mitred side frames on its profile, tied athwart at every corner."""

from __future__ import annotations

import numpy as np

from model.geometry import Array, Frame, Plane
from model.layout.records import ConsolePlan
from model.member import Member
from model.skeleton.bar_members import member_of
from model.skeleton.plan_bar import Bar, left_of
from model.skeleton.records import Joint
from model.skeleton.ring import Run, ring_bars


def side_frame(console: ConsolePlan, port: bool) -> Frame:
    """The plane of the outer face of the side frame on one hand of the boat: y up, z athwart and outward."""
    axes = console.frame
    out = axes.y if (axes.y[1] > 0) == port else -axes.y
    origin = axes.origin + out * (console.width / 2 - console.sheet.thickness)
    return Frame(origin, np.cross(axes.z, out), axes.z, out)


def profile_in(console: ConsolePlan, port: bool) -> Array:
    """The console's profile in the axes of its side frame, counter-clockwise, `(n, 2)`."""
    frame = side_frame(console, port)
    points = console.frame.to_boat(np.insert(console.profile, 1, 0.0, axis=1))
    flat = frame.to_frame(points)[:, :2]
    return flat if _area(flat) > 0 else flat[::-1]


def console_members(console: ConsolePlan) -> tuple[list[Member], list[Joint]]:
    """Members and joints of a console's frame, inside its sheets."""
    members: list[Member] = []
    joints: list[Joint] = []
    rings: list[list[Bar]] = []
    for port, side in ((True, "port"), (False, "starboard")):
        bars = ring_bars(_runs(console, port), console.section, f"{console.name}/{side}")
        rings.append(bars)
        frame = side_frame(console, port)
        for bar in bars:
            member = member_of(bar, frame, 0.0)
            members.append(member)
            for end, cut, point in (("A", bar.cut_p, member.a), ("B", bar.cut_q, member.b)):
                joints.append(Joint("corner", bar.name, end, cut.meets, point, 0.0, 0.0))
    ties, tie_joints = _ties(console, rings)
    return members + ties, joints + tie_joints


def _runs(console: ConsolePlan, port: bool) -> list[Run]:
    points = profile_in(console, port)
    steps = np.roll(points, -1, axis=0) - points
    labels = _labels(console, points, port)
    t = console.sheet.thickness
    runs = [Run(label, p, d / np.hypot(*d)) for label, p, d in zip(labels, points, steps, strict=True)]
    return [run if run.label == "foot" else run.inset(t) for run in runs]


def _labels(console: ConsolePlan, points: Array, port: bool) -> list[str]:
    """Names of the profile's sides in the order of `points`: foot, back, top, face, front."""
    names = ["foot", "back", "top", "face", "front"]
    own = console.profile
    middles = (own + np.roll(own, -1, axis=0)) / 2
    in_boat = console.frame.to_boat(np.insert(middles, 1, 0.0, axis=1))
    flat = side_frame(console, port).to_frame(in_boat)[:, :2]
    here = (points + np.roll(points, -1, axis=0)) / 2
    return [names[int(np.argmin(np.hypot(*(flat - m).T)))] for m in here]


def _ties(console: ConsolePlan, rings: list[list[Bar]]) -> tuple[list[Member], list[Joint]]:
    """Athwart members between the two side frames, one at each corner."""
    depth = console.section.height
    members, joints = [], []
    sides = [side_frame(console, True), side_frame(console, False)]
    for before, bar in zip([rings[0][-1], *rings[0]], rings[0], strict=False):
        label = bar.name.rpartition("/")[2].partition(".")[0]
        corner = bar.p + _drawn_in(before, bar, console.section.width / 2) * bar.direction
        a = sides[0].to_boat(np.append(corner, -depth))
        twin = next(
            other for other in rings[1] if other.name.rpartition("/")[2] == bar.name.rpartition("/")[2]
        )
        far = sides[1].to_boat(np.append(twin.p, -depth))
        b = a + console.frame.y * float((far - a) @ console.frame.y)
        name = f"{console.name}/tie.{label}"
        axis = (b - a) / np.linalg.norm(b - a)
        member = Member.along(
            name,
            console.section,
            a,
            b,
            bar_up(bar, sides[0]),
            Plane.through(a, -axis),
            Plane.through(b, axis),
        )
        members.append(member)
        joints.append(Joint("tee", name, "A", bar.name, a, 0.0, 0.0))
        joints.append(Joint("tee", name, "B", twin.name, b, 0.0, 0.0))
    return members, joints


def _drawn_in(before: Bar, bar: Bar, half: float) -> float:
    """How far from the corner along `bar` a square tie laid on it keeps within the bar before it."""
    outward = -left_of(before.direction)
    along, across = float(bar.direction @ outward), float(left_of(bar.direction) @ outward)
    out = half * (abs(along) + abs(across) - 1.0)
    return out / -along if out > 1e-9 and along < 0 else 0.0


def bar_up(bar: Bar, frame: Frame) -> Array:
    """The direction across a bar in its plane: a tie laid so lies flat on the bar it joins."""
    d = bar.direction
    found: Array = -d[1] * frame.x + d[0] * frame.y
    return found


def _area(points: Array) -> float:
    x, y = points.T
    return float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum() / 2)
