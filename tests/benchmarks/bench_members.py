"""Members by closed form against the same members by plain kernel solids, timed in one run; and growth.

Run from the project's root:

    python tests/benchmarks/bench_members.py

The closed form makes every number of the saw list (lengths, short lengths, saw angles of both ends on both
faces, volume, mass, centre, box) and a closed mesh for each piece. The kernel side does what a script over
a CAD kernel plainly does: draw the section, extrude it long, cut each end away with a box laid on the end
plane, then ask the solid for its volume, centre, box and mesh. Timings are of this machine; only the ratio
means something.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from model.geometry import Plane
from model.member import Member
from model.member_mesh import member_meshes
from model.member_table import MemberTable
from parts.section import Section

NUMBERS = ("length", "short_lengths", "saw_angles", "volume", "mass", "centre", "box", "tilts")


def closed_form(members: Sequence[Member]) -> float:
    """All numbers and meshes of the members; returns the total volume, mm3."""
    table = MemberTable(members)
    for name in NUMBERS:
        getattr(table, name)
    meshes = member_meshes(members, table)
    assert len(meshes) == len(members)
    return float(table.volume.sum())


def plain_kernel(members: Sequence[Member]) -> float:
    """The same members as kernel extrusions cut by boxes, asked and meshed; returns the total volume, mm3."""
    total = 0.0
    for member in members:
        solid = _extruded(member)
        for plane in (member.end_a, member.end_b):
            solid = solid.cut(_box_beyond(plane, member))
        piece = solid.val()
        total += piece.Volume()
        piece.Center()
        piece.BoundingBox()
        piece.tessellate(0.05, 0.5)
    return total


def _extruded(member: Member) -> Any:
    """The section drawn as wires on the member's own workplane and extruded past both ends."""
    import cadquery as cq

    spare = 3.0 * max(member.section.width, member.section.height)
    axis, z = member.axis, member.frame.z
    origin = member.a - spare * axis
    # The workplane's own x is the section's y: with the axis as its normal, z x axis.
    place = cq.Plane(tuple(origin), xDir=tuple(np.cross(z, axis)), normal=tuple(axis))
    sketch = _drawn(cq.Workplane(place), member.section)
    return sketch.extrude(member.span + 2.0 * spare)


def _drawn(work: Any, section: Section) -> Any:
    """Outline and bores as closed wires of lines and three-point arcs."""
    for loop in (section.outer, *section.holes):
        points, middles = loop.points, loop.apexes
        work = work.moveTo(*points[0])
        for k, bulge in enumerate(loop.bulges):
            after = tuple(points[(k + 1) % len(points)])
            work = work.lineTo(*after) if bulge == 0.0 else work.threePointArc(tuple(middles[k]), after)
        work = work.close()
    return work


def _box_beyond(plane: Plane, member: Member) -> Any:
    """A box on the outer side of an end plane, large enough to take all that stands past it."""
    import cadquery as cq

    axis = member.axis
    at = member.a - axis * float(plane.height(member.a)) / float(plane.normal @ axis)
    size = 20.0 * max(member.section.width, member.section.height)
    return cq.Workplane(cq.Plane(tuple(at), normal=tuple(plane.normal))).box(
        size, size, size, centered=(True, True, False)
    )


def timed(work: Callable[[], float], least: float = 0.3) -> tuple[float, float]:
    """The best CPU time of a few runs, s, and what the work returned."""
    best, spent, found = np.inf, 0.0, 0.0
    while spent <= least:
        start = time.process_time()
        found = work()
        took = time.process_time() - start
        best, spent = min(best, took), spent + max(took, 1e-4)
    return float(best), found


def compare(members: Sequence[Member]) -> dict[str, float]:
    """Closed form and plain kernel on the same members, CPU seconds after imports.

    Returns `members`, `first_s` (closed form with nothing kept from before), `closed_s`, `kernel_s`,
    `ratio` and `volume_gap` (relative difference of total volume).
    """
    import cadquery  # noqa: F401

    first_s, _ = timed(lambda: closed_form(members), least=0.0)
    closed_s, closed_volume = timed(lambda: closed_form(members))
    kernel_s, kernel_volume = timed(lambda: plain_kernel(members), least=0.0)
    return {
        "members": float(len(members)),
        "first_s": first_s,
        "closed_s": closed_s,
        "kernel_s": kernel_s,
        "ratio": kernel_s / closed_s,
        "volume_gap": abs(closed_volume / kernel_volume - 1.0),
    }


def growth(make: Callable[[int], list[Member]], counts: Sequence[int]) -> list[tuple[int, float]]:
    """CPU seconds of the closed form for each count of members."""
    found = []
    for count in counts:
        members = make(count)
        found.append((count, timed(partial(closed_form, members))[0]))
    return found


def frame_like(count: int) -> list[Member]:
    """`count` members as a boat has them: a few sizes of tube, lengths to 1.6 m, most ends plain mitres."""
    from tests.model.member_samples import ROUND, SHARP, SQUARE, TUBE

    rng = np.random.default_rng(16)
    found = []
    for k in range(count):
        section = (TUBE, TUBE, SHARP, SHARP, SQUARE, ROUND)[k % 6]
        a = rng.uniform(-1000.0, 1000.0, 3)
        axis = np.eye(3)[k % 3]
        b = a + axis * rng.uniform(200.0, 1600.0)
        ends = []
        for at, sense in ((a, -1.0), (b, 1.0)):
            mitre = np.radians(rng.choice([0.0, 0.0, 22.5, 45.0]))
            lean = np.radians(rng.choice([0.0, 0.0, 0.0, 12.0]))
            across, along = np.eye(3)[(k + 1) % 3], np.eye(3)[(k + 2) % 3]
            ends.append(Plane.through(at, sense * axis + np.tan(mitre) * across + np.tan(lean) * along))
        found.append(Member(f"frame.{k}", section, a, b, 0.0, ends[0], ends[1]))
    return found


def main() -> None:
    """Print the ratio and the growth."""
    told = compare(frame_like(150))
    print(
        f"{told['members']:.0f} members, numbers and meshes: closed form {told['closed_s'] * 1e3:.1f} ms "
        f"({told['first_s'] * 1e3:.1f} the first time), "
        f"plain kernel {told['kernel_s'] * 1e3:.0f} ms, ratio {told['ratio']:.0f}; "
        f"total volumes differ by {told['volume_gap']:.1e}"
    )
    for count, seconds in growth(frame_like, (125, 250, 500, 1000, 2000)):
        print(f"{count:5d} members: {seconds * 1e3:7.2f} ms, {seconds / count * 1e6:6.1f} us each")


if __name__ == "__main__":
    main()
