"""Ways out and reach of the demo boats, and a way proved clear by sweeps against poses tried one by one.

Run from the project's root:

    python tests/benchmarks/bench_access.py

Here a way is clear when what the box sweeps keeps off every triangle, turns included; that is a proof. The
other side asks the collision library for the least gap at poses a millimetre apart along the same way, which
proves nothing between them. Timings are processor time of this machine; only the ratio means something.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import manifold3d
import numpy as np

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from model.access.check import check_access
from model.access.obstacles import Surroundings, asking, triangles_about
from model.access.settings import AccessSettings
from model.boat import Boat, load_boat
from model.clearance.bodies import boat_bodies

CONFIGS = Path(__file__).resolve().parents[2] / "configs"


def whole(name: str) -> None:
    """Everything that is asked of one boat, its bodies at hand."""
    boat = load_boat(CONFIGS / f"{name}.yaml")
    bodies = boat_bodies(boat)
    start = time.process_time()
    report = check_access(boat, None, bodies)
    took = time.process_time() - start
    print(f"{name}: {len(report.ways)} ways out and {len(report.reaches)} reaches in {took:.2f} s")


def one_way(boat: Boat) -> None:
    """The way of the first removable thing: proved, and tried pose by pose."""
    settings, around = AccessSettings(), Surroundings.of(boat, boat_bodies(boat))
    out = check_access(boat, settings, around.bodies.values()).ways[0]
    assert out.way is not None
    solids, _ = around.solids(out.lids, {out.name})
    about = out.way.rest.box + np.array([[-1.0], [1.0]]) * 1200.0
    triangles, _ = asking(triangles_about(solids, about), out.way.rest, settings.gap)
    start = time.process_time()
    assert out.way.is_clear(triangles)
    proved = time.process_time() - start
    near = [s.body for s in solids if (s.box[0] <= about[1]).all() and (s.box[1] >= about[0]).all()]
    everything = manifold3d.Manifold.compose(near)
    count = int(sum(out.way.lengths))
    start = time.process_time()
    for share in np.linspace(0.0, 1.0, count):
        pose = out.way.at(float(share))
        corners = out.way.rest.posed(pose.matrix, pose.offset).corners
        everything.min_gap(manifold3d.Manifold.hull_points(corners), settings.gap)
    tried = time.process_time() - start
    print(f"{out.name}: proved clear in {1e3 * proved:.1f} ms, {count} poses tried in {tried:.2f} s")
    print(f"ratio {tried / proved:.0f}")


if __name__ == "__main__":
    for boat_name in ("lake16", "flat14", "vee18"):
        whole(boat_name)
    one_way(load_boat(CONFIGS / "lake16.yaml"))
