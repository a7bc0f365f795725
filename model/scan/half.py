"""The centreline of a scan of one side: the straight edge that the half has in plan."""

from __future__ import annotations

import numpy as np
from scipy.spatial import ConvexHull

from model.geometry import Array, Plane, unit
from model.scan.edge import ABOVE, BELOW, BIN, likeliest
from model.scan.pose import NoPose

LEAST = 0.6
"""Least length of that edge over the length of the scan."""
BINS = 60


def centre_edge(points: Array, up: Array, size: float) -> Plane:
    """The upright plane along the longest straight edge of the scan in plan.

    Args:
        points: `(n, 3) float`, spread evenly.
        up: which way is up.
        size: distance of the points.

    Raises:
        NoPose: no edge is straight over most of the scan's length.
    """
    z = unit(up)
    across = np.linalg.svd(z[None])[2][1:]
    flat = points @ across.T
    hull = ConvexHull(flat)
    ring = flat[hull.vertices]
    edges = np.roll(ring, -1, axis=0) - ring
    ways = edges / np.linalg.norm(edges, axis=1)[:, None]
    best, found = 0.0, (ways[0], ring[0])
    for way, start in zip(ways, ring, strict=True):
        off = (flat - start) @ np.array([-way[1], way[0]])
        near = np.abs(off) < 0.6 * size
        length = float(np.ptp((flat[near] - start) @ way)) if near.sum() > 10 else 0.0
        if length > best:
            best, found = length, (way, start)
    way, start = found
    long = float(np.ptp(flat @ np.linalg.eigh(np.cov(flat.T))[1][:, 1]))
    if best < LEAST * long:
        raise NoPose(
            "the scan has no straight edge that could be the centreline",
            "crop it at the keel, or scan both sides",
        )
    side = np.array([-way[1], way[0]])
    inward = 1.0 if float(np.median((flat - start) @ side)) > 0.0 else -1.0
    normal = inward * side @ across
    return Plane(normal, float(normal @ (start @ across)))


def exact_edge(points: Array, edge: Plane, up: Array, noise: float) -> Plane:
    """The plane made exact: in bins along it, the edge under which their points are likeliest.

    Args:
        points: `(n, 3) float`, all of them.
        edge: near it, its normal to where the points lie.
        up: which way is up.
        noise: of the points, about.
    """
    z = unit(up)
    normal = edge.normal
    for _ in range(3):
        along = np.cross(z, normal)
        off = points @ normal - edge.offset
        near = np.abs(off) < BELOW
        x, inside = points[near] @ along, -off[near]
        edges = np.linspace(x.min(), x.max(), BINS + 1)
        which = np.digitize(x, edges[1:-1])
        middles = (edges[:-1] + edges[1:]) / 2.0
        columns = np.clip(((inside + BELOW) / BIN).astype(np.int64), 0, int((BELOW + ABOVE) / BIN) - 1)
        counts = np.zeros((BINS, int((BELOW + ABOVE) / BIN)))
        np.add.at(counts, (which, columns), 1.0)
        found = np.array([likeliest(count, noise) for count in counts])
        seen = np.isfinite(found)
        slope, base = _straight(middles[seen], found[seen])
        # What lies beyond the edge as it stood is its shift, against the normal.
        normal = normal + slope * along
        normal = normal / np.linalg.norm(normal)
        foot = edge.normal * (edge.offset - base)
        edge = Plane(normal, float(normal @ foot))
    return edge


def _straight(x: Array, y: Array) -> tuple[float, float]:
    """Slope and base of the line through points, outliers left out."""
    keep = np.ones(len(x), dtype=np.bool_)
    slope = base = 0.0
    for _ in range(6):
        slope, base = (float(value) for value in np.polyfit(x[keep], y[keep], 1))
        away = np.abs(y - slope * x - base)
        keep = away <= max(3.0 * float(np.median(away)), 1e-6)
    return slope, base
