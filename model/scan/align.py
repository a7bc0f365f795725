"""A scan laid straight: millimetres, x forward from the transom, y to port, z up from the keel."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from model.geometry import Array, Plane
from model.scan.asked import Asked
from model.scan.cloud import Cloud, picked
from model.scan.clutter import cleaned
from model.scan.ends import End, fitted_end, is_flat, sought_end
from model.scan.half import centre_edge, exact_edge
from model.scan.mirror import exact_mirror, reflected
from model.scan.pose import CUBE, NoPose, Pose, Seen, pose_of, seen
from model.scan.units import unit_of
from parts.lengths import UNITS

AROUND = 250.0
"""Millimetres about the hull that are kept."""
ABOVE_FLOOR = 60.0
FINE = 15.0
PAIRS = 15_000
NEAR = 10.0
USUAL_NOISE = 3.0
BOW_SHARE = 0.02
"""Least area of a bow plate over the transom's."""


@dataclass(frozen=True, eq=False)
class Aligned:
    """A scan in the boat.

    Attributes:
        points: `(n, 3) float`, mm, of the hull and what is close to her.
        transom: the transom, by least squares.
        bow: the plate of a blunt bow; None where the sides close in a stem.
        length, beam: in mm, roughly.
        unit: of the file.
        origin: `(3,) float` in the file, where x, y and z are 0.
        axes: `(3, 3) float`, directions x, y, z of the boat in the file.
        given: points of the file in all.
        share: of the hull whose mirror image falls on it, 0..1.
        mirror_spread: of those images from the skin, over sqrt(2), mm; `pairs`: how many told.
        floor: whether a floor or a wall was left out.
        upside: whether the file's own z points down in the boat.
    """

    points: Array
    transom: End
    bow: End | None
    length: float
    beam: float
    unit: str
    origin: Array
    axes: Array
    given: int
    share: float
    mirror_spread: float
    pairs: int
    floor: bool
    upside: bool

    def turned(self, slope: float) -> Aligned:
        """Pitched so that what rises by `slope` forward lies level, about the origin."""
        c, s = 1.0 / np.hypot(1.0, slope), slope / np.hypot(1.0, slope)
        turn = np.array([[c, 0.0, s], [0.0, 1.0, 0.0], [-s, 0.0, c]])
        points = self.points @ turn.T
        ends = []
        for end in (self.transom, self.bow):
            moved = None
            if end is not None:
                lean = (c * end.lean + s) / (c - s * end.lean)
                moved = replace(end, lean=lean, x=c * end.x + lean * s * end.x)
                moved = fitted_end(picked(points, 400_000), moved, NEAR) or moved
            ends.append(moved)
        transom = ends[0] or self.transom
        return replace(self, points=points, axes=turn @ self.axes, transom=transom, bow=ends[1])

    def moved(self, x: float, z: float) -> Aligned:
        """With the origin at (x, 0, z)."""
        step = np.array([x, 0.0, z])
        ends = [
            None if end is None else replace(end, x=end.x + end.lean * z - x)
            for end in (self.transom, self.bow)
        ]
        return replace(
            self,
            points=self.points - step,
            transom=ends[0] or self.transom,
            bow=ends[1],
            origin=self.origin + (step @ self.axes) / UNITS[self.unit],
        )


def aligned(cloud: Cloud, asked: Asked) -> Aligned:
    """The scan laid straight by its mirror plane, its transom and its bottom.

    Raises:
        NoPose: it cannot be, or its unit is wrong.
    """
    small = seen(cloud.points)
    points, mirror = cloud.points, None
    if asked.half is not None:
        mirror = _edge(cloud.points, small, asked)
        points = np.concatenate(
            [points, small.centre + small.scale * reflected(_small(points, small), mirror)]
        )
        small = replace(small, points=np.concatenate([small.points, reflected(small.points, mirror)]))
    pose = _told_pose(asked, small) if asked.points else pose_of(small, asked.up, mirror)
    unit = unit_of(pose.length, pose.beam, asked.units, asked.length, asked.beam)
    return _exact(points, pose, unit, asked)


def _small(points: Array, small: Seen) -> Array:
    found: Array = (points - small.centre) / small.scale
    return found


def _edge(points: Array, small: Seen, asked: Asked) -> Plane:
    if asked.up is None:
        raise NoPose("a scan of one side does not say which way is up", "give --up too, such as --up z")
    edge = centre_edge(small.points, asked.up, CUBE)
    return exact_edge(_small(picked(points, 400_000), small), edge, asked.up, USUAL_NOISE)


def _told_pose(asked: Asked, small: Seen) -> Pose:
    """The pose by named points."""
    points = asked.points
    side = "port" if "port" in points else "starboard"
    if not {"transom", "bow", side} <= set(points):
        raise NoPose("three points lay a scan straight", "give --point transom, bow and port (or starboard)")
    x = points["bow"] - points["transom"]
    length = float(np.linalg.norm(x))
    x = x / max(length, 1e-12)
    out = (points[side] - points["transom"]) * (1.0 if side == "port" else -1.0)
    # The side's point lies out and up; the bottom of the boat tells which of it is up.
    out = out - (out @ x) * x
    inside = (small.points * small.scale + small.centre - points["transom"]) / small.scale
    along = np.abs(inside @ x / (length / small.scale) - 0.5) < 0.45
    z = _open_way(inside[along], x, out / small.scale)
    y = np.cross(z, x)
    beam = 2.0 * float(np.quantile(np.abs(inside[along] @ y), 0.98)) * small.scale
    return Pose(points["transom"], np.stack([x, y, z]), length, beam, beam / 3.0, None, 1.0, small.floors)


def _open_way(arm: Array, x: Array, out: Array) -> Array:
    """The direction up, square to x: the points lie as much on one side of the centreline as on the other."""
    first = out / max(float(np.linalg.norm(out)), 1e-12)
    second = np.cross(x, first)
    best, found = np.inf, second
    for angle in np.radians(np.arange(5.0, 86.0, 1.0)):
        # `out` leads from the foot of the transom to a gunwale: to its side, and up.
        for way in (1.0, -1.0):
            y = np.cos(angle) * first + way * np.sin(angle) * second
            z = np.cross(x, y)
            if z @ first <= 0.0:
                continue
            across = arm @ y
            low, high = np.quantile(across, [0.02, 0.98])
            uneven = abs(low + high) + abs(float(np.mean(across)))
            if uneven < best:
                best, found = uneven, z
    return found


def _exact(points: Array, pose: Pose, unit: str, asked: Asked) -> Aligned:
    """The pose made exact in mm."""
    mm = UNITS[unit]
    length, beam = pose.length * mm, pose.beam * mm
    boat = mm * pose.to_boat(points)
    reach = np.array([1.15 * length, 0.7 * beam, 0.9 * beam])
    inside = (boat > np.array([-0.35 * beam, -reach[1], -0.25 * beam]) - AROUND).all(axis=1)
    inside &= (boat < reach + AROUND).all(axis=1)
    for floor in pose.floors:
        inside &= floor.height(points) * mm > ABOVE_FLOOR
    boat = boat[inside]
    axes, origin = pose.axes, pose.origin
    spread, pairs = 0.0, 0
    if asked.half is None:
        plane, spread, pairs = exact_mirror(
            picked(cleaned(boat, FINE), PAIRS),
            Plane(np.array([0.0, 1.0, 0.0]), 0.0),
            USUAL_NOISE,
        )
        turn = _square(plane.normal)
        boat = boat @ turn.T
        boat[:, 1] -= plane.offset
        origin = origin + plane.offset * (turn[1] @ axes) / mm
        axes = turn @ axes
    if asked.level == "up" and asked.up is not None:
        turn = _upright(axes, asked.up)
        boat, axes = boat @ turn.T, turn @ axes
    transom, bow = _ends(boat, pose.lean)
    found = Aligned(
        boat, transom, bow, length, beam, unit, origin, axes, len(points), pose.share, spread, pairs,
        bool(pose.floors),
        bool(axes[2, 2] < -0.5),
    )  # fmt: skip
    return found.moved(transom.x, 0.0)


def _square(y: Array) -> Array:
    """The least turn that brings the across direction on to `y`, rows x, y, z."""
    x = np.array([1.0, 0.0, 0.0]) - y[0] * y
    x /= np.linalg.norm(x)
    return np.stack([x, y, np.cross(x, y)])


def _upright(axes: Array, up: Array) -> Array:
    """The pitch that brings z as near to `up` as the centreline plane allows."""
    told = axes @ up
    slope = float(-told[0] / told[2])
    c, s = 1.0 / np.hypot(1.0, slope), slope / np.hypot(1.0, slope)
    return np.array([[c, 0.0, s], [0.0, 1.0, 0.0], [-s, 0.0, c]])


def _ends(boat: Array, lean: float | None) -> tuple[End, End | None]:
    """Transom and bow plate, by least squares of all points near them."""
    thin = cleaned(boat, 1.7 * FINE)
    some = picked(boat, 400_000)
    found = sought_end(thin, -1.0, NEAR) if lean is None else End(0.0, lean, 0, 0.0, 0.0, 0.0)
    # The pose is good to some centimetres; from there the plane is closed in on.
    transom = None if found is None else fitted_end(some, found, 2.5 * NEAR if lean is not None else NEAR)
    if transom is None:
        transom = End(0.0, 0.0, 0, 0.0, 0.0, 0.0)
    else:
        transom = fitted_end(some, transom, NEAR) or transom
    bow = sought_end(thin[thin[:, 0] > transom.breadth], 1.0, NEAR)
    if bow is None or not is_flat(thin, bow, NEAR):
        return transom, None
    area = bow.breadth * bow.depth
    if area < BOW_SHARE * transom.breadth * transom.depth or bow.lean < -0.05:
        return transom, None
    return transom, fitted_end(some, bow, NEAR)
