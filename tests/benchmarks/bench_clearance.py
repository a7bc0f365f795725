"""Clearances of a boat of 300 pieces against the CAD kernel's own distance on the same pairs, in one run.

Run from the project's root:

    python tests/benchmarks/bench_clearance.py

Here every pair of pieces is asked for its least gap and for the metal it shares. The kernel side makes true
solids of the same pieces beforehand, untimed, and is then asked for the distance of the pairs that lie near
each other: a sample of them, timed, from which the time for all is told. Timings are processor time of this
machine; only the ratio means something.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path
from typing import Any

import numpy as np

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from model.boat import Boat, load_boat
from model.clearance.bodies import Body, boat_bodies
from model.clearance.pairs import Nearness, near_pairs
from model.clearance.report import clearance_findings
from model.clearance.solid import Solid

REACH = 10.0
SAMPLE = 150
PIECES = 300
AHEAD = (8000.0, 0.0, 0.0)
BOAT = Path(__file__).resolve().parents[2] / "configs" / "lake16.yaml"


def solids_of(boat: Boat) -> dict[str, Any]:
    """True solids of members, panels and fittings of one block, by name."""
    from model.member_solid import member_solid
    from model.prism_solid import prism_solid

    found: dict[str, Any] = {m.name: member_solid(m) for m in boat.members}
    found |= {panel.name: prism_solid(panel.prism) for panel in boat.panels}
    return found | {f.name: prism_solid(f.prisms[0]) for f in boat.fixtures if len(f.prisms) == 1}


def enough(bodies: list[Body]) -> list[Body]:
    """Just as many bodies as asked: the boat, and part of a second one that lies ahead of it."""
    ahead = [
        Body(
            f"{body.name}+",
            body.kind,
            tuple(Solid.of_mesh(s.mesh.transformed(np.eye(3), AHEAD)) for s in body.solids),
        )
        for body in bodies
        if body.kind != "hull"
    ]
    return [*bodies, *ahead][:PIECES]


def moved(solid: Solid) -> Solid:
    """The same solid further ahead."""
    return Solid.of_mesh(solid.mesh.transformed(np.eye(3), AHEAD))


def best_of(count: int, work: Any) -> tuple[float, Any]:
    """Least seconds of processor time of a few runs, and what the work gave."""
    best, found = np.inf, None
    for _ in range(count):
        start = time.process_time()
        found = work()
        best = min(best, time.process_time() - start)
    return best, found


def kernel_distances(pairs: list[Nearness], shapes: dict[str, Any]) -> list[float]:
    """The kernel's distance of each pair."""
    from OCP.BRepExtrema import BRepExtrema_DistShapeShape

    return [BRepExtrema_DistShapeShape(shapes[n.first.name], shapes[n.second.name]).Value() for n in pairs]


def main() -> None:
    """Prints the table."""
    boat = load_boat(BOAT)
    fresh = iter([load_boat(BOAT) for _ in range(6)])  # bodies of a boat that was asked before are kept
    making, bodies = best_of(3, lambda: boat_bodies(next(fresh)))
    many = enough(bodies)
    asking, near = best_of(3, lambda: near_pairs(many, REACH))
    whole, report = best_of(3, lambda: clearance_findings(next(fresh)))
    print(f"{boat.title}: {report.summary()}")
    print(f"{len(bodies)} bodies made in {making:.2f} s; the whole report takes {whole:.2f} s")
    print(
        f"{len(many)} bodies, {len(many) * (len(many) - 1) // 2} pairs: {len(near)} near, in {asking:.2f} s"
    )
    shapes = solids_of(boat)
    known = [n for n in near if n.first.name in shapes and n.second.name in shapes]
    rng = np.random.default_rng(0)
    sample = [known[k] for k in rng.permutation(len(known))[:SAMPLE]]
    start = time.process_time()
    judged = kernel_distances(sample, shapes)
    kernel = (time.process_time() - start) / len(sample)
    off = max(abs(n.gap - value) for n, value in zip(sample, judged, strict=True))
    print(f"kernel: {kernel * 1e3:.1f} ms a pair, {kernel * len(near):.1f} s for the {len(near)} near pairs")
    print(f"greatest difference over {len(sample)} pairs: {off:.4f} mm")
    print(f"ratio, near pairs only: {kernel * len(near) / asking:.0f}")


if __name__ == "__main__":
    main()
