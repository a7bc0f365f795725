"""A scan of two million points to its survey, and cutting sections of a mesh instead.

Run from the project's root:

    python tests/benchmarks/bench_scan.py

The other side of the ratio is brute force at each station, on the same points in the pose that was found,
which it is given: those within 10 mm of the station, medians in bins about the section, bins of few points
left out, and the chine where two straight lines meet best. Beside it stand the sections that trimesh slices
off a clean mesh, which has neither noise nor ribs, and whose pose is known. Errors are root mean squares
against the hull that was scanned, at the same stations. Processor time.
"""

from __future__ import annotations

import resource
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import trimesh

from model.geometry import Array
from model.hull import Hull
from model.hull_mesh import skin_mesh
from model.scan.asked import Asked
from model.scan.cloud import Cloud
from model.scan.read_scan import read_scan
from model.scan.survey_scan import ScanReport, survey_scan
from tests.model.hull_samples import demo
from tests.model.scan.scans import scanned

MANY = 2_000_000
NOISE = 3.0
STATIONS = tuple(float(x) for x in range(300, 4_200, 300))


def timed(what: str, work: Callable[[], Any]) -> Any:
    """Does it once and prints the processor's time."""
    start = time.process_time()
    found = work()
    print(f"{what}: {time.process_time() - start:.2f} s")
    return found


def memory() -> float:
    """The most that this process has held, GB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6


def errors(hull: Hull, name: str, found: Array) -> str:
    """Root mean square of half-breadth and height at the stations, mm."""
    true = hull.line(name, np.array(STATIONS))[:, 1:]
    off = found - (true - [0.0, hull.line("keel", 0.0)[2]])
    return "  ".join(f"{value:5.2f}" for value in np.sqrt(np.nanmean(off**2, axis=0)))


def brute(points: Array, x: float) -> Array:
    """Keel, chine and gunwale at a station from the points near it, `(3, 2)`."""
    near = np.abs(points[np.abs(points[:, 0] - x) < 10.0][:, 1:])
    steep = near[:, 1] > 0.3 * np.quantile(near[:, 1], 0.95)
    bins = np.where(steep, 1_000.0 + near[:, 1] // 15.0, near[:, 0] // 15.0)
    _, which, count = np.unique(bins, return_inverse=True, return_counts=True)
    full = np.flatnonzero(count > 0.4 * np.median(count[count > 5]))
    curve = np.array([np.median(near[which == k], axis=0) for k in full])
    best, chine = np.inf, curve[0]
    for cut in range(5, len(curve) - 5):
        parts = [part - part.mean(axis=0) for part in (curve[:cut], curve[cut:])]
        left = sum(float(np.linalg.svd(part)[1][1] ** 2) for part in parts)
        if left < best:
            best, chine = left, curve[cut]
    return np.array([[0.0, curve[0, 1]], chine, curve[-1]])


def main() -> None:
    """The first demo boat, scanned in any pose with outliers, holes, a floor and a person."""
    hull = demo("lake16")
    scan = scanned(hull, MANY, noise=NOISE, outliers=0.05, holes=5, floor=True, person=True, seed=3)
    path = Path("/tmp") / f"bench-scan-{time.time_ns()}.ply"
    trimesh.PointCloud(scan.points).export(path)
    try:
        cloud = timed(
            f"reading {len(scan.points) / 1e6:.1f} million points as binary PLY", lambda: read_scan(path)
        )
    finally:
        path.unlink()
    asked = Asked(lines=hull.lines, stations=STATIONS, units="mm")
    start = time.process_time()
    report: ScanReport = timed(
        "from points to survey", lambda: survey_scan(cloud, asked, "mm", lambda step: None)
    )
    ours = time.process_time() - start
    print(f"greatest memory, the making of the scan with it: {memory():.2f} GB")
    corners = report.lines.skin.at(np.array(STATIONS))[0]
    print(f"noise {NOISE:.2f} mm, found {report.lines.both.noise:.2f}; rms errors, mm:")
    for k, name in enumerate(hull.lines):
        print(f"    {name:8} {errors(hull, name, corners[:, k])}")
    start = time.process_time()
    rough = timed(
        "brute force at each station",
        lambda: np.array([brute(report.lines.aligned.points, x) for x in STATIONS]),
    )
    theirs = time.process_time() - start
    for k, name in enumerate(("keel", "chine", "gunwale")):
        print(f"    {name:8} {errors(hull, name, rough[:, k])}")
    few = scanned(hull, 40_000, noise=NOISE, outliers=0.05, holes=5, floor=True, person=True, seed=3)
    timed(
        "the same from 40 000 points",
        lambda: survey_scan(Cloud("few", few.points), asked, "mm", lambda step: None),
    )
    mesh = skin_mesh(hull, 3.0)
    solid = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    start = time.process_time()
    timed(
        f"sections off a mesh of {len(mesh.faces) / 1e6:.1f} million triangles by trimesh",
        lambda: solid.section_multiplane([0.0, 0.0, 0.0], [1.0, 0.0, 0.0], list(STATIONS)),
    )
    sliced = time.process_time() - start
    print(f"ratios of time: {ours / theirs:.1f} to brute force, {ours / sliced:.1f} to slicing")


if __name__ == "__main__":
    main()
