"""Made-up scans: points of the inside of hulls that are known exactly, as a scanner would bring them home.

The hull's own loft gives the skin, boxes stand for ribs and stringers; what they hide is not seen.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from model.geometry import Array
from model.hull import Hull
from model.hull_grid import skin_grid


@dataclass(frozen=True, eq=False)
class Scan:
    """Points as scanned and the pose they were taken in: `points = seen @ turn.T + shift`, over `scale`."""

    points: Array
    turn: Array
    shift: Array
    scale: float


def skin_points(hull: Hull, count: int, draw: np.random.Generator) -> tuple[Array, Array]:
    """Points spread evenly over skin and ends, `(n, 3)`, and their unit normals into the boat."""
    grid = skin_grid(hull, 30.0).points
    quads = [grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]]
    first = np.stack([quads[0], quads[1], quads[2]], axis=2).reshape(-1, 3, 3)
    second = np.stack([quads[0], quads[2], quads[3]], axis=2).reshape(-1, 3, 3)
    faces = [first, second]
    for row in (0, -1):
        if row == 0 or hull.bow is not None:
            ring = grid[row]
            half = len(ring) // 2
            low, high = ring[: half + 1], ring[half:][::-1]
            faces.append(np.stack([low[:-1], high[:-1], high[1:]], axis=1))
            faces.append(np.stack([low[:-1], high[1:], low[1:]], axis=1))
    return on_faces(np.concatenate(faces), count, draw)


def on_faces(faces: Array, count: int, draw: np.random.Generator) -> tuple[Array, Array]:
    """Points spread evenly over triangles `(m, 3, 3)`, and the triangles' unit normals."""
    normal = np.cross(faces[:, 1] - faces[:, 0], faces[:, 2] - faces[:, 0])
    area = np.linalg.norm(normal, axis=1)
    which = draw.choice(len(faces), size=count, p=area / area.sum())
    a, b = draw.random((2, count, 1))
    over = (a + b) > 1.0
    a, b = np.where(over, 1.0 - a, a), np.where(over, 1.0 - b, b)
    corner = faces[which]
    points = corner[:, 0] + a * (corner[:, 1] - corner[:, 0]) + b * (corner[:, 2] - corner[:, 0])
    return points, normal[which] / area[which][:, None]


def stiffened(hull: Hull, points: Array, draw: np.random.Generator) -> Array:
    """Skin points with ribs and stringers in place of what these hide."""
    found = points.copy()
    x, y = found[:, 0], found[:, 1]
    top = np.full(len(found), -np.inf)
    on_skin = found[:, 2] < hull.bottom(x, y) + 1.0
    for rib in hull.ribs:
        reach = [hull.line(name, rib.x)[1] for name in (rib.low, rib.high)]
        within = on_skin & (np.abs(x - rib.x) < rib.width / 2.0) & (np.abs(y) <= reach[1])
        top[within] = np.maximum(top[within], found[within, 2] + rib.height)
    for bar in hull.stringers:
        within = on_skin & (np.abs(y - bar.y) < bar.width / 2.0) & (x > bar.aft) & (x < bar.forward)
        level = hull.bottom(x[within], np.full(within.sum(), bar.y)) + bar.height
        top[within] = np.maximum(top[within], level)
    raised = np.isfinite(top)
    found[raised, 2] = top[raised]
    return np.concatenate([found, _flanks(hull, len(points), draw)])


def _flanks(hull: Hull, count: int, draw: np.random.Generator) -> Array:
    """The upright faces of ribs and stringers, about as dense as the skin."""
    area = 2.0 * hull.length * 2500.0
    found = []
    for rib in hull.ribs:
        reach = float(hull.line(rib.high, rib.x)[1])
        n = int(count * 4.0 * reach * rib.height / area)
        x = rib.x + draw.choice([-0.5, 0.5], n) * rib.width
        y = draw.uniform(-reach, reach, n)
        found.append(np.stack([x, y, hull.bottom(x, y) + draw.random(n) * rib.height], axis=1))
    for bar in hull.stringers:
        n = int(count * 2.0 * (bar.forward - bar.aft) * bar.height / area)
        x = draw.uniform(bar.aft, bar.forward, n)
        y = bar.y + draw.choice([-0.5, 0.5], n) * bar.width
        z = hull.bottom(x, np.full(n, bar.y)) + draw.random(n) * bar.height
        found.append(np.stack([x, y, z], axis=1))
    flanks = np.concatenate(found) if found else np.zeros((0, 3))
    return flanks[np.isfinite(flanks).all(axis=1)]


def scanned(
    hull: Hull,
    count: int,
    *,
    noise: float = 3.0,
    outliers: float = 0.0,
    holes: int = 0,
    floor: bool = False,
    person: bool = False,
    trailer: bool = False,
    uneven: bool = False,
    posed: bool = True,
    scale: float = 1.0,
    outside: float = 0.0,
    seed: int = 1,
) -> Scan:
    """A scan of a hull: noise, mm, in every direction; outliers as a share; round holes; things about it.

    `scale` is the millimetres of the scan's unit; `outside` moves the skin out by a thickness.
    """
    draw = np.random.default_rng(seed)
    points, inward = skin_points(hull, count, draw)
    if outside:
        middle = np.array([hull.length / 2.0, 0.0, 600.0])
        out = np.where(np.sum(inward * (points - middle), axis=1) > 0.0, 1.0, -1.0)[:, None] * inward
        points = points + outside * out
    elif hull.ribs or hull.stringers:
        points = stiffened(hull, points, draw)
    if uneven:
        # A scanner stands amidships: what is far off gets fewer points.
        far = np.abs(points[:, 0] - hull.length / 2.0) / hull.length
        points = points[draw.random(len(points)) > 1.4 * far]
    for _ in range(holes):
        centre = points[draw.integers(len(points))]
        points = points[np.linalg.norm(points - centre, axis=1) > draw.uniform(80.0, 200.0)]
    points = points + noise * draw.normal(size=points.shape)
    points = np.concatenate(
        [
            points,
            *_clutter(points, outliers, floor, person, draw),
            *(_trailer(points, draw) if trailer else ()),
        ]
    )
    turn, shift = (_turn(draw), draw.uniform(-3000.0, 3000.0, 3)) if posed else (np.eye(3), np.zeros(3))
    return Scan((points @ turn.T + shift)[draw.permutation(len(points))] / scale, turn, shift, scale)


def _clutter(
    points: Array, outliers: float, floor: bool, person: bool, draw: np.random.Generator
) -> list[Array]:
    low, high = points.min(axis=0), points.max(axis=0)
    count = len(points)
    found = [draw.uniform(low - 300.0, high + 300.0, (int(outliers * count), 3))]
    if floor:
        flat = draw.uniform(low - 800.0, high + 800.0, (count // 4, 3))
        flat[:, 2] = low[2] - 350.0 + 3.0 * draw.normal(size=len(flat))
        found.append(flat)
    if person:
        angle = draw.uniform(0.0, 2.0 * np.pi, count // 40)
        foot = np.array([0.55 * high[0], 0.15 * high[1], 0.0])
        body = np.stack(
            [180.0 * np.cos(angle), 140.0 * np.sin(angle), draw.uniform(250.0, 1700.0, len(angle))], 1
        )
        found.append(foot + body)
    return found


def _trailer(points: Array, draw: np.random.Generator) -> list[Array]:
    """Two bunks under the bottom, the tongue ahead of it, two wheels beside it."""
    low, high = points.min(axis=0), points.max(axis=0)
    n = len(points) // 20
    found = []
    for y in (-0.6 * high[1], 0.6 * high[1]):
        size = draw.uniform(-1.0, 1.0, (3, n))
        found.append(
            np.stack([0.4 * high[0] * (1.0 + size[0]), y + 40.0 * size[1], low[2] - 60.0 + 35.0 * size[2]], 1)
        )
    size = draw.uniform(-1.0, 1.0, (3, n))
    found.append(
        np.stack([0.95 * high[0] + 1_500.0 * size[0], 40.0 * size[1], low[2] - 140.0 + 40.0 * size[2]], 1)
    )
    for y in (low[1] - 350.0, high[1] + 350.0):
        angle, radius = draw.uniform(0.0, 2.0 * np.pi, n), 300.0 * np.sqrt(draw.random(n))
        x, z = 1_500.0 + radius * np.cos(angle), low[2] - 50.0 + radius * np.sin(angle)
        found.append(np.stack([x, y + draw.uniform(-80.0, 80.0, n), z], 1))
    return found


def _turn(draw: np.random.Generator) -> Array:
    """A rotation, any one as likely as another."""
    turn, _ = np.linalg.qr(draw.normal(size=(3, 3)))
    return turn if np.linalg.det(turn) > 0.0 else -turn
