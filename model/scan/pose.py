"""How a scan lies: its centreline, which way is up, which end is the transom; and its size.

All of it from the shape alone, in a nominal unit that makes the scan some five metres long, so that it holds
whatever unit the file is in.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from model.geometry import Array, Plane
from model.scan.cloud import picked, thinned
from model.scan.clutter import floor_of, without_lone
from model.scan.ends import End, is_flat, sought_end
from model.scan.mirror import sought_mirror

NOMINAL = 5_000.0
CUBE = 40.0
MOST = 100_000
BIN = 100.0
WALLS = 4
MIRRORED = 0.62
"""Least share of a hull whose image falls on it; half a boat, upright, reaches 0.57."""


@dataclass(frozen=True, eq=False, slots=True)
class Pose:
    """A frame of the boat in the file: `(points - origin) @ axes.T` is x forward, y to port, z up.

    Attributes:
        origin: `(3,) float` in the file: on transom and centreline, about at the keel.
        axes: `(3, 3) float`, rows x, y, z.
        length, beam, depth: of the hull, in the file's unit.
        lean: of the transom, dx/dz; None if it was not found.
        share: of the hull that its mirror image covers, 0..1.
        floors: the floor she stands on and walls about her, in the file's own unit, normals to her; left out.
    """

    origin: Array
    axes: Array
    length: float
    beam: float
    depth: float
    lean: float | None
    share: float
    floors: tuple[Plane, ...]

    def to_boat(self, points: Array) -> Array:
        """`(n, 3)` points of the file in the frame of the boat, still in the file's unit."""
        found: Array = (points - self.origin) @ self.axes.T
        return found


class NoPose(ValueError):  # noqa: N818  (it names what the scan lacks)
    """Why a scan cannot be laid straight: `wrong`, and what would help: `right`."""

    def __init__(self, wrong: str, right: str) -> None:
        self.wrong, self.right = wrong, right
        super().__init__(f"{wrong}; {right}")


@dataclass(frozen=True, eq=False, slots=True)
class Seen:
    """A scan made small: `points` spread evenly, nominal; times `scale`, from `centre`, the file's."""

    points: Array
    scale: float
    centre: Array
    floors: tuple[Plane, ...]


def seen(points: Array) -> Seen:
    """The scan thinned, without lone points, floor and walls."""
    some = picked(points, MOST)
    low, high = np.quantile(some, [0.01, 0.99], axis=0)
    centre = (low + high) / 2.0
    arm = some - centre
    inside = (np.abs(arm) <= 0.75 * (high - low) + 1e-12).all(axis=1)
    long = np.linalg.eigh(arm[inside].T @ arm[inside])[1][:, 2]
    extent = float(np.ptp(np.quantile(some @ long, [0.005, 0.995])))
    if extent <= 0.0:
        raise NoPose("all points lie in one place", "export the scan anew")
    scale = extent / NOMINAL
    flat = without_lone(thinned(arm[inside] / scale, CUBE), CUBE)
    if len(flat) < 300:
        raise NoPose("the points make no surface", "scan the hull more closely, or crop the scan to it")
    floors: list[Plane] = []
    while len(floors) < WALLS and (floor := floor_of(flat, CUBE)) is not None:
        flat = flat[floor.height(flat) > 1.3 * CUBE]
        floors.append(Plane.through(centre + scale * floor.offset * floor.normal, floor.normal))
    return Seen(flat, scale, centre, tuple(floors))


def pose_of(small: Seen, up: Array | None = None, mirror: Plane | None = None) -> Pose:
    """The pose of a scan; `up` is a direction in the file, `mirror` the centreline where known (nominal).

    Raises:
        NoPose: no plane mirrors it, no end is flat, or `up` points down.
    """
    points = small.points
    share = 1.0
    if mirror is None:
        found = sought_mirror(points, CUBE, up)
        mirror, share = found.plane, found.share
        if share < MIRRORED:
            raise NoPose(
                f"no plane mirrors the scan on to itself: the best one {share:.0%} of it",
                "a scan of one side needs --half port or --half starboard, with --up;"
                " crop away what is not the hull",
            )
    axes = _upright(points, mirror, up)
    boat = points @ axes.T
    boat[:, 1] -= mirror.offset
    axes, boat = _levelled(axes, boat)
    axes, boat, end = _from_transom(axes, boat)
    low = _keel(boat, end)
    origin = np.array([end.x + end.lean * low, 0.0, low])
    boat = boat - origin
    middle = (boat[:, 0] > 0.0) & (np.abs(boat[:, 1]) < 2_000.0)
    length = _reach(boat[middle, 0])
    beam = 2.0 * float(np.quantile(np.abs(boat[middle, 1]), 0.99))
    depth = float(np.quantile(boat[middle, 2], 0.995))
    # The origin lies on the mirror plane: its y in the turned frame is the plane's offset.
    centre = small.centre + small.scale * (axes.T @ (origin + np.array([0.0, _offset(axes, mirror), 0.0])))
    long, wide, deep = (small.scale * size for size in (length, beam, depth))
    return Pose(centre, axes, long, wide, deep, end.lean, share, small.floors)


def _reach(x: Array) -> float:
    """How far forward the hull reaches: to where far fewer points lie than abreast of most of it."""
    edges = np.arange(0.0, float(x.max()) + BIN, BIN)
    count, _ = np.histogram(x, edges)
    full = np.flatnonzero(count > 0.2 * np.median(count[: max(4, len(count) // 2)]))
    return float(np.quantile(x[x < edges[full[-1] + 1]], 0.9985))


def _offset(axes: Array, mirror: Plane) -> float:
    return mirror.offset * float(np.sign(axes[1] @ mirror.normal))


def _upright(points: Array, mirror: Plane, up: Array | None) -> Array:
    """Axes with y across and z up; x along, either way."""
    inside = points - np.outer(points @ mirror.normal, mirror.normal)
    arm = inside - inside.mean(axis=0)
    along = np.linalg.eigh(arm.T @ arm)[1][:, 2]
    axes = np.stack([along, mirror.normal, np.cross(along, mirror.normal)])
    vote = _opens(points @ axes.T - np.array([0.0, mirror.offset, 0.0]))
    if up is not None:
        told = float(axes[2] @ up)
        if abs(told) < 0.5:
            raise NoPose(
                "the up axis given does not lie in the plane that mirrors the scan",
                "see to --up, or leave it out",
            )
        if told * vote < 0.0:
            raise NoPose(
                "with the up axis given the keel lies above the gunwales: the scan is upside down",
                "give --up the other way round, or leave it out",
            )
    way = 1.0 if vote > 0.0 else -1.0
    return np.stack([along, way * mirror.normal, way * axes[2]])


def _opens(boat: Array) -> float:
    """Positive if what lies at the middle is lower than what lies abreast of it: she opens upward."""
    low, high = np.quantile(boat[:, 0], [0.08, 0.92])
    bins = np.linspace(low, high, 19)
    votes = []
    for a, b in pairwise(bins.tolist()):
        here = boat[(boat[:, 0] >= a) & (boat[:, 0] < b)]
        if len(here) < 20:
            continue
        out = np.abs(here[:, 1])
        breadth = float(np.quantile(out, 0.95))
        inner, outer = here[out < 0.35 * breadth, 2], here[out > 0.8 * breadth, 2]
        if len(inner) > 3 and len(outer) > 3:
            votes.append(float(np.median(outer) - np.median(inner)))
    return float(np.median(votes)) if votes else 0.0


def _levelled(axes: Array, boat: Array) -> tuple[Array, Array]:
    """Pitched so that the bottom along the middle is level over most of its length, robustly."""
    for _ in range(2):
        x, z = _bottom(boat)
        if len(x) < 4:
            break
        i, j = np.triu_indices(len(x), 1)
        # The median of the slopes between all pairs (Theil and Sen): a bow that rises hardly moves it.
        slope = float(np.median((z[j] - z[i]) / (x[j] - x[i])))
        turn = _pitch(np.arctan(slope))
        axes, boat = turn @ axes, boat @ turn.T
    return axes, boat


def _pitch(angle: float) -> Array:
    c, s = np.cos(angle), np.sin(angle)
    return np.array([[c, 0.0, s], [0.0, 1.0, 0.0], [-s, 0.0, c]])


def _bottom(boat: Array) -> tuple[Array, Array]:
    """Height of the bottom along the middle in bins of x."""
    low, high = np.quantile(boat[:, 0], [0.05, 0.95])
    middle = boat[np.abs(boat[:, 1]) < 100.0]
    edges = np.linspace(low, high, 25)
    which = np.digitize(middle[:, 0], edges)
    found = [
        (float(np.median(here[:, 0])), float(np.quantile(here[:, 2], 0.2)))
        for here in (middle[which == k] for k in range(1, 25))
        if len(here) > 3
    ]
    x, z = np.array(found).reshape(-1, 2).T
    return x, z


def _from_transom(axes: Array, boat: Array) -> tuple[Array, Array, End]:
    """Turned so that x runs forward from the larger flat end."""
    ends = [(way, sought_end(boat, way, 0.35 * CUBE)) for way in (-1.0, 1.0)]
    flat = [(way, end) for way, end in ends if end is not None and is_flat(boat, end, 0.6 * CUBE)]
    if not flat:
        raise NoPose(
            "no end is flat enough to be a transom",
            "scan the inside of the transom too, or give --point transom, bow, port, or --half for one side",
        )
    way, end = max(flat, key=lambda one: one[1].breadth * one[1].depth)
    if way > 0.0:
        turn = np.diag([-1.0, -1.0, 1.0])
        axes, boat = turn @ axes, boat @ turn.T
        end = replace(end, x=-end.x, lean=-end.lean)
    return axes, boat, end


def _keel(boat: Array, end: End) -> float:
    """Height of the bottom on the centreline, by the transom."""
    ahead = end.height(boat)
    here = boat[(np.abs(boat[:, 1]) < 120.0) & (ahead > 100.0) & (ahead < 900.0)]
    return float(np.quantile(here[:, 2], 0.2)) if len(here) else float(np.quantile(boat[:, 2], 0.02))
